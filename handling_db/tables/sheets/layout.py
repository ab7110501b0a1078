"""Which column of a sheet is which: found by its headings, in one row or two, or given by a mapping file."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from handling_db.errors import UnitError
from handling_db.quantities.quantity import find_unit
from handling_db.quantities.table import MeasureUnit
from handling_db.tables.sheets.grid import Grid, SheetError, SheetRow, letters
from handling_db.tables.text.headings import DIMENSIONS, Heading, fold, is_unit, read_heading, vocabulary

Table = Literal["parts", "masses", "notes"]
TABLES: tuple[Table, ...] = ("parts", "masses", "notes")

# The fields of each table, in the order in which the template has them.
FIELDS: Mapping[Table, tuple[str, ...]] = {
    "parts": (
        "name", "child", "parent", "part number", "quantity", "mass", "mass together", "unit", "plus_minus",
        "step", "u", "state", "remark", "level", "position", "counts", "without", "boundary", "build",
        "source", "serial", "on", "by", "also", "x", "y", "z", "length_unit", "roll", "pitch", "yaw",
        "cg_x", "cg_y", "cg_z",
        "stated", "stated_unit", "stated_step", "where", "figure remark", "source kind",
        "parts listed", "kind",
    ),
    "masses": (
        "child", "mass", "name", "unit", "plus_minus", "step", "u", "state", "counts", "without", "boundary",
        "build", "source", "serial", "on", "by", "remark", "part number", "also",
        "where", "figure remark", "source kind",
    ),
    "notes": (
        "about", "kind", "text", "hazard", "attitude", "gear used", "rated", "author", "on", "seen",
        "told by",
    ),
}  # fmt: skip
# A note's own words for columns that lists of parts have as well.
_NOTE_WORDS: Mapping[str, str] = {
    "child": "about", "name": "about", "remark": "text", "by": "author", "source": "told by",
}  # fmt: skip
# What shows that a sheet lists parts, and not only figures.
_LISTS = frozenset({"quantity", "parent", "level", "position", "mass together"})
_LOOKED_AT = 40  # rows in which headings are looked for
_ONE_ONLY = frozenset({"parent", "child", "quantity", "mass", "mass together", "unit", "level", "plus_minus"})


@dataclass(frozen=True, slots=True)
class Layout:
    """How a sheet is read.

    Parameters
    ----------
    table : Table
    heading_row : int
        Row number of the last row of headings, counted from one; 0 for none.
    columns : mapping of field to column
        Counted from zero.
    units : mapping of field to MeasureUnit
        Units that stand in headings, or that the mapping file gives.
    states : mapping of field to str
        Which fluid was in, where a heading says so.
    parent : str
        Id of the assembly that rows without a parent go into.
    source, source_kind : str
        Id and kind of the source of figures that name none.
    decimal : str
        ``point`` or ``comma``; empty where nobody stated it.
    hidden_rows : str
        ``pass`` over them, or ``take`` them.
    parts_listed : str
        ``all`` or ``some``; empty where nobody said: see `lists`.
    sheet : str
        Name of the sheet it is for.
    heading_rows : int
        How many rows the headings take.
    own_words : bool
        Whether every heading is this program's own word, so that there is nothing to confirm.
    unqualified : bool
        Whether the heading of the masses leaves open if they are of one piece or of all of a row.
    heads : mapping of field to str
        What each column is headed with, of two rows both.
    doubled : tuple of str
        What is wrong with the headings: two columns that mean the same.
    """

    table: Table
    heading_row: int
    columns: Mapping[str, int]
    units: Mapping[str, MeasureUnit] = field(default_factory=dict)
    states: Mapping[str, str] = field(default_factory=dict)
    parent: str = ""
    source: str = ""
    source_kind: str = ""
    decimal: str = ""
    hidden_rows: str = "pass"
    parts_listed: str = ""
    sheet: str = ""
    heading_rows: int = 1
    own_words: bool = False
    unqualified: bool = False
    heads: Mapping[str, str] = field(default_factory=dict)
    doubled: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[str, ...]:
        """Fields that are needed and have no column."""
        have = set(self.columns)
        if self.table == "notes":
            return tuple(name for name in ("about", "kind", "text") if name not in have)
        lacking = [] if have & {"name", "child", "part number"} else ["name"]
        if self.table == "masses":
            return (*lacking, *([] if self.weighs else ["mass"]))
        return (*lacking, *([] if "quantity" in have or self.weighs else ["quantity"]))

    @property
    def weighs(self) -> bool:
        """Whether any column is taken for masses."""
        return bool({"mass", "mass together", "stated"} & self.columns.keys())

    @property
    def exported(self) -> bool:
        """Whether `export` wrote the list: there every row is a piece, whatever its name begins with."""
        return {"level", "child", "figure remark", "where"} <= self.columns.keys()

    @property
    def lists(self) -> str:
        """Whether the rows of an assembly count as all its parts: as said; else only in a table of ids."""
        return self.parts_listed or ("all" if {"parent", "child"} <= self.columns.keys() else "some")

    def where(self, name: str) -> str:
        """The letters of a field's column."""
        return letters(self.columns[name])


def find_layout(grid: Grid, table: Table | None = None) -> Layout:
    """The layout that a sheet's headings show.

    Raises
    ------
    SheetError
        No row looks like headings.
    """
    best: tuple[int, Layout] | None = None
    rows = grid.rows[:_LOOKED_AT]
    for one in (table,) if table else _by_name(grid.name):
        for place, row in enumerate(rows):
            texts = [(cell.text if cell.kind == "text" else "") for cell in row.cells]
            below = rows[place + 1] if place + 1 < len(rows) else None
            two = _two_rows(texts, below) if below is not None else None
            for found, at, count in ((texts, row, 1), (two, below, 2)):
                if found is None or at is None:
                    continue
                layout = _layout(found, one, at.number, grid, count)
                score = 10 * len(layout.columns) + 3 * len(layout.units) - 25 * len(layout.missing) - count
                score -= 15 * len(layout.doubled)
                if len(layout.columns) >= 2 and (best is None or score > best[0]):
                    best = (score, layout)
    if best is None:
        sheet = f"sheet {grid.name}: " if grid.name else ""
        raise SheetError(
            f"{grid.file}: {sheet}no row of headings was found in the first {_LOOKED_AT} rows; "
            "give a mapping file (see docs/tables.md)"
        )
    layout = best[1]
    if layout.table == "parts" and not layout.columns.keys() & _LISTS:
        return replace(layout, table="masses")  # figures alone: nothing goes into anything
    return layout


def _by_name(name: str) -> tuple[Table, ...]:
    named = [table for table in TABLES if table in name.lower()]
    return (named[0],) if named else TABLES


def _two_rows(above: Sequence[str], row: SheetRow) -> list[str] | None:
    """Headings in two rows as one: Weight over each and total; None where the second row has no headings."""
    below = [cell.text for cell in row.cells]
    if any(cell.kind not in ("text", "empty") for cell in row.cells) or not any(below):
        return None
    joined: list[str] = []
    over = ""
    gained = False
    for top, bottom in itertools.zip_longest(above, below, fillvalue=""):
        over = top or (over if bottom else "")
        if not bottom:
            joined.append(top)
            continue
        together = f"{over} {bottom}".strip()
        alone, both = read_heading(bottom), read_heading(together)
        if not top and alone.fields and not _only_adds(bottom):
            both, together = alone, bottom
        if not both.fields:
            return None
        gained = gained or both != read_heading(top)
        joined.append(together)
    return joined if gained else None


def _only_adds(text: str) -> bool:
    """Whether a text of the second row only says more of the one above it: a unit, each, total."""
    known = vocabulary()
    return fold(text) in known.of_one | known.of_all or is_unit(text.strip("()[]"), "mass")


def _layout(texts: Sequence[str], table: Table, row: int, grid: Grid, count: int) -> Layout:
    columns: dict[str, int] = {}
    units: dict[str, MeasureUnit] = {}
    states: dict[str, str] = {}
    doubled: list[str] = []
    own, qualified, decimal = True, True, ""
    found = [read_heading(text) if len(text) <= 60 else Heading() for text in texts]
    allowed = [_allowed(heading, table) for heading in found]
    order = [i for i, fields in enumerate(allowed) if len(fields) == 1]
    order += [i for i, fields in enumerate(allowed) if len(fields) > 1]
    for i in order:
        heading = found[i]
        name = next((one for one in allowed[i] if one not in columns), allowed[i][0])
        if name in columns:
            if name == "mass" and _another_unit(heading, units.get("mass")) and "also" not in columns:
                name = "also"  # a second column of the same figures in another unit
            else:
                if name in _ONE_ONLY:
                    doubled.append(
                        f"the columns {letters(columns[name])} {texts[columns[name]]!r} and {letters(i)} "
                        f"{texts[i]!r} both mean {name};"
                    )
                continue
        if heading.unit and DIMENSIONS.get(heading.fields[0]):
            try:
                units[name] = find_unit(heading.unit, DIMENSIONS[heading.fields[0]])
            except UnitError as error:
                doubled.append(f"the heading {texts[i]!r} names no unit to read: {error};")
        columns[name] = i
        own = own and heading.plain
        decimal = decimal or heading.decimal
        if heading.state:
            states[name] = heading.state
        if name == "mass":
            qualified = heading.qualified
    return Layout(
        table, row, columns, units, states, decimal=decimal or _stated_above(grid, row), sheet=grid.name,
        heading_rows=count, own_words=own,
        unqualified=not qualified and "quantity" in columns and "mass together" not in columns,
        heads={name: texts[at] for name, at in columns.items()}, doubled=tuple(doubled),
    )  # fmt: skip


def _allowed(heading: Heading, table: Table) -> tuple[str, ...]:
    fields = FIELDS[table]
    if table == "notes":
        named = [_NOTE_WORDS.get(name, name) for name in heading.fields]
        return tuple(dict.fromkeys(name for name in named if name in fields))
    return tuple(name for name in heading.fields if name in fields)


def _another_unit(heading: Heading, first: MeasureUnit | None) -> bool:
    try:
        return first is not None and find_unit(heading.unit, "mass") != first
    except UnitError:
        return False


def _stated_above(grid: Grid, heading_row: int) -> str:
    """The decimal sign, where a cell above the headings states it."""
    return next((sign for row in grid.rows if row.number < heading_row if (sign := stated_in(row))), "")


def stated_in(row: SheetRow) -> str:
    """The decimal sign that a row of cells states: ``decimal: comma``, or the two in neighbouring cells."""
    known = vocabulary()
    for place, cell in enumerate(row.cells):
        if cell.kind != "text":
            continue
        name, sign, value = cell.text.partition(":")
        if fold(name) in known.decimal_sign:
            beside = value if sign and value.strip() else row.at(place + 1).text
            return known.decimals.get(fold(beside), "")
        if fold(cell.text) in known.decimals and len(cell.text) > 5 and "dez" in cell.text.lower()[:3]:
            return known.decimals[fold(cell.text)]
    return ""


def stated_in_help(grids: Sequence[Grid]) -> str:
    """The decimal sign that the help page of a filled template states; empty for none."""
    pages = (grid for grid in grids if grid.name.lower() in ("help", "hilfe"))
    return next((sign for grid in pages for row in grid.rows if (sign := stated_in(row))), "")
