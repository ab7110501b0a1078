"""Everything a command was pointed at: record folders, single files and flat tables, read together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from handling_db.errors import HandlingError
from handling_db.files.folders import read_collection
from handling_db.files.reached import is_record_name
from handling_db.files.reading import ReadFiles
from handling_db.findings import Finding, Place, fault
from handling_db.records.collection import Collection
from handling_db.tables.exports.package_in import is_package
from handling_db.tables.flat_table import FlatTable
from handling_db.tables.join import join_tables
from handling_db.tables.sheets.open import ENDINGS

if TYPE_CHECKING:
    from handling_db.tables.read import HowRead

RECORD_ROWS = 5_000  # a table of up to so many rows is built from records; a larger one by whole columns


def split_paths(paths: Sequence[Path]) -> tuple[list[Path], list[Path]]:
    """Record folders and files, and flat tables.

    Raises
    ------
    HandlingError
        A file that is neither.
    """
    records: list[Path] = []
    tables: list[Path] = []
    for path in paths:
        if path.is_dir() and is_package(path):
            tables.append(path)
        elif path.is_dir() or is_record_name(path.name):
            records.append(path)
        elif path.suffix.lower() in ENDINGS:
            tables.append(path)
        elif not path.exists():
            raise HandlingError(f"{path}: no such file or folder")
        else:
            raise HandlingError(
                f"{path}: neither a folder, a record file (.yml) nor a table (.csv, .tsv, .xlsx, .ods, .xls)"
            )
    return records, tables


@dataclass(frozen=True, slots=True)
class BySize:
    """Records and tables read together, those with more rows than may become records left as columns.

    Parameters
    ----------
    collection : Collection
        Records, and the tables that became records.
    large : tuple of FlatTable
    findings : tuple of Finding
        What the readers found.
    unread : frozenset of (kind, id)
        As of `ReadFiles`.
    by_columns : tuple of FlatTable
        Tables that became records, and that a build takes as columns: they have more than 5,000 rows.
    beside : Collection
        Records that do not come from tables.
    """

    collection: Collection
    large: tuple[FlatTable, ...]
    findings: tuple[Finding, ...]
    unread: frozenset[tuple[str, str]] = frozenset()
    by_columns: tuple[FlatTable, ...] = ()
    beside: Collection = field(default_factory=Collection)


def read_paths(paths: Sequence[Path], *, how: HowRead | None = None) -> ReadFiles:
    """Read records and tables into one collection, with every fault of all of them.

    Raises
    ------
    HandlingError
        A path does not exist or is of no kind that can be read, or a table has too many rows.
    """
    records, tables = split_paths(paths)
    found = read_by_size(records, tables, how=how)
    return ReadFiles(found.collection, found.findings, found.unread)


def read_by_size(
    records: Sequence[Path], tables: Sequence[Path], *, how: HowRead | None = None, most: int | None = None
) -> BySize:
    """Read records and tables, with every fault of all of them.

    Parameters
    ----------
    records, tables : sequence of Path
        See `split_paths`.
    how : HowRead, optional
    most : int, optional
        A table of more rows stays as columns; without it every table becomes records.

    Raises
    ------
    HandlingError
        A path does not exist or is of no kind that can be read, or a table that is to become records has too
        many rows.
    """
    from handling_db.tables.read import read_tables
    from handling_db.tables.records import table_records

    reading = read_collection(records)
    kinds, recorded = reading.collection.source_kinds, reading.collection.components.keys()
    found = read_tables(tables, how, kinds=kinds, recorded=recorded)
    findings = [*reading.findings, *found.findings]
    read: list[Collection] = [*found.records]
    large: list[FlatTable] = []
    by_columns: list[FlatTable] = []
    for table in found.tables:
        if most is not None and table.rows > most:
            large.append(table)
            findings += too_much_for_columns(table)
            continue
        if table.rows > RECORD_ROWS:
            by_columns.append(table)
        more = table_records(table, kinds=kinds)
        findings += more.findings
        read.append(more.collection)
    joined, clashes = join_tables(reading.collection, read)
    return BySize(
        joined,
        tuple(large),
        (*findings, *clashes),
        reading.unread,
        tuple(by_columns),
        reading.collection,
    )


def too_much_for_columns(table: FlatTable) -> list[Finding]:
    """What figures of a large table cannot say: of which unit they are, and a second column of the same."""
    for index, more in table.statements.more.items():
        if more.keys() & {"serial", "also"}:
            told = (
                f"a table of more than {RECORD_ROWS:,} rows takes no serials and no second column of masses;"
            )
            place = Place(table.file, table.statements.line[index])
            return [fault(place, "mass", told, f"split it so that each has at most {RECORD_ROWS:,} rows.")]
    return []
