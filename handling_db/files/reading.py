"""From plain values to records: every fault of every file in one run, each with line, field and remedy."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, get_origin

from pydantic import BaseModel, ValidationError

from handling_db.files.yaml_text import MAX_FAULTS, YamlText, load_text
from handling_db.findings import Finding, Place, fault
from handling_db.records.collection import KINDS, Collection, Lines, Path, collect, field_text
from handling_db.records.kinds.component import Component
from handling_db.weights.family_check import RecordFault, component_faults


@dataclass(frozen=True, slots=True)
class ReadFiles:
    """A collection and what is wrong with the files it was read from.

    Parameters
    ----------
    unread : frozenset of (kind, id)
        Records that stand in the files and have a fault, so that they are not in the collection.
    """

    collection: Collection
    findings: tuple[Finding, ...]
    unread: frozenset[tuple[str, str]] = frozenset()


def read_texts(files: Iterable[tuple[str, str]], *, most: int | None = None) -> ReadFiles:
    """Read records from texts.

    Parameters
    ----------
    files : iterable of (name, text)
        `name` is how the file is called in messages.
    most : int, optional
        Values and keys that all of them together may hold; without one each file has its own limit only.

    Returns
    -------
    ReadFiles
        What could be read, and every fault: a record with a fault is left out, the others stay.
    """
    found: list[tuple[str, Any]] = []
    lines: dict[tuple[str, str], Lines] = {}
    findings: list[Finding] = []
    unread: set[tuple[str, str]] = set()
    nodes = 0
    for name, text in files:
        loaded = load_text(text, name)
        told = len(findings)
        findings += loaded.findings
        nodes += loaded.nodes
        if most is not None and nodes > most:
            findings.append(_too_much(name, f"up to here there are more than {most:,} values;"))
            break
        if loaded.value is None:
            unread.update(_ids_in(text))
            continue
        own = Lines(name, loaded.lines)
        places = _lines_of_records(own, isinstance(loaded.value, list))
        for path, value in _records_in(loaded.value):
            kind, record, faults = read_record(value, path, own)
            findings += faults
            if len(findings) - told > MAX_FAULTS:
                del findings[told + MAX_FAULTS :]
                findings.append(
                    _too_much(name, f"more than {MAX_FAULTS:,} faults; the rest was not looked at;")
                )
                break
            if record is None:
                if isinstance(value, dict) and isinstance(value.get(kind), str):
                    unread.add((kind, value[kind]))
                continue
            key = (kind, record.id)
            if key in lines:
                findings.append(_duplicate(key, lines[key], places[path]))
                continue
            lines[key] = places[path]
            found.append((kind, record))
    in_order = tuple(sorted(findings, key=_in_file_order))
    return ReadFiles(collect(found, lines), in_order, frozenset(unread) - lines.keys())


def faultless_records(
    read: YamlText, name: str, *, proved: bool = False
) -> list[tuple[str, Any, Lines]] | None:
    """Kind, record and lines of all that a file holds; None where anything is wrong with it.

    What is wrong is then told by `read_texts`, over all files together.

    Parameters
    ----------
    read : YamlText
    name : str
        How the file is called in messages.
    proved : bool
        Whether this program read the same bytes without a fault before: then formulas and shapes are not
        tried again.
    """
    if read.findings:
        return None
    if read.value is None:
        return []
    lines = Lines(name, read.lines)
    places = _lines_of_records(lines, isinstance(read.value, list))
    found = []
    for path, value in _records_in(read.value):
        kind, record, faults = read_record(value, path, lines, proved=proved)
        if record is None or faults:
            return None
        found.append((kind, record, places[path]))
    return found


_KIND = "|".join(map(re.escape, KINDS))
_LISTED = re.compile(rf"^- +(?:\{{ *)?({_KIND}): *([\w-]+)", re.MULTILINE)
_ALONE = re.compile(rf"\A(?:#[^\n]*\n|\s)*({_KIND}): *([\w-]+)")


def _ids_in(text: str) -> list[tuple[str, str]]:
    """Kinds and ids of records in a text that cannot be read as a whole."""
    alone = _ALONE.match(text)
    several = [alone] if alone else list(_LISTED.finditer(text))
    return [(found[1], found[2]) for found in several]


def _too_much(name: str, sentence: str) -> Finding:
    return fault(Place(name, 1), "", sentence, "correct the first few and look again.", rule="too-much")


def _in_file_order(finding: Finding) -> tuple[str, int]:
    return (finding.place.file, finding.place.line) if finding.place else ("", 0)


def _records_in(value: Any) -> list[tuple[Path, Any]]:
    """A file is one record or a list of records."""
    if isinstance(value, list):
        return [((i,), item) for i, item in enumerate(value)]
    return [((), value)]


def _lines_of_records(lines: Lines, listed: bool) -> dict[Path, Lines]:
    """The lines of each record of a file, in one pass over them all."""
    if not listed:
        return {(): lines}
    found: dict[Path, dict[Path, int]] = {}
    for at, line in lines.at.items():
        if at:
            found.setdefault(at[:1], {})[at[1:]] = line
    return {path: Lines(lines.file, below) for path, below in found.items()}


def _duplicate(key: tuple[str, str], first: Lines, second: Lines) -> Finding:
    kind, record_id = key
    return fault(
        second.place(kind),
        kind,
        f"the id {record_id!r} is taken: {first.place(kind)} has it already;",
        "give this one another id, or remove one of the two.",
        rule="duplicate-id",
        about=record_id,
    )


def read_record(
    value: Any, path: Path, lines: Lines, *, proved: bool = False
) -> tuple[str, Any | None, list[Finding]]:
    """One record of whatever kind its key says, or None with the faults.

    Parameters
    ----------
    value : plain value, as a file has it
    path : tuple
        Where in the file it stands.
    lines : Lines
        Of the file.
    proved : bool
        As for `faultless_records`.

    Returns
    -------
    str, record or None, list of Finding
        Kind, empty where none is named; the record; what is wrong with it.
    """
    place = lines.place(*path)
    if not isinstance(value, dict):
        kinds = ", ".join(KINDS)
        told = "a record is a mapping that starts with its kind and id;"
        return (
            "",
            None,
            [fault(place, "", told, f"write for example 'component: gear-section' (kinds: {kinds}).")],
        )
    named = [key for key in value if key in KINDS and _is_kind_key(key, value)]
    if not named:
        first = next(iter(value), "")
        near = difflib.get_close_matches(first, KINDS, 1)
        hint = f"did you mean {near[0]!r}?" if near else "start with one of: " + ", ".join(KINDS) + "."
        return "", None, [fault(place, first, "no kind of record is named so;", hint)]
    kind = named[0]
    model = KINDS[kind]
    try:
        record = model.model_validate(value)
        faults = component_faults(record) if isinstance(record, Component) and not proved else ()
        found = [_family_fault(item, path, lines, str(value[kind])) for item in faults]
        return kind, None if found else record, found
    except ValidationError as error:
        about = str(value.get(kind) or "")
        errors = [*error.errors(include_url=False), *_hidden_errors(model, value, error)][:MAX_FAULTS]
        return kind, None, [_fault(item, path, lines, model, about) for item in errors]


def _hidden_errors(model: type[BaseModel], value: dict[str, Any], error: ValidationError) -> list[Any]:
    """What unknown fields hid: the checks of a whole mapping run only once its fields are known."""
    told = error.errors(include_url=False, include_context=False, include_input=False)
    unknown = frozenset(item["loc"] for item in told if item["type"] == "extra_forbidden")
    if not unknown:
        return []
    seen = {item["loc"] for item in told}
    try:
        model.model_validate(_without(value, unknown))
    except ValidationError as again:
        return [item for item in again.errors() if item["loc"] not in seen]
    return []


def _without(value: Any, paths: frozenset[Path], here: Path = ()) -> Any:
    if isinstance(value, dict):
        kept = ((key, item) for key, item in value.items() if (*here, key) not in paths)
        return {key: _without(item, paths, (*here, key)) for key, item in kept}
    if isinstance(value, list):
        return [_without(item, paths, (*here, i)) for i, item in enumerate(value)]
    return value


def _is_kind_key(key: str, value: dict[str, Any]) -> bool:
    """The kind is the first key; `source: x` inside a weighing is only a field of it."""
    return next(iter(value)) == key


def _fault(error: Any, path: Path, lines: Lines, model: type[BaseModel], about: str) -> Finding:
    sentence, remedy = _in_words(error, model)
    place = lines.place(*path, *error["loc"])
    return fault(place, field_text(error["loc"]), sentence, remedy, about=about)


def _family_fault(item: RecordFault, path: Path, lines: Lines, about: str) -> Finding:
    """A fault of a component's parameters, formulas or shapes, at the line of its field."""
    told = item.message if item.message.endswith((".", "?")) else f"{item.message}."
    return fault(lines.place(*path, *item.path), field_text(item.path), told, about=about)


def _in_words(error: Any, model: type[BaseModel]) -> tuple[str, str]:
    kind = error["type"]
    if kind == "missing":
        return "is missing;", "write it; nothing is assumed for it."
    if kind == "extra_forbidden":
        known = _known_fields(model, error["loc"][:-1])
        near = difflib.get_close_matches(str(error["loc"][-1]), known, 1)
        if near:
            return "is not a field here;", f"did you mean {near[0]!r}?"
        return "is not a field here;", "the fields are: " + ", ".join(known) + "."
    if kind == "literal_error":
        return f"{error['input']!r} is not one of the words for this;", f"write {error['ctx']['expected']}."
    if kind in {"model_type", "dict_type"}:
        return "must be a mapping of fields;", "write 'name: value' lines, indented, or {name: value}."
    if kind in {"tuple_type", "list_type"}:
        return "must be a list;", "write '- item' lines, or [item, item]."
    if kind == "string_type":
        return "must be a plain text;", "write one value, not a list or a mapping, and not nothing."
    if kind == "too_long":
        return f"has {error['ctx']['actual_length']} items;", f"write {error['ctx']['max_length']}."
    if kind == "string_too_short":
        return "is empty;", "write what it is, or leave the line out."
    if kind == "string_too_long":
        limit = error["ctx"]["max_length"]
        return f"has {len(error['input'])} characters;", f"{limit} are the most; shorten it."
    message = str(error["msg"]).removeprefix("Value error, ")
    return f"{message}.", ""


def _known_fields(model: type[BaseModel], path: Iterable[str | int]) -> list[str]:
    """The field names of the mapping at a path inside a model."""
    at: Any = model
    named = False  # the next step is a name that the writer chose, such as a parameter's
    for step in path:
        if isinstance(step, int) or named:
            named = False
            continue
        field = next((f for n, f in at.model_fields.items() if step in (f.alias, n)), None)
        at = model_in(field.annotation) if field else None
        if field is None or at is None:
            return []
        named = get_origin(field.annotation) is dict
    return [field.alias or name for name, field in at.model_fields.items()]


def model_in(annotation: Any) -> type[BaseModel] | None:
    """The part of a record that a field holds, alone or in a list; None for a plain value."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = model_in(inner)
        if found is not None:
            return found
    return None
