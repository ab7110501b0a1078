"""Building with a bar on standard error when it takes long."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from handling_db.store.database import BuildReport, build_database
from handling_db.store.sources import split_paths


def build_with_bar(paths: Sequence[Path], out: Path, *, decimal: str = "point") -> BuildReport:
    """Build the database file from folders, record files and tables.

    Raises
    ------
    HandlingError
        A path cannot be read, or the records have faults; the old file stays as it was.
    """
    records, tables = split_paths(paths)
    out.parent.mkdir(parents=True, exist_ok=True)
    return build_database(records, out, tables=tables, decimal=decimal, progress=None)
