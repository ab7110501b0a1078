"""One sheet as a flat table or as notes, with what became of every row."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from handling_db.findings import Finding, Place, Verdict
from handling_db.records.kinds.source import SourceKind
from handling_db.tables.columns import ColumnLayout as Columns
from handling_db.tables.findings import FileFindings
from handling_db.tables.flat_table import FlatTable
from handling_db.tables.numbers import Numbers
from handling_db.tables.reader import TableReader
from handling_db.tables.rows import Rows
from handling_db.tables.sheets.cells_in import word_id
from handling_db.tables.sheets.fates import (
    PASSED,
    REFUSED,
    TAKEN,
    WITHOUT_MASS,
    Fate,
    SheetSaid,
)
from handling_db.tables.sheets.grid import Grid, SheetError, letters
from handling_db.tables.sheets.layout import TABLES, Layout, find_layout, stated_in_help
from handling_db.tables.sheets.mapping import written_name
from handling_db.tables.sheets.notes_in import read_notes
from handling_db.tables.sheets.rows_in import HEADS, Line, Normal, heads_of, read_rows
from handling_db.tables.sheets.totals_in import check_totals
from handling_db.tables.statements import contradictions
from handling_db.tables.text.decimal_sign import SheetFigure
from handling_db.tables.text.headings import is_unknown


@dataclass(frozen=True, slots=True)
class SheetReading:
    """What a sheet gave.

    Parameters
    ----------
    grid : Grid
    layout : Layout
    table : FlatTable or None
        Its parts and masses; None for a list of notes, and where nothing can be taken of the sheet.
    notes : tuple of dict
        Its notes as plain values.
    fates : tuple of Fate
        One for every row below the headings.
    findings : tuple of Finding
    """

    grid: Grid
    layout: Layout
    table: FlatTable | None
    notes: tuple[dict[str, Any], ...]
    fates: tuple[Fate, ...]
    findings: tuple[Finding, ...]


def is_template(grids: Sequence[Grid]) -> bool:
    """Whether a book has the three sheets that the template has."""
    return {table.capitalize() for table in TABLES} <= {grid.name for grid in grids}


def choose_grids(path: Path, grids: Sequence[Grid], name: str | None, said: FileFindings) -> tuple[Grid, ...]:
    """The sheets that are read: the named one, or all that can be seen and hold anything.

    Hidden ones are passed over, and said.

    Raises
    ------
    SheetError
        There is no sheet of that name, or nothing stands in any.
    """
    if name:
        found = [grid for grid in grids if grid.name.lower() == name.lower()]
        if not found:
            there = ", ".join(grid.name for grid in grids) or "none"
            raise SheetError(f"{path}: there is no sheet {name!r}; there are: {there}")
        return (found[0],)
    filled = [grid for grid in grids if any(True for _ in grid.filled())]
    for grid in filled:
        if grid.hidden:
            told = f"the sheet {grid.name} is hidden and was not read;"
            said.remark(1, "", told, "show it, or name it with --sheet.")
    seen = tuple(grid for grid in filled if not grid.hidden)
    if is_template(seen):
        seen = tuple(grid for grid in seen if grid.name.lower() in TABLES)
    if not seen:
        raise SheetError(f"{path}: nothing stands in it")
    return seen


def layout_of(grid: Grid, grids: Sequence[Grid], given: Layout | None, table: Any, decimal: str) -> Layout:
    """The layout of a sheet: given, or found by its headings; with the decimal sign as it was stated.

    Raises
    ------
    SheetError
        No headings were found.
    """
    layout = given or find_layout(grid, table)
    stated = decimal or layout.decimal or stated_in_help(grids)
    return replace(layout, decimal=stated)


def read_sheet(
    path: Path,
    grid: Grid,
    layout: Layout,
    *,
    kinds: Mapping[str, SourceKind] | None = None,
    today: datetime.date | None = None,
) -> SheetReading:
    """Read one sheet.

    Parameters
    ----------
    path : Path
    grid : Grid
    layout : Layout
        With the decimal sign, if it is stated.
    kinds : mapping of id to SourceKind, optional
        Kinds of source whose ids may stand in the column `source`.
    today : date, optional
        For notes without a day of their own; today's date when left out.
    """
    file = f"{path}, sheet {grid.name}" if grid.name else str(path)
    said = SheetSaid(file, grid, layout)
    _tell(grid, layout, said)
    if layout.missing or layout.doubled:
        return SheetReading(grid, layout, None, (), (), said.findings())
    if layout.table == "notes":
        fates, notes = read_notes(grid, layout, today or datetime.date.today(), said)
        return SheetReading(grid, layout, None, tuple(notes), tuple(fates), said.findings())
    numbers = Numbers(";" if grid.semicolons else ",", layout.decimal)
    normal = read_rows(grid, layout, numbers, said)
    if normal.asked is not None:
        say_not_stated(said, *normal.asked)
        fates = [
            *normal.fates.values(),
            *(Fate(line.row.number, REFUSED, NOT_STATED) for line in normal.lines),
        ]
        return SheetReading(grid, layout, None, (), _in_order(fates), said.findings())
    fine = check_totals(normal, layout, numbers, said)
    if layout.unqualified and fine is None and any((line.count or 1) != 1 for line in normal.lines):
        _say_of_one_or_all(layout, said)
    if not normal.lines and any(EXAMPLE in fate.why for fate in normal.fates.values()):
        return SheetReading(grid, layout, None, (), _in_order([*normal.fates.values()]), said.findings())
    read = _table(normal, layout, said, kinds)
    table = read if fine is not False else None
    return SheetReading(grid, layout, table, (), _fates(normal, table, said), said.findings())


STRUCTURE = frozenset({"parent", "child", "quantity", "name"})
OF_ONE_OR_ALL = "of-one-or-all"
UNREAD_FIGURES = "unread-figures"
_HEAD_IT = "head it 'mass each kg' or the like, or name it in a mapping file."
_FIGURE = re.compile(r"\d[\d., ]*(?:\s*(?:kg|g|t|lbs?|oz)\.?)?", re.IGNORECASE)
# What a column of masses is headed with, however else the heading goes on.
_MASS_WORD = re.compile(r"weight|gewicht|mass|wt\b|wgt|gew\.|\bkg\b|\blbs?\b", re.IGNORECASE)
EXAMPLE = "an example of the template"
NOT_STATED = "no figure of the sheet is taken until its decimal sign is stated"


def say_not_stated(said: FileFindings, seen: SheetFigure, why: str) -> None:
    """Say once for a sheet that its decimal sign has to be stated."""
    why = f"{seen.text!r} {why}"
    told = f"the decimal sign of this sheet is not stated, and {why}; no figure of it was taken;"
    remedy = (
        "say --decimal comma or --decimal point, or write 'decimal: comma' or 'decimal: point' in a cell "
        "above the headings."
    )
    said.fault(seen.line, seen.field, told, remedy)


def _say_of_one_or_all(layout: Layout, said: SheetSaid) -> None:
    """Say that nothing tells whether the masses are of one piece or of all pieces of a row."""
    told = (
        f"column {layout.where('mass')} does not say if its masses are of one piece or of all of a row; "
        "they are taken as of one piece."
    )
    remedy = "Head it 'mass each', or 'mass together' if they are of all."
    row = layout.heading_row or 1
    said.add(
        Finding(OF_ONE_OR_ALL, Verdict.CANNOT_BE_CHECKED, "", told, remedy, Place(said.file, row), "mass")
    )


def _tell(grid: Grid, layout: Layout, said: SheetSaid) -> None:
    """What is to be said of the sheet as a whole: columns by other words, unread ones, what hides."""
    row = layout.heading_row or 1
    for told in grid.told:
        said.remark(1, "", f"{told};", "")
    for told in layout.doubled:
        said.fault(row, "", told, "head them so that each means one thing, or give a mapping file.")
    for name in layout.missing:
        told = f"no column is taken for {written_name(name)};"
        said.fault(row, "", told, "head it so, or give a mapping file (see docs/tables.md).")
    heading = next((one for one in grid.rows if one.number == layout.heading_row), None)
    if heading is None:
        return
    if not layout.own_words:
        taken = ", ".join(
            f"{letters(column)} {layout.heads.get(name, '')!r} for {written_name(name)}"
            for name, column in sorted(layout.columns.items(), key=lambda item: item[1])
        )
        said.remark(
            row, "", f"columns are taken by their headings: {taken};", "put it right in a mapping file."
        )
    used = set(layout.columns.values())
    unread = {
        i: f"{letters(i)} {cell.text!r}"
        for i, cell in enumerate(heading.cells)
        if cell.text and i not in used
    }
    if unread:
        several = "these columns are" if len(unread) > 1 else "this column is"
        said.remark(
            row, "", f"{several} not read: {', '.join(unread.values())};", "name them in a mapping file."
        )
    lost = [] if layout.weighs else [text for text in unread.values() if _MASS_WORD.search(text)]
    figures = [] if layout.weighs or lost else [unread[i] for i in unread if _all_figures(grid, layout, i)]
    if figures and layout.table != "notes":
        told = (
            f"no column is taken for masses, and figures stand in {', '.join(figures)}, which are not read;"
        )
        said.add(
            Finding(
                UNREAD_FIGURES, Verdict.CANNOT_BE_CHECKED, "", told, _HEAD_IT, Place(said.file, row), "mass"
            )
        )
    if lost:
        told = f"{', '.join(lost)} may hold masses, and its heading is not understood;"
        said.fault(row, "", told, _HEAD_IT)
    hidden = [letters(column) for column in sorted(used) if column in grid.hidden_columns]
    if hidden:
        said.remark(row, "", f"hidden columns were read: {', '.join(hidden)};", "")


def _all_figures(grid: Grid, layout: Layout, column: int) -> bool:
    """Whether every cell below the headings of a column that says anything holds a figure."""
    cells = [row.at(column) for row in grid.rows if row.number > layout.heading_row]
    said = [cell for cell in cells if cell.kind == "number" or not is_unknown(cell.text)]
    return bool(said) and all(cell.kind == "number" or _FIGURE.fullmatch(cell.text) for cell in said)


def _table(
    normal: Normal, layout: Layout, said: SheetSaid, kinds: Mapping[str, SourceKind] | None
) -> FlatTable:
    """The lines without a fault, read as a flat table."""
    lines = [line for line in normal.lines if not (line.lost or line.repeats or line.fluid)]
    heads = heads_of(lines)
    units = {name: unit for name, unit in layout.units.items() if name in HEADS}
    if "mass together" in layout.units and "mass" not in units:
        units["mass"] = layout.units["mass together"]
    columns = Columns(len(heads), {name: i for i, name in enumerate(heads)}, units)
    reader = TableReader(columns, layout.heading_row or 1, Numbers(",", "point"), said, kinds)
    rows, numbers_ = [], []
    for line in lines:
        kept = STRUCTURE if line.bad else heads
        rows.append([line.cells.get(name, "") if name in kept else "" for name in heads])
        numbers_.append(line.row.number)
    if rows:
        reader.take(Rows(rows, numbers_), {line.row.number for line in lines if line.bad})
    for line in normal.lines:
        if (line.fluid and line.cells.get("parent")) or (line.lost and line.cells.get("parent")):
            reader.doubtful.add(line.cells["parent"])
        elif line.lost and "parent" not in line.cells:
            said.belongs_nowhere = True
    if any(fate.why.startswith("hidden") for fate in normal.fates.values()):
        said.belongs_nowhere = True  # what hides may go into anything
    reader.left_out += sum(line.lost for line in normal.lines)
    reader.rows += len(normal.lines)
    table = reader.finish()
    for node, code in enumerate(table.codes):
        if table.names[node] == code:
            table.names[node] = normal.parents.get(code, code)
    for finding in contradictions(table):
        said.add(finding)
    return replace(table, parts_listed=layout.lists)


def _fates(normal: Normal, table: FlatTable | None, said: SheetSaid) -> tuple[Fate, ...]:
    found = list(normal.fates.values())
    inside = {line.cells.get("parent") for line in normal.lines}
    found += [_fate(line, inside, table, said) for line in normal.lines]
    return _in_order(found)


def _fate(line: Line, inside: set[str | None], table: FlatTable | None, said: SheetSaid) -> Fate:
    number = line.row.number
    wrong = said.wrong.get(number)
    if wrong or line.bad:
        return Fate(number, REFUSED, "; ".join(wrong or ["a cell of it cannot be read"]))
    if table is None:
        return Fate(number, REFUSED, "no row of the sheet is taken")
    told = "; ".join(said.told.get(number, ()))
    if line.fluid:
        return Fate(number, PASSED, "a fluid needs litres and a density; write it as a record")
    if line.repeats:
        return Fate(number, PASSED, "the same part line as where its assembly is listed first")
    if line.cells.get("mass") or line.cells.get("stated"):
        return Fate(number, TAKEN, told)
    if line.id in inside:
        return Fate(number, TAKEN, "an assembly: its mass is that of its parts")
    why = "nobody wrote a mass" if said.layout.weighs else "no column is taken for masses"
    return Fate(number, WITHOUT_MASS, "; ".join(filter(None, [why, told])))


def _in_order(fates: Sequence[Fate]) -> tuple[Fate, ...]:
    return tuple(sorted(fates, key=lambda fate: fate.row))


def stem_of(grid: Grid) -> str:
    """What record files made of a sheet are called."""
    return word_id(Path(grid.file).stem + (f" {grid.name}" if grid.name else ""))
