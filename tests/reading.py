"""One table or sheet of a file, read by itself, as tests want it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from handling_db.records.kinds.source import SourceKind
from handling_db.tables.findings import FileFindings
from handling_db.tables.read import HowRead, TableReading, read_file
from handling_db.tables.rows import table_bytes
from handling_db.tables.sheets.grid import Grid
from handling_db.tables.sheets.open import is_book, read_book_grids
from handling_db.tables.sheets.text_in import text_grid


def read_table(
    path: Path, *, decimal: str = "", kinds: Mapping[str, SourceKind] | None = None
) -> TableReading:
    """The one table of a file."""
    (found,) = read_file(path, HowRead(decimal), kinds=kinds)
    return found


def read_grids(path: Path) -> tuple[Grid, ...]:
    """The sheets of a file of any kind."""
    if is_book(path):
        return read_book_grids(path)
    said = FileFindings(str(path))
    data = table_bytes(path, said)
    grid = None if data is None else text_grid(path, data, said)
    assert grid is not None
    assert [str(finding) for finding in said.findings() if finding.verdict == "fault"] == []
    return (grid,)
