"""Everything a command was pointed at: record folders, single files and flat tables, read together."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from handling_db.errors import HandlingError
from handling_db.files.folders import read_collection
from handling_db.files.reached import is_record_name
from handling_db.files.reading import Reading
from handling_db.records.collection import Collection
from handling_db.tables.join import join_tables

if TYPE_CHECKING:
    from handling_db.tables.read import HowRead

TABLE_ENDINGS = (".csv", ".tsv", ".tab", ".txt", ".xlsx", ".xlsm", ".ods", ".xls", ".xlsb")


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
        if path.is_dir() or is_record_name(path.name):
            records.append(path)
        elif path.suffix.lower() in TABLE_ENDINGS:
            tables.append(path)
        elif not path.exists():
            raise HandlingError(f"{path}: no such file or folder")
        else:
            raise HandlingError(
                f"{path}: neither a folder, a record file (.yml) nor a table (.csv, .tsv, .xlsx, .ods, .xls)"
            )
    return records, tables


def read_paths(paths: Sequence[Path], *, how: HowRead | None = None) -> Reading:
    """Read records and tables into one collection, with every fault of all of them.

    Raises
    ------
    HandlingError
        A path does not exist or is of no kind that can be read.
    """
    from handling_db.tables.read import read_tables, table_records

    records, tables = split_paths(paths)
    reading = read_collection(records)
    kinds, recorded = reading.collection.source_kinds, reading.collection.components.keys()
    found = read_tables(tables, how, kinds=kinds, recorded=recorded)
    findings = [*reading.findings, *found.findings]
    read: list[Collection] = [found.notes]
    for table in found.tables:
        more = table_records(table, kinds=kinds)
        findings += more.findings
        read.append(more.collection)
    joined, clashes = join_tables(reading.collection, read)
    return Reading(joined, (*findings, *clashes))
