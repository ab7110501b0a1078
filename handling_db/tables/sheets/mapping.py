"""A mapping file: which column of a sheet is which, said once and kept."""

from __future__ import annotations

import re
from typing import Any

from handling_db.errors import UnitError
from handling_db.files.yaml_text import dump_text, load_text
from handling_db.findings import Finding, Place, fault
from handling_db.quantities.quantity import find_unit
from handling_db.quantities.table import MeasureUnit
from handling_db.records.parts.texts import STATES
from handling_db.tables.sheets.grid import Grid, letters
from handling_db.tables.sheets.layout import FIELDS, TABLES, Layout
from handling_db.tables.text.headings import DIMENSIONS

# Fields are written with spaces, and two of them in the words that the template has.
_WRITTEN = {"child": "id", "plus_minus": "plus or minus", "length_unit": "length unit"}


def written_name(field: str) -> str:
    """A field as it is written in a mapping file and in the template."""
    return _WRITTEN.get(field, field.replace("_", " "))


def _field(name: str, table: Any) -> str:
    """The field of a written name."""
    fields = FIELDS.get(table, ())
    return next((field for field in fields if name in (field, written_name(field))), name)


def mapping_text(layout: Layout, grid: Grid) -> str:
    """A layout as a mapping file, to be looked at, corrected and given back."""
    heading = next((row for row in grid.rows if row.number == layout.heading_row), None)
    columns = {
        written_name(name): letters(column)
        for name, column in sorted(layout.columns.items(), key=lambda item: item[1])
    }
    fields: dict[str, Any] = {"sheet": layout.sheet} if layout.sheet else {}
    fields |= {"table": layout.table, "heading row": str(layout.heading_row), "columns": columns}
    if layout.units:
        fields["units"] = {written_name(name): unit.name for name, unit in layout.units.items()}
    if layout.states:
        fields["states"] = {written_name(name): state for name, state in layout.states.items()}
    given = {
        name: getattr(layout, name.replace(" ", "_"))
        for name in ("parent", "source", "source kind", "decimal")
    }
    fields |= {name: value for name, value in given.items() if value}
    fields |= {"hidden rows": layout.hidden_rows, "parts listed": layout.lists}
    told = "".join(
        f"# {letters(column)}: {layout.heads.get(name, '')!r} is taken for {written_name(name)}\n"
        for name, column in sorted(layout.columns.items(), key=lambda item: item[1])
        if heading
    )
    not_used = [
        f"{letters(i)} {cell.text!r}"
        for i, cell in enumerate(heading.cells if heading else ())
        if cell.text and i not in layout.columns.values()
    ]
    return told + (f"# not used: {', '.join(not_used)}\n" if not_used else "") + dump_text(fields)


_TEXTS = ("parent", "source", "source kind", "decimal", "hidden rows", "parts listed", "sheet")
_WORDS = {
    "decimal": ("point", "comma"),
    "hidden rows": ("pass", "take"),
    "parts listed": ("all", "some"),
    "table": TABLES,
}


def read_mapping(text: str, name: str) -> tuple[Layout | None, tuple[Finding, ...]]:
    """A layout from a mapping file.

    Returns
    -------
    Layout or None
    tuple of Finding
        Every fault of the file.
    """
    loaded = load_text(text, name)
    findings = list(loaded.findings)
    value = loaded.value
    if not isinstance(value, dict):
        findings.append(
            fault(Place(name, 1), "", "a mapping file is a mapping;", "write 'table: parts' and so on.")
        )
        return None, tuple(findings)

    def wrong(key: str, sentence: str, remedy: str) -> None:
        findings.append(fault(Place(name, loaded.lines.get((key,), 1)), key, sentence, remedy))

    known = ("sheet", "heading row", "columns", "units", "states", "parent", "source", "source kind", *_WORDS)
    for key in value:
        if key not in known:
            wrong(key, "is not a field here;", f"the fields are: {', '.join(known)}.")
    for key, words in _WORDS.items():
        if key in value and value[key] not in words:
            wrong(key, f"{value[key]!r} is not one of the words for this;", f"write {' or '.join(words)}.")
    table = value.get("table", "parts")
    columns: dict[str, int] = {}
    given = value.get("columns")
    if not isinstance(given, dict) or not given:
        wrong(
            "columns", "is missing;", "write 'columns: {name: B, mass: F}' with the letters of the columns."
        )
        given = {}
    for written, text_ in given.items():
        key = _field(written, table)
        if table in FIELDS and key not in FIELDS[table]:
            wrong(
                "columns",
                f"{written!r} is no field of {table};",
                f"the fields are: {', '.join(map(written_name, FIELDS[table]))}.",
            )
        elif not re.fullmatch(r"[A-Za-z]{1,2}", str(text_)):
            wrong("columns", f"{key}: {text_!r} is no column;", "write its letters, such as F or AA.")
        else:
            columns[key] = _number(str(text_))
    units: dict[str, MeasureUnit] = {}
    for key, text_ in (value.get("units") or {}).items():
        name_of = _field(key, table)
        try:
            units[name_of] = find_unit(str(text_), DIMENSIONS.get(name_of, "mass"))
        except UnitError as error:
            wrong("units", f"{key}: {error};", "write a unit of what the column holds.")
    states: dict[str, str] = {}
    for key, text_ in (value.get("states") or {}).items():
        if text_ not in STATES:
            wrong("states", f"{key}: {text_!r} is no state;", f"write {', '.join(STATES)}.")
        states[_field(key, table)] = str(text_)
    row = str(value.get("heading row", "1"))
    if not re.fullmatch(r"\d{1,6}", row, re.ASCII):
        wrong("heading row", f"{row!r} is no row number;", "write it in digits; 0 if there are no headings.")
    if findings:
        return None, tuple(findings)
    texts = {key.replace(" ", "_"): str(value[key]) for key in _TEXTS if key in value}
    layout = Layout(table, int(row), columns, units, states, own_words=True, **texts)  # type: ignore[arg-type]
    for missing in layout.missing:
        wrong(
            "columns", f"{written_name(missing)!r} has no column;", "name it; without it nothing can be read."
        )
    return (None if findings else layout), tuple(findings)


def _number(text: str) -> int:
    number = 0
    for sign in text.upper():
        number = number * 26 + ord(sign) - 64
    return number - 1
