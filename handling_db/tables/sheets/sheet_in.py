"""From a spreadsheet to record files that are ready to curate, or to what keeps it from being one."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import dump_text
from handling_db.findings import Finding
from handling_db.tables.sheets.csv_in import read_csv
from handling_db.tables.sheets.grid import Grid, SheetError
from handling_db.tables.sheets.headings import TABLES, Layout, guess
from handling_db.tables.sheets.notes_in import read_notes
from handling_db.tables.sheets.parts_in import Fate, Piece, SheetRecords, read_masses, read_parts, word_id


@dataclass(frozen=True, slots=True)
class SheetReading:
    """What a sheet gave.

    Parameters
    ----------
    grid : Grid
    layout : Layout
    fates : tuple of Fate
        One for every row below the headings.
    files : mapping of name to text
        Record files; empty where nothing was taken.
    findings : tuple of Finding
        What the reader of records has to say about these files.
    """

    grid: Grid
    layout: Layout
    fates: tuple[Fate, ...]
    files: dict[str, str]
    findings: tuple[Finding, ...]


def read_grids(path: Path) -> tuple[Grid, ...]:
    """The sheets of a file.

    Raises
    ------
    SheetError
        There is no such file, or it cannot be read.
    """
    if not path.is_file():
        raise SheetError(f"{path}: no such file")
    if path.suffix.lower() in (".xlsx", ".xlsm"):
        from handling_db.tables.sheets.xlsx_in import read_xlsx

        return read_xlsx(path)
    if path.suffix.lower() in (".csv", ".tsv", ".txt"):
        return read_csv(path)
    raise SheetError(f"{path}: a sheet ends in .xlsx, .csv, .tsv or .txt; save it as one of these")


def choose_grid(grids: tuple[Grid, ...], name: str | None) -> Grid:
    """The sheet of a name, or the only one with anything in it.

    Raises
    ------
    SheetError
        There is none, or there are several.
    """
    if name:
        found = [grid for grid in grids if grid.name.lower() == name.lower()]
        if not found:
            raise SheetError(
                f"there is no sheet {name!r}; there are: {', '.join(g.name for g in grids) or 'none'}"
            )
        return found[0]
    filled = [grid for grid in grids if any(True for _ in grid.filled())]
    if not filled:
        raise SheetError("nothing stands in it")
    if len(filled) > 1:
        raise SheetError(f"it has several sheets; say which: {', '.join(grid.name for grid in filled)}")
    return filled[0]


def is_template(grids: tuple[Grid, ...]) -> bool:
    """Whether it has the three sheets that the template has."""
    return {table.capitalize() for table in TABLES} <= {grid.name for grid in grids}


def read_sheet(grid: Grid, layout: Layout | None, today: datetime.date) -> SheetReading:
    """Read one sheet.

    Parameters
    ----------
    grid : Grid
    layout : Layout or None
        A confirmed one; None takes the guess.
    today : date
        For notes without a day of their own.

    Raises
    ------
    SheetError
        No headings were found, or a needed column is missing.
    """
    layout = layout or guess(grid)
    if layout.missing:
        raise SheetError(
            f"{grid.file}: no column is taken for {', '.join(layout.missing)}; give a mapping file "
            "(see docs/spreadsheets.md)"
        )
    into = SheetRecords()
    named = f"{grid.file}, sheet {grid.name}" if grid.name else grid.file
    source = layout.source or word_id(named)
    if layout.table == "parts":
        read_parts(grid, layout, source, into)
    elif layout.table == "masses":
        read_masses(grid, layout, source, into)
    else:
        read_notes(grid, layout, today, into)
    files = _files(grid, layout, into, source, named, today)
    reading = read_texts(files.items())
    return SheetReading(grid, layout, tuple(into.fates), files, reading.findings)


def _files(
    grid: Grid, layout: Layout, into: SheetRecords, source: str, named: str, today: datetime.date
) -> dict[str, str]:
    files: dict[str, str] = {}
    stem = word_id(Path(grid.file).stem + (f" {grid.name}" if grid.name else ""))
    if into.pieces:
        listed = [_component(piece, layout) for _, piece in sorted(into.pieces.items())]
        files[f"components/{stem}.yml"] = _head(named) + dump_text(listed)
    if any(piece.masses for piece in into.pieces.values()) and not layout.source:
        record = {
            "source": source,
            "name": named,
            "kind": layout.source_kind,
            "on": today.isoformat(),
            "remark": "Read from a spreadsheet; the cell stands with each figure.",
        }
        files[f"sources/{stem}.yml"] = dump_text([record])
    if into.notes:
        files[f"notes/{stem}.yml"] = _head(named) + dump_text(into.notes)
    return files


def _head(named: str) -> str:
    return f"# Read from {named}. Look it through: nothing of it was reviewed.\n"


def _component(piece: Piece, layout: Layout) -> dict[str, Any]:
    fields: dict[str, Any] = {
        "component": piece.id,
        "name": piece.name[:200],
        "kind": "assembly" if piece.parts else "part",
    }
    if piece.part_number:
        fields["part number"] = piece.part_number
    if piece.parts:
        fields["parts listed"] = layout.parts_listed
        fields["parts"] = piece.parts
    if piece.masses:
        fields["masses"] = piece.masses
    if piece.remark:
        fields["remark"] = piece.remark
    return fields
