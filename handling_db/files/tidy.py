"""Records in one form, comments kept: fields in the order of the format, nobody looked written out."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from handling_db.errors import HandlingError
from handling_db.files.atomic import replace_file
from handling_db.files.editor_line import with_editor_line
from handling_db.files.reached import reach
from handling_db.files.reading import model_in, read_texts
from handling_db.files.yaml_text import MAX_BYTES
from handling_db.findings import Finding
from handling_db.records.collection import KINDS, Collection
from handling_db.records.parts.patterns import NOBODY_LOOKED
from handling_db.records.parts.statement import MassStatement
from handling_db.records.written import written

WIDTH = 1_000_000  # a line is never broken: text that was folded stays folded as it was
_MISSING = "tidying needs the extra 'tidy'; install it with: pip install 'handling-db[tidy]'"

# Fields whose absence says that nobody looked, where that matters for what may be compared or lifted.
_LOOKED_AT = {"masses": ("counts", "without"), "weighing": ("counts", "without"), "joint": ("ties",)}


@dataclass(frozen=True, slots=True)
class Tidied:
    """One file: its text in the one form, or what keeps it from being tidied.

    Parameters
    ----------
    file : Path
    text : str or None
        None where it was left alone.
    changed : bool
    findings : tuple of Finding
        Faults of the file; a file with faults is left alone.
    why : str
        Why it was left alone otherwise.
    """

    file: Path
    text: str | None
    changed: bool
    findings: tuple[Finding, ...] = ()
    why: str = ""


def tidy_paths(paths: list[Path], *, write: bool) -> tuple[Tidied, ...]:
    """Put record files into the one form.

    Parameters
    ----------
    paths : list of Path
        Folders or files.
    write : bool
        Whether to write the files back, each whole or not at all.

    Raises
    ------
    HandlingError
        A path is not there, or the extra `tidy` is not installed.
    """
    found = []
    for path in paths:
        reached = reach(path)
        found += [Tidied(path, None, changed=False, findings=(lost,)) for lost in reached.findings]
        for file in reached.files:
            one = tidy_file(file)
            if write and one.changed and one.text is not None:
                replace_file(file, one.text.encode())
            found.append(one)
    return tuple(found)


def tidy_file(file: Path) -> Tidied:
    """One file in the one form; changes nothing on disk."""
    if file.stat().st_size > MAX_BYTES:
        return Tidied(file, None, changed=False, why="it is too large")
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        return Tidied(file, None, changed=False, why="it is not UTF-8 text")
    return tidy_text(file, text)


def tidy_text(file: Path, text: str) -> Tidied:
    """The one form of a text.

    It is read again and compared record by record: a text that would say anything else is not used.
    """
    before = read_texts([(str(file), text)])
    if before.findings:
        return Tidied(file, None, changed=False, findings=before.findings)
    yaml = _yaml()
    value = yaml.load(text)
    if value is None:
        return Tidied(file, text, changed=False)
    for record in value if isinstance(value, list) else [value]:
        kind = next(iter(record))
        _in_order(record, KINDS[kind])
        _looked(record, kind)
    out = io.StringIO()
    yaml.dump(value, out)
    lines = [line.rstrip() for line in out.getvalue().splitlines()]
    if isinstance(value, list):  # a list of records starts at the edge, lists in it do not
        lines = [line if line.lstrip().startswith("#") else line.removeprefix("  ") for line in lines]
    made = with_editor_line(file, "\n".join(lines) + "\n")
    after = read_texts([(str(file), made)])
    if after.findings or _all(before.collection) != _all(after.collection):
        return Tidied(file, None, changed=False, why="it has text that cannot be put into the one form")
    return Tidied(file, made, changed=made != text)


def _all(collection: Collection) -> list[tuple[str, Any]]:
    return [(kind, written(kind, record)) for kind, record in collection.records()]


def _yaml() -> Any:
    """A reader and writer that keeps comments and takes every plain value for the text that was typed."""
    try:
        from ruamel.yaml import YAML
        from ruamel.yaml.resolver import VersionedResolver
    except ImportError:
        raise HandlingError(_MISSING) from None

    class Text(VersionedResolver):
        """Takes nothing for a number, a date or a truth value."""

        def resolve(self, kind: Any, value: Any, implicit: Any) -> Any:
            from ruamel.yaml.nodes import ScalarNode

            if kind is ScalarNode and implicit[0]:
                return self.DEFAULT_SCALAR_TAG
            return super().resolve(kind, value, implicit)

    yaml = YAML(typ="rt")
    yaml.Resolver = Text
    yaml.preserve_quotes = True
    yaml.width = WIDTH
    yaml.indent(mapping=2, sequence=4, offset=2)
    yaml.brace_single_entry_mapping_in_flow_sequence = True
    return yaml


def _in_order(mapping: Any, model: type[BaseModel]) -> None:
    """Fields in the order of the format, the kind first; a mapping with comments in it stays as it is."""
    if not mapping.ca.items:
        order = _order(mapping, model)
        items = sorted(mapping.items(), key=lambda item: order.index(item[0]) if item[0] in order else 999)
        if [key for key, _ in items] != list(mapping):
            for key, value in items:
                del mapping[key]
                mapping[key] = value
    for name, field in model.model_fields.items():
        inner = model_in(field.annotation)
        value = mapping.get(field.alias or name)
        if inner is None or value is None:
            continue
        for item in value if isinstance(value, list) else [value]:
            if hasattr(item, "ca") and isinstance(item, dict) and _fits(item, inner):
                _in_order(item, inner)


def _order(mapping: Any, model: type[BaseModel]) -> list[str]:
    """The fields of a model as they are written: the kind first, what a figure counts after its state."""
    fields = [field.alias or name for name, field in model.model_fields.items()]
    if "state" in fields and "counts" in fields:
        boundary = ["counts", "without", "checked by"]
        fields = [field for field in fields if field not in boundary]
        after = fields.index("state") + 1
        fields[after:after] = boundary
    kind = next(iter(mapping))
    return [kind, *(f for f in fields if f != kind)] if kind in KINDS else fields


def _fits(item: Any, model: type[BaseModel]) -> bool:
    """Whether a mapping has the fields of a model; a mapping by names (parameters) has not."""
    known = {field.alias or name for name, field in model.model_fields.items()}
    return bool(item) and set(item) <= known


def _looked(record: Any, kind: str) -> None:
    """Write ``nobody looked`` where the absence of a field says so."""
    if kind == "component" and record.get("parts"):
        for statement in record.get("masses") or ():
            _write_out(statement, _LOOKED_AT["masses"], MassStatement)
    elif kind in _LOOKED_AT:
        _write_out(record, _LOOKED_AT[kind], KINDS[kind])


def _write_out(mapping: Any, names: tuple[str, ...], model: type[BaseModel]) -> None:
    order = _order(mapping, model)
    for name in names:
        if name in mapping:
            continue
        keys = list(mapping)
        later = [place for place, key in enumerate(keys) if order.index(key) > order.index(name)]
        # A comment or a blank line below the last field belongs below the whole mapping.
        end = len(keys) - 1 if keys[-1] in mapping.ca.items else len(keys)
        mapping.insert(later[0] if later else end, name, NOBODY_LOOKED)
