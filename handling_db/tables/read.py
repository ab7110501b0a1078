"""Flat tables, the second way in: a CSV of parent, child, quantity, mass, such as a shop's spreadsheet gives.

Whole columns are read at once, some hundred rows at a time, and only what is not plain is looked at cell by
cell: a million rows take a few seconds. Every fault of a file is found in one run.
"""

from __future__ import annotations

import gc
from collections.abc import Collection as Several
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.findings import Finding
from handling_db.records.kinds.source import SourceKind
from handling_db.tables.columns import find_delimiter, read_heading
from handling_db.tables.findings import Said
from handling_db.tables.flat_table import FlatTable
from handling_db.tables.numbers import Numbers
from handling_db.tables.parents import settle_parents
from handling_db.tables.reader import TableReader
from handling_db.tables.records import table_records
from handling_db.tables.rows import Rows, chunks, heading_line, table_bytes
from handling_db.tables.statements import contradictions

__all__ = ["FlatTable", "TableReading", "read_table", "read_tables", "table_records"]


@dataclass(frozen=True, slots=True)
class TableReading:
    """A flat table and what is to be said about it.

    Parameters
    ----------
    table : FlatTable or None
        The rows without a fault; None where the file or its heading line cannot be read at all.
    findings : tuple of Finding
    """

    table: FlatTable | None
    findings: tuple[Finding, ...]


def read_table(
    path: Path, *, decimal: str = "point", kinds: Mapping[str, SourceKind] | None = None
) -> TableReading:
    """Read a flat table.

    Parameters
    ----------
    path : Path
        CSV, UTF-8 with or without byte order mark, cells separated by ``;``, ``,`` or tabs.
    decimal : str
        ``point``, or ``comma`` for tables written with decimal commas.
    kinds : mapping of id to SourceKind, optional
        Kinds of source whose ids may stand in the column `source`; those that come with the program when
        left out.

    Returns
    -------
    TableReading

    Raises
    ------
    HandlingError
        There is no such file, or `decimal` is another word.
    """
    if decimal not in ("point", "comma"):
        raise HandlingError(f"decimal is 'point' or 'comma', not {decimal!r}")
    said = Said(str(path))
    data = table_bytes(path, said)
    if data is None:
        return TableReading(None, said.findings())
    first = heading_line(data)
    with _collector_paused():
        return _read(data, Numbers(find_delimiter(first), decimal), said, kinds)


def read_tables(
    paths: Sequence[Path],
    *,
    decimal: str = "point",
    kinds: Mapping[str, SourceKind] | None = None,
    recorded: Several[str] = (),
) -> tuple[list[FlatTable], tuple[Finding, ...]]:
    """Read flat tables that belong together, and look whether each parent is introduced somewhere.

    Parameters
    ----------
    paths, decimal, kinds
        As for `read_table`.
    recorded : set of str
        Ids of the components that stand in records beside the tables.

    Returns
    -------
    (list of FlatTable, tuple of Finding)
        Tables that cannot be read at all are left out, with a fault.
    """
    tables: list[FlatTable] = []
    findings: list[Finding] = []
    for path in paths:
        read = read_table(path, decimal=decimal, kinds=kinds)
        findings += read.findings
        if read.table is not None:
            tables.append(read.table)
    settled, found = settle_parents(tables, recorded)
    return settled, (*findings, *found)


@contextmanager
def _collector_paused() -> Iterator[None]:
    """No garbage collection meanwhile: nothing here refers in circles, and looking takes half the time."""
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def _read(data: bytes, numbers: Numbers, said: Said, kinds: Mapping[str, SourceKind] | None) -> TableReading:
    reader: TableReader | None = None
    for rows in chunks(data, numbers.delimiter, said):
        if reader is None:
            at = next((i for i, row in enumerate(rows.rows) if any(map(str.strip, row))), None)
            if at is None:
                continue
            layout = read_heading(rows.rows[at], rows.lines[at], said)
            if layout is None:
                return TableReading(None, said.findings())
            reader = TableReader(layout, rows.lines[at], numbers, said, kinds)
            rows = Rows(rows.rows[at + 1 :], rows.lines[at + 1 :])
        reader.take(rows)
    if reader is None:
        if not said.faults:
            remedy = "write a heading line with at least parent and child, and a row for each piece."
            said.fault(1, "", "the table is empty;", remedy)
        return TableReading(None, said.findings())
    table = reader.finish()
    for finding in contradictions(table):
        said.add(finding)
    return TableReading(table, said.findings())
