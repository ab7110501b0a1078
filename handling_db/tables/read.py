"""Tables and spreadsheets of every kind, the second way in: one reader for `build`, `check` and `sheet`.

A text file headed with ids for parent and child is read in whole columns, so that a million rows take a few
seconds: all of it at once where it is large and nothing in it is odd, otherwise some hundred rows at a time.
Everything else is looked at cell by cell as a sheet. All know the same headings and read cells by the same
functions. Every fault of a file is found in one run.
"""

from __future__ import annotations

import csv
import datetime
import gc
import io
from collections.abc import Collection as Several
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import dump_text
from handling_db.findings import Finding, Verdict
from handling_db.records.collection import Collection
from handling_db.records.kinds.source import SourceKind
from handling_db.tables.columns import find_delimiter, is_flat, read_heading
from handling_db.tables.exports.package_in import read_package
from handling_db.tables.findings import FileFindings
from handling_db.tables.flat_table import FlatTable
from handling_db.tables.numbers import Numbers
from handling_db.tables.parents import settle_parents
from handling_db.tables.reader import NotFlat, TableReader
from handling_db.tables.rows import Rows, chunks, first_lines, table_bytes
from handling_db.tables.sheets.grid import Grid, SheetError
from handling_db.tables.sheets.layout import Layout
from handling_db.tables.sheets.open import ENDINGS, TEXT_ENDINGS, is_book, read_book_grids
from handling_db.tables.sheets.sheet_in import (
    SheetReading,
    choose_grids,
    layout_of,
    read_sheet,
    say_not_stated,
)
from handling_db.tables.sheets.text_in import text_grid
from handling_db.tables.statements import contradictions, exported_digits

COLUMNS_FROM = 5_000  # lines from which on a table is read by whole columns where nothing in it is odd


@dataclass(frozen=True, slots=True)
class HowRead:
    """What is said of a sheet beside what stands in it.

    Parameters
    ----------
    decimal : str
        ``point`` or ``comma``; empty where nobody stated the decimal sign.
    sheet : str
        Name of the only sheet to read; empty for all of them.
    table : str
        ``parts``, ``masses`` or ``notes``; empty where the headings show it.
    mapping : Layout, optional
        Which column is which.
    row_by_row : bool
        Whether to say of every row what became of it, however plain the table is.
    """

    decimal: str = ""
    sheet: str = ""
    table: str = ""
    mapping: Layout | None = None
    row_by_row: bool = False


@dataclass(frozen=True, slots=True)
class TableReading:
    """A flat table and what is to be said about it.

    Parameters
    ----------
    table : FlatTable or None
        The rows without a fault; None where nothing can be taken of the file.
    findings : tuple of Finding
    sheet : SheetReading, optional
        The fates of its rows and its notes, where it was read as a sheet.
    """

    table: FlatTable | None
    findings: tuple[Finding, ...]
    sheet: SheetReading | None = field(default=None)

    @property
    def notes(self) -> tuple[dict[str, Any], ...]:
        """Notes of a list of notes, as plain values."""
        return self.sheet.notes if self.sheet is not None else ()


@dataclass(frozen=True, slots=True)
class TablesRead:
    """What some files of tables hold.

    Parameters
    ----------
    tables : tuple of FlatTable
    records : tuple of Collection
        The notes of lists of notes, and what exported folders hold.
    findings : tuple of Finding
    """

    tables: tuple[FlatTable, ...]
    records: tuple[Collection, ...]
    findings: tuple[Finding, ...]


def read_file(
    path: Path,
    how: HowRead | None = None,
    *,
    kinds: Mapping[str, SourceKind] | None = None,
    today: datetime.date | None = None,
) -> tuple[TableReading, ...]:
    """Read every table of a file: of a workbook each sheet that can be seen and holds anything.

    Parameters
    ----------
    path : Path
        Text with cells separated by ``;``, ``,`` or tabs, of any usual encoding, or XLSX, ODS, XLS, XLSB.
    how : HowRead, optional
        The decimal sign, a mapping, which sheet.
    kinds : mapping of id to SourceKind, optional
    today : date, optional
        For notes without a day of their own.

    Returns
    -------
    tuple of TableReading
        One at least; one without a table where nothing can be read.

    Raises
    ------
    HandlingError
        There is no such file, no such sheet, or `decimal` is another word.
    """
    how = how or HowRead()
    if how.decimal not in ("", "point", "comma"):
        raise HandlingError(f"decimal is 'point' or 'comma', not {how.decimal!r}")
    if not path.is_file():
        raise HandlingError(f"{path}: no such file")
    said = FileFindings(str(path))
    with collector_paused():
        if is_book(path):
            try:
                grids = choose_grids(path, read_book_grids(path), how.sheet, said)
            except SheetError as error:
                return (_cannot(said, path, error),)
            return _sheets(path, grids, how, said, kinds, today)
        if path.suffix.lower() not in TEXT_ENDINGS:
            raise HandlingError(f"{path}: a table ends in {', '.join(ENDINGS)}; save it as one of these")
        data = table_bytes(path, said)
        if data is None:
            return (TableReading(None, said.findings()),)
        first = first_lines(data)
        delimiter = find_delimiter(first)
        head = next(csv.reader(io.StringIO(first, newline=""), delimiter=delimiter), [])
        if (
            how.mapping is None
            and not how.row_by_row
            and (is_flat(head) or not said_anything(first, delimiter))
        ):
            before = said.copy()
            try:
                return (_flat(data, Numbers(delimiter, how.decimal), said, kinds),)
            except NotFlat:
                said = before
        grid = text_grid(path, data, said)
        if grid is None:
            return (TableReading(None, said.findings()),)
        return _sheets(path, (grid,), how, said, kinds, today)


def said_anything(head: str, delimiter: str) -> bool:
    """Whether anything stands in the first lines of a table but separators."""
    return bool(head.replace(delimiter, "").strip("\ufeff \t\r\n"))


def _cannot(said: FileFindings, path: Path, error: SheetError) -> TableReading:
    told = str(error).removeprefix(f"{path}: ")
    said.fault(1, "", f"{told};", "")
    return TableReading(None, said.findings())


def _sheets(
    path: Path,
    grids: Sequence[Grid],
    how: HowRead,
    said: FileFindings,
    kinds: Mapping[str, SourceKind] | None,
    today: datetime.date | None,
) -> tuple[TableReading, ...]:
    """Each sheet of a book, or the one of a text file; what was said of the file comes with the first."""
    found: list[TableReading] = []
    for grid in grids:
        try:
            layout = layout_of(grid, grids, how.mapping, how.table or None, how.decimal)
        except SheetError as error:
            if len(grids) == 1:
                found.append(_cannot(said, path, error))
                return tuple(found)
            told = str(error).removeprefix(f"{grid.file}: ")
            said.remark(
                1, "", f"{told}; this sheet was not read;", "name it with --sheet, or give a mapping file."
            )
            continue
        reading = read_sheet(path, grid, layout, kinds=kinds, today=today)
        found.append(TableReading(reading.table, reading.findings, reading))
    first = found[0] if found else TableReading(None, ())
    if not found and not said.faults:
        said.fault(1, "", "no sheet of it has headings that are known;", "give a mapping file.")
    return (TableReading(first.table, (*said.findings(), *first.findings), first.sheet), *found[1:])


def read_tables(
    paths: Sequence[Path],
    how: HowRead | None = None,
    *,
    kinds: Mapping[str, SourceKind] | None = None,
    recorded: Several[str] = (),
) -> TablesRead:
    """Read tables that belong together, and look whether each parent is introduced somewhere.

    Parameters
    ----------
    paths, how, kinds
        As for `read_file`.
    recorded : set of str
        Ids of the components that stand in records beside the tables.

    Returns
    -------
    TablesRead
        Tables that cannot be read at all are left out, with a fault.
    """
    tables: list[FlatTable] = []
    findings: list[Finding] = []
    notes: list[tuple[str, str]] = []
    packages: list[Collection] = []
    for path in paths:
        if path.is_dir():
            package = read_package(path)
            packages.append(package.collection)
            findings += package.findings
            continue
        for found in read_file(path, how, kinds=kinds):
            findings += found.findings
            if found.table is not None:
                tables.append(found.table)
            if found.notes and found.sheet is not None:
                notes.append((f"{path}, sheet {found.sheet.grid.name}", dump_text(list(found.notes))))
    settled, told = settle_parents(tables, recorded)
    read = read_texts(notes)
    return TablesRead(tuple(settled), (read.collection, *packages), (*findings, *told, *read.findings))


@contextmanager
def collector_paused() -> Iterator[None]:
    """No garbage collection meanwhile: little that is made here refers in circles, and looking takes long."""
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


@contextmanager
def collector_seldom() -> Iterator[None]:
    """Garbage collection much less often, and never among what is there already.

    For long work that keeps most of what it makes for a while and collects itself when it lets go of it.
    """
    before = gc.get_threshold()
    gc.set_threshold(before[0] and 50_000, 20, 10)  # none at all stays none
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()
        gc.set_threshold(*before)


def _flat(
    data: bytes, numbers: Numbers, said: FileFindings, kinds: Mapping[str, SourceKind] | None
) -> TableReading:
    if data.count(b"\n") > COLUMNS_FROM:
        from handling_db.tables.bulk.plain import read_plain

        plainly = said.copy()
        table = read_plain(data, Numbers(numbers.delimiter, numbers.decimal), plainly, kinds)
        if table is not None:  # nothing in it is odd
            return _looked_over(table, plainly)
    reader: TableReader | None = None
    for rows in chunks(data, numbers.delimiter, said):
        if reader is None:
            at = next((i for i, row in enumerate(rows.rows) if any(map(str.strip, row))), None)
            if at is None:
                continue
            layout = read_heading(rows.rows[at], rows.lines[at], said)
            if layout is None:
                return TableReading(None, said.findings())
            reader = TableReader(layout, rows.lines[at], numbers, said, kinds, flat=True)
            rows = Rows(rows.rows[at + 1 :], rows.lines[at + 1 :])
        reader.take(rows)
    if reader is None:
        if not said.faults:
            remedy = "write a heading line with at least parent and child, and a row for each piece."
            said.fault(1, "", "the table is empty;", remedy)
        return TableReading(None, said.findings())
    asked = numbers.signs.asked() if numbers.signs is not None else None
    if asked is not None:
        say_not_stated(said, *asked)
        return TableReading(None, said.findings())
    return _looked_over(reader.finish(), said)


def _looked_over(table: FlatTable, said: FileFindings) -> TableReading:
    """A table that was read, and what its figures show together."""
    for finding in (*contradictions(table), *exported_digits(table)):
        said.add(finding)
    return TableReading(table, said.findings())


def has_faults(readings: Sequence[TableReading]) -> bool:
    """Whether anything in some tables could not be read."""
    return any(finding.verdict is Verdict.FAULT for reading in readings for finding in reading.findings)
