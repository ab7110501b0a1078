"""Which column is which: a guess from a sheet's headings, shown and confirmed, or a small mapping file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from handling_db.errors import UnitError
from handling_db.files.yaml_text import dump_text, load_text
from handling_db.findings import Finding, Place, fault
from handling_db.quantities.quantity import Unit, find_unit
from handling_db.tables.sheets.grid import Grid, Row, SheetError, letters

Table = Literal["parts", "masses", "notes"]
TABLES: tuple[Table, ...] = ("parts", "masses", "notes")

# Fields of each table, the needed ones first, and the headings that mean them, in plain words.
FIELDS: Mapping[Table, tuple[str, ...]] = {
    "parts": (
        "name", "id", "parent", "part number", "quantity", "mass", "mass together", "unit", "plus or minus",
        "state", "remark",
    ),
    "masses": (
        "id", "mass", "name", "unit", "plus or minus", "step", "state", "counts", "without", "source",
        "serial", "on", "by", "remark",
    ),
    "notes": (
        "about", "kind", "text", "hazard", "attitude", "gear used", "rated", "author", "on", "seen",
        "told by",
    ),
}  # fmt: skip
_MEANING: Mapping[str, tuple[str, ...]] = {
    "name": ("name", "description", "part name", "part", "item description", "designation", "component name"),
    "id": ("id", "component", "component id", "code"),
    "parent": ("parent", "goes into", "assembly", "belongs to", "in", "unit name", "group"),
    "part number": (
        "part number", "part no", "part no.", "part #", "number", "item no", "item number", "p/n", "pn",
    ),
    "quantity": ("quantity", "qty", "count", "pieces", "pcs", "no off", "number off", "how many"),
    "mass": (
        "mass", "mass each", "weight", "weight each", "wt", "wt each", "unit weight", "unit mass", "each",
        "piece weight", "weight of one",
    ),
    "mass together": (
        "mass together", "total weight", "total mass", "line weight", "weight total", "wt total", "together",
        "extended weight",
    ),
    "unit": ("unit", "units", "uom", "unit of mass", "unit of weight"),
    "plus or minus": ("plus or minus", "+/-", "±", "doubt", "tolerance", "accuracy"),
    "step": ("step", "rounding", "rounded to", "division"),
    "state": ("state", "dry drained filled", "fluid"),
    "counts": ("counts", "includes"),
    "without": ("without", "leaves out", "excludes", "missing"),
    "source": ("source", "scale", "read with", "from"),
    "serial": ("serial", "serial number", "serial no", "s/n"),
    "on": ("on", "date", "day", "weighed on"),
    "by": ("by", "who", "role", "weighed by"),
    "remark": ("remark", "remarks", "comment", "comments", "note", "notes"),
    "about": ("about", "component", "joint", "fixture"),
    "kind": ("kind", "kind of note", "type"),
    "text": ("text", "note", "what to look for", "notes"),
    "hazard": ("hazard", "danger", "what happens without it"),
    "attitude": ("attitude", "which way up"),
    "gear used": ("gear used", "gear", "tool", "tools"),
    "rated": ("rated", "rating", "rated load"),
    "author": ("author", "role", "by", "who"),
    "seen": ("seen", "how often"),
    "told by": ("told by",),
}  # fmt: skip
NEEDED: Mapping[Table, tuple[str, ...]] = {
    "parts": ("name", "quantity"),
    "masses": ("id", "mass"),
    "notes": ("about", "kind", "text"),
}
_LOOKED_AT = 40  # rows in which a heading is looked for


@dataclass(frozen=True, slots=True)
class Layout:
    """How a sheet is read.

    Parameters
    ----------
    table : Table
    heading_row : int
        Row number of the headings, counted from one.
    columns : mapping of field to column
        Counted from zero.
    units : mapping of field to Unit
        Units that stand in headings, or that the mapping file gives.
    parent : str
        Id of the assembly that rows without a parent go into.
    source, source_kind : str
        Id and kind of the source of figures that name none.
    decimal : str
        ``point`` or ``comma``.
    hidden_rows : str
        ``pass`` over them, or ``take`` them.
    parts_listed : str
        ``all`` or ``some``.
    sheet : str
        Name of the sheet it is for.
    """

    table: Table
    heading_row: int
    columns: Mapping[str, int]
    units: Mapping[str, Unit] = field(default_factory=dict)
    parent: str = ""
    source: str = ""
    source_kind: str = "not said"
    decimal: str = "point"
    hidden_rows: str = "pass"
    parts_listed: str = "some"
    sheet: str = ""

    @property
    def missing(self) -> tuple[str, ...]:
        """Fields that are needed and have no column."""
        have = set(self.columns)
        if self.table == "parts" and "part number" in have:
            have.add("name")
        if self.table == "masses" and have & {"name", "id"}:
            have.add("id")
        return tuple(name for name in NEEDED[self.table] if name not in have)


def guess(grid: Grid, table: Table | None = None) -> Layout:
    """The layout that a sheet's headings suggest; a guess, to be shown before it is used.

    Raises
    ------
    SheetError
        No row looks like headings.
    """
    best: tuple[int, Layout] | None = None
    wanted = (table,) if table else _by_name(grid.name)
    for one in wanted:
        for row in grid.rows[:_LOOKED_AT]:
            columns, units = _columns(row, one)
            layout = Layout(one, row.number, columns, units, sheet=grid.name)
            score = 10 * len(columns) - 25 * len(layout.missing)
            if len(columns) >= 2 and (best is None or score > best[0]):
                best = (score, layout)
    if best is None:
        sheet = f"sheet {grid.name}: " if grid.name else ""
        raise SheetError(
            f"{grid.file}: {sheet}no row of headings was found in the first {_LOOKED_AT} rows; "
            "give a mapping file (see docs/spreadsheets.md)"
        )
    return best[1]


def _by_name(name: str) -> tuple[Table, ...]:
    named = [table for table in TABLES if table in name.lower()]
    return (named[0],) if named else TABLES


def _columns(row: Row, table: Table) -> tuple[dict[str, int], dict[str, Unit]]:
    columns: dict[str, int] = {}
    units: dict[str, Unit] = {}
    for column, cell in enumerate(row.cells):
        if cell.kind != "text" or len(cell.text) > 60:
            continue
        plain, unit = _heading(cell.text)
        for name in FIELDS[table]:
            if name not in columns and plain in _MEANING[name]:
                columns[name] = column
                if unit is not None:
                    units[name] = unit
                break
    return columns, units


def _heading(text: str) -> tuple[str, Unit | None]:
    """A heading in small letters without its unit, and the unit: ``Weight (lb)``, ``Mass [kg] each``."""
    unit = None

    def take(match: re.Match[str]) -> str:
        nonlocal unit
        try:
            unit = find_unit(match[1].strip(), "mass")
        except UnitError:
            return match[0]
        return " "

    plain = re.sub(r"[(\[]([^)\]]*)[)\]]", take, text)
    words = plain.lower().replace("_", " ").split()
    if unit is None and len(words) > 1:
        for place in (len(words) - 1, 0):
            try:
                unit = find_unit(words[place].strip(",:"), "mass")
            except UnitError:
                continue
            words = [*words[:place], *words[place + 1 :]]
            break
    return " ".join(words).strip(" :,"), unit


def mapping_text(layout: Layout, grid: Grid) -> str:
    """A layout as a mapping file, to be looked at, corrected and given back."""
    heading = next((row for row in grid.rows if row.number == layout.heading_row), None)
    columns = {
        name: f"{letters(column)}"
        for name, column in sorted(layout.columns.items(), key=lambda item: item[1])
    }
    fields: dict[str, Any] = {"sheet": layout.sheet} if layout.sheet else {}
    fields |= {"table": layout.table, "heading row": str(layout.heading_row), "columns": columns}
    if layout.units:
        fields["units"] = {name: unit.name for name, unit in layout.units.items()}
    for key, value in (("parent", layout.parent), ("source", layout.source)):
        if value:
            fields[key] = value
    fields |= {
        "source kind": layout.source_kind,
        "decimal": layout.decimal,
        "hidden rows": layout.hidden_rows,
        "parts listed": layout.parts_listed,
    }
    told = "".join(
        f"# {letters(column)}: {heading.at(column).text!r} is taken for {name}\n" if heading else ""
        for name, column in sorted(layout.columns.items(), key=lambda item: item[1])
    )
    not_used = [
        f"{letters(i)} {cell.text!r}"
        for i, cell in enumerate(heading.cells if heading else ())
        if cell.text and i not in layout.columns.values()
    ]
    return told + (f"# not used: {', '.join(not_used)}\n" if not_used else "") + dump_text(fields)


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

    known = ("sheet", "heading row", "columns", "units", "parent", "source", "source kind", *_WORDS)
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
    for key, text_ in given.items():
        if table in FIELDS and key not in FIELDS[table]:
            wrong(
                "columns", f"{key!r} is no field of {table};", f"the fields are: {', '.join(FIELDS[table])}."
            )
        elif not re.fullmatch(r"[A-Za-z]{1,2}", str(text_)):
            wrong("columns", f"{key}: {text_!r} is no column;", "write its letters, such as F or AA.")
        else:
            columns[key] = _number(str(text_))
    units: dict[str, Unit] = {}
    for key, text_ in (value.get("units") or {}).items():
        try:
            units[key] = find_unit(str(text_), "mass")
        except UnitError as error:
            wrong("units", f"{key}: {error};", "write a unit of mass.")
    row = str(value.get("heading row", "1"))
    if not re.fullmatch(r"\d{1,6}", row, re.ASCII):
        wrong("heading row", f"{row!r} is no row number;", "write it in digits; 0 if there are no headings.")
    if findings:
        return None, tuple(findings)
    layout = Layout(
        table,
        int(row),
        columns,
        units,
        *(str(value.get(key, default)) for key, default in _DEFAULTS),
    )
    for missing in layout.missing:
        wrong("columns", f"{missing!r} has no column;", "name it; without it nothing can be read.")
    return (None if findings else layout), tuple(findings)


_DEFAULTS = (
    ("parent", ""),
    ("source", ""),
    ("source kind", "not said"),
    ("decimal", "point"),
    ("hidden rows", "pass"),
    ("parts listed", "some"),
    ("sheet", ""),
)


def _number(text: str) -> int:
    number = 0
    for sign in text.upper():
        number = number * 26 + ord(sign) - 64
    return number - 1
