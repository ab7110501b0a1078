"""YAML in which every plain value stays the text that was typed, with line numbers.

No anchors, aliases, tags or merge keys; a key given twice is a fault, not a silent loss.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from handling_db.files.merge_markers import merge_findings
from handling_db.findings import Finding, Place, fault
from handling_db.records.collection import Path

MAX_DEPTH = 40
MAX_BYTES = 4_000_000
MAX_NODES = 250_000  # values and keys of one file: some 100 MB in memory
MAX_KEYS = 1_000  # of one mapping; the widest record has some thirty fields
MAX_FAULTS = 1_000  # told of one file; a person corrects the first few and looks again

Plain = Any  # None, str, list of Plain or dict of str to Plain


class _TextLoader(getattr(yaml, "CSafeLoader", yaml.SafeLoader)):  # type: ignore[misc]
    """Reads structure only: nothing is taken for a number, a date or a truth value."""


_TextLoader.yaml_implicit_resolvers = {}


class _TextDumper(getattr(yaml, "CSafeDumper", yaml.SafeDumper)):  # type: ignore[misc]
    """Quotes only what the grammar needs quoted, since every value is a text anyway."""


def _written(dumper: Any, value: str) -> Any:
    """An empty text needs its quotes: without them it reads as nothing."""
    return dumper.represent_scalar("tag:yaml.org,2002:str", value, style=None if value else "'")


_TextDumper.yaml_implicit_resolvers = {}
_TextDumper.add_representer(str, _written)


@dataclass(frozen=True, slots=True)
class YamlText:
    """What a file holds: plain values, the line of each path, what is wrong with it, and how many values."""

    value: Plain
    lines: dict[Path, int]
    findings: tuple[Finding, ...]
    nodes: int = 0


def load_text(text: str, name: str) -> YamlText:
    """Read one YAML text.

    Parameters
    ----------
    text : str
        The file's content.
    name : str
        How the file is called in messages.

    Returns
    -------
    YamlText
        Every fault that can be found; a syntax error ends the file.
    """
    merges = merge_findings(text, name)
    if merges:
        return YamlText(None, {}, merges)
    plain = _plainly(text)
    if plain is not None:
        return plain
    count = _Count()
    # Nothing is built before the whole stream was looked at, and no more of it than may be built.
    findings = list(itertools.islice(_refused(text, name, count), MAX_FAULTS))
    if findings:
        return YamlText(None, {}, tuple(findings))
    root: Any = yaml.compose(text, Loader=_TextLoader)
    lines: dict[Path, int] = {}
    value = _walk(root, (), lines, findings, name) if root is not None else None
    return YamlText(value, lines, tuple(findings[:MAX_FAULTS]), count.nodes)


def _plainly(text: str) -> YamlText | None:
    """A text without anything odd in it, in one pass; None where there is anything to be said of it.

    What is to be said is then looked for by itself, before anything is built.
    """
    lines: dict[Path, int] = {}
    holders: list[Any] = []  # the lists and mappings around the place that is read
    paths: list[Path] = []
    keys: list[str | None] = []  # of each, the key that waits for its value
    root: Plain = None
    nodes = documents = 0
    try:
        events: Any = yaml.parse(text, Loader=_TextLoader)
        for event in events:
            kind = type(event)
            if kind is yaml.ScalarEvent or kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
                nodes += 1
                if nodes > MAX_NODES or event.anchor or event.tag:
                    return None
                line = event.start_mark.line + 1
                value: Plain
                if kind is yaml.ScalarEvent:
                    value = event.value if event.value != "" or event.style else None
                else:
                    value = {} if kind is yaml.MappingStartEvent else []
                here: Path = ()
                if holders:
                    holder, key = holders[-1], keys[-1]
                    if type(holder) is list:
                        here = (*paths[-1], len(holder))
                        holder.append(value)
                        lines[here] = line
                    elif key is None:
                        name = event.value if kind is yaml.ScalarEvent else None
                        if name is None or name in holder or len(holder) >= MAX_KEYS:
                            return None
                        keys[-1] = name
                        holder[name] = None
                        lines[(*paths[-1], name)] = line
                        continue
                    else:
                        here = (*paths[-1], key)
                        holder[key] = value
                        keys[-1] = None
                else:
                    root = value
                    lines[here] = line
                if kind is not yaml.ScalarEvent:
                    holders.append(value)
                    paths.append(here)
                    keys.append(None)
                    if len(holders) > MAX_DEPTH:
                        return None
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                holders.pop()
                paths.pop()
                keys.pop()
            elif kind is yaml.AliasEvent:
                return None
            elif kind is yaml.DocumentStartEvent:
                documents += 1
                if documents > 1:
                    return None
    except (yaml.YAMLError, UnicodeError):
        return None
    return YamlText(root, lines, (), nodes)


@dataclass(slots=True)
class _Count:
    """How many values and keys a text holds."""

    nodes: int = 0


def _refused(text: str, name: str, count: _Count) -> Iterator[Finding]:
    """Faults of the text as such; looked for in the event stream, which expands nothing."""
    depth = documents = 0
    too_deep = False
    events: Any = yaml.parse(text, Loader=_TextLoader)
    try:
        for event in events:
            place = Place(name, event.start_mark.line + 1)
            if isinstance(event, yaml.AliasEvent):
                yield fault(place, "", f"the alias *{event.anchor} is not used here;", _WRITE_OUT)
            elif getattr(event, "anchor", None):
                yield fault(place, "", f"the anchor &{event.anchor} is not used here;", _WRITE_OUT)
            elif getattr(event, "tag", None):
                yield fault(place, "", f"the tag {event.tag} is not used here;", "leave it out.")
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents == 2:
                    yield fault(place, "", "a second document starts here ('---');", _ONE_DOCUMENT)
            elif isinstance(event, yaml.NodeEvent):
                count.nodes += 1
                if count.nodes > MAX_NODES:
                    told = f"the file holds more than {MAX_NODES:,} values; nothing of it was read;"
                    yield fault(place, "", told, "split it: one assembly a file.")
                    return
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth > MAX_DEPTH and not too_deep:
                too_deep = True
                yield fault(place, "", f"nested more than {MAX_DEPTH} deep;", "flatten it.")
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 1
        yield fault(Place(name, line), "", f"not YAML: {error.problem};", _SYNTAX)
    except (yaml.YAMLError, UnicodeError) as error:
        at = _CONTROL.search(text)
        line = len(_LINE_ENDS.findall(text[: at.start()])) + 1 if at else 1
        what = f"the control character {at[0]!r}" if at else str(error).splitlines()[0]
        yield fault(Place(name, line), "", f"not YAML: {what};", "save it as plain UTF-8 text.")


# What YAML 1.1 does not count as printable (section 5.1), and halves of surrogate pairs.
_CONTROL = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_LINE_ENDS = re.compile(r"\r\n|\r|\n")
_ONE_DOCUMENT = "write the records as one list, '- ' before each, or a file for each."


_WRITE_OUT = "write the value out where it is needed."
_SYNTAX = (
    "the rest of the file was not read. A value with ': ' or ' #' in it needs quotes; indent with spaces."
)


def _walk(node: yaml.Node, path: Path, lines: dict[Path, int], findings: list[Finding], name: str) -> Plain:
    lines.setdefault(path, node.start_mark.line + 1)
    if isinstance(node, yaml.SequenceNode):
        return [_walk(item, (*path, i), lines, findings, name) for i, item in enumerate(node.value)]
    if isinstance(node, yaml.MappingNode):
        out: dict[str, Plain] = {}
        if len(node.value) > MAX_KEYS:
            told = f"a mapping with {len(node.value):,} keys;"
            findings.append(
                fault(Place(name, node.start_mark.line + 1), "", told, "no record has so many fields.")
            )
            return out
        for key, value in node.value:
            line = key.start_mark.line + 1
            if not isinstance(key, yaml.ScalarNode):
                findings.append(fault(Place(name, line), "", "a key must be plain text;", "name the field."))
                continue
            if key.value in out:
                first = lines[(*path, key.value)]
                told = f"given twice, first on line {first};"
                findings.append(fault(Place(name, line), key.value, told, "keep one of the two."))
                continue
            lines[(*path, key.value)] = line
            out[key.value] = _walk(value, (*path, key.value), lines, findings, name)
        return out
    if isinstance(node, yaml.ScalarNode) and (node.value != "" or node.style):
        return str(node.value)
    return None


def dump_text(value: Plain) -> str:
    """Write plain values as YAML that `load_text` reads back to the same.

    Short lists and mappings stand on one line; the same value always gives the same text.
    """
    return str(
        yaml.dump(
            value,
            Dumper=_TextDumper,
            sort_keys=False,
            allow_unicode=True,
            default_flow_style=None,
            width=100,
        )
    )
