"""A shop's own records for a parcel: out of a database that was built of them, or all of the folder.

A database is asked only where every file of the folder still is as it was read; the answer is then the same.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from handling_db.database.edited.as_built import NotAsBuilt, kept_of
from handling_db.database.parcels.needed import (
    AllNeeded,
    HeldAgainst,
    records_to_hold_against,
    records_to_send,
)
from handling_db.database.queries import open_database
from handling_db.errors import HandlingError
from handling_db.records.collection import Collection
from handling_db.sharing.parcel import Parcel
from handling_db.sharing.take_in import own_collection

Found = TypeVar("Found")


def own_to_send(folder: Path, code: str, database: Path | None) -> tuple[Collection, str]:
    """The records among which all stand that a parcel of one component holds.

    Parameters
    ----------
    folder : Path
    code : str
        The component.
    database : Path or None
        Where it may be built from this folder.

    Returns
    -------
    Collection
    str
        Why the database was not asked but all records were read; empty where it was, or where none was given.

    Raises
    ------
    UnknownNameError
        There is no such component.
    HandlingError
        As `own_collection`.
    """
    return _out_of(
        database,
        folder,
        lambda there, kept: records_to_send(there, kept, code),
        lambda: own_collection(folder, reference=False),
    )


def own_to_hold_against(folder: Path, parcel: Parcel, database: Path | None) -> tuple[HeldAgainst, str]:
    """The records that a parcel is held against.

    Parameters
    ----------
    folder : Path
    parcel : Parcel
    database : Path or None
        Where it may be built from this folder.

    Returns
    -------
    HeldAgainst
    str
        As of `own_to_send`.

    Raises
    ------
    HandlingError
        As `own_collection`.
    """

    def every() -> HeldAgainst:
        return HeldAgainst(own_collection(folder))

    return _out_of(database, folder, lambda there, kept: records_to_hold_against(there, kept, parcel), every)


def _out_of(
    database: Path | None,
    folder: Path,
    ask: Callable[[sqlite3.Connection, sqlite3.Connection], Found],
    read: Callable[[], Found],
) -> tuple[Found, str]:
    if database is None:
        return read(), ""
    try:
        with _open(database, folder) as (there, kept):
            return ask(there, kept), ""
    except (NotAsBuilt, AllNeeded) as error:
        return read(), str(error)
    except sqlite3.Error as error:
        return read(), f"it cannot be read ({error})"


@contextmanager
def _open(database: Path, folder: Path) -> Iterator[tuple[sqlite3.Connection, sqlite3.Connection]]:
    try:
        there = open_database(database)
    except HandlingError as error:
        raise NotAsBuilt(str(error).removeprefix(f"{database}: ")) from None
    try:
        kept = kept_of(database, folder).connection
        try:
            yield there, kept
        finally:
            kept.close()
    finally:
        there.close()
