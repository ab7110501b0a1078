"""Records in and out: a database file opened or built, everything checked, what to weigh next."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from handling_db.errors import HandlingError
from handling_db.findings import Finding
from handling_db.loading import from_database
from handling_db.records.proved import Records

if TYPE_CHECKING:
    from handling_db.checker.gaps import Gap
    from handling_db.database.build import BuildReport


def open_file(database: Path | str) -> Records:
    """All records of a database file.

    Raises
    ------
    HandlingError
        There is no such file, it is of another kind or build, or holds tables too large to be records.
    """
    from handling_db.database.queries import open_database

    connection = open_database(Path(database))
    try:
        return from_database(connection, reach="everything").records
    finally:
        connection.close()


def check(paths: Iterable[Path | str], *, as_of: datetime.date) -> tuple[Finding, ...]:
    """Every record against every rule: do the parts sum to the whole? Nothing is repaired.

    Parameters
    ----------
    paths : iterable of path
        Record folders, record files and flat tables.
    as_of : date
        The day by which reviews and inspections are judged. There is no default: a day left out finds none.

    Returns
    -------
    tuple of Finding
        The reader's faults first, or else what the checker says, the gravest first.

    Raises
    ------
    HandlingError
        A path does not exist or is of no kind that can be read.
    """
    from handling_db.checker import check as look
    from handling_db.tables.sources import read_paths

    reading = read_paths([Path(path) for path in paths])
    return (*reading.findings, *look(reading.collection, as_of=as_of, unread=reading.unread))


def gaps(records: Records, *, as_of: datetime.date) -> tuple[Gap, ...]:
    """What to weigh, look at or review next, and how many lifts and totals that would help.

    Parameters
    ----------
    records : Records
    as_of : date
        The day by which reviews are judged.
    """
    from handling_db.checker.gaps import gaps as found

    return found(records, as_of=as_of)


def build(paths: Iterable[Path | str], out: Path | str) -> BuildReport:
    """Build the database file that `open` reads and `handling-db serve` shows.

    Raises
    ------
    HandlingError
        A path cannot be read, or the records have faults; an old file stays as it was.
    """
    from handling_db.database.build import build_database
    from handling_db.tables.sources import split_paths

    records, tables = split_paths([Path(path) for path in paths])
    target = Path(out)
    if not target.parent.is_dir():
        raise HandlingError(f"{target.parent}: no such folder")
    return build_database(records, target, tables=tables)
