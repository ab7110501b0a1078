"""Questions to a database file, as plain functions over a connection. Nothing here writes.

Nothing heavy is imported until another build, state or selection has to be worked out, so that a look-up
starts fast. The questions stand in modules by noun; this one opens files and names them all.
"""

from __future__ import annotations

import sqlite3
from datetime import datetime
from pathlib import Path

from handling_db.database.queries.handling import handled_names, jobs_recorded
from handling_db.database.queries.lists import (
    disagreements,
    findings_counted,
    findings_for,
    fixture,
    fixtures_for,
    shop,
    shops,
    source,
    sources,
)
from handling_db.database.queries.names import exists, near_names, resolve, respelled
from handling_db.database.queries.notes import note, note_kinds, notes_for
from handling_db.database.queries.search import search
from handling_db.database.queries.tree import branches, heaviest, unweighed, usage_tree, whole_units
from handling_db.database.queries.weight import datum, stored_answer
from handling_db.database.queries.what_if import collection_for, what_if
from handling_db.database.queries.words import MARK_OFF, MARK_ON, every_word
from handling_db.database.schema import APPLICATION, VERSION
from handling_db.errors import HandlingError
from handling_db.lookup.listings import Stamp

__all__ = [
    "MARK_OFF",
    "MARK_ON",
    "branches",
    "collection_for",
    "datum",
    "disagreements",
    "every_word",
    "exists",
    "findings_counted",
    "findings_for",
    "fixture",
    "fixtures_for",
    "handled_names",
    "heaviest",
    "jobs_recorded",
    "near_names",
    "note",
    "note_kinds",
    "notes_for",
    "open_database",
    "resolve",
    "respelled",
    "search",
    "shop",
    "shops",
    "source",
    "sources",
    "stamp",
    "stored_answer",
    "unweighed",
    "usage_tree",
    "what_if",
    "whole_units",
]


def open_database(path: Path, *, called: str = "") -> sqlite3.Connection:
    """Open a database file for reading.

    Parameters
    ----------
    path : Path
    called : str
        What an error calls the file; its path unless given.

    Raises
    ------
    HandlingError
        There is no such file, it is not a database of this program, or one of another version of it.
    """
    name = called or str(path)
    if not path.is_file():
        raise HandlingError(f"{name}: there is no such database; build it with 'handling-db build'")
    try:
        connection = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)
        application = connection.execute("pragma application_id").fetchone()[0]
        version = connection.execute("pragma user_version").fetchone()[0]
    except sqlite3.Error as error:
        raise HandlingError(f"{name}: not a database of this program ({error})") from None
    if application != APPLICATION:
        connection.close()
        raise HandlingError(f"{name}: not a database of this program; build one with 'handling-db build'")
    if version != VERSION:
        connection.close()
        raise HandlingError(
            f"{name}: built by another version of this program (its tables are version {version}, "
            f"this one reads {VERSION}); build it again: handling-db build FOLDER -o {name}"
        )
    return connection


def stamp(connection: sqlite3.Connection) -> Stamp:
    """What the file was built from, how much there is of everything, and what the checker compared."""
    row = connection.execute(
        "select stamp, version, data_date, demo, first_unit, counts, closing from built"
    ).fetchone()
    return Stamp(row[0], row[1], row[2] or "", bool(row[3]), row[4], row[5], row[6], _written(connection))


def _written(connection: sqlite3.Connection) -> str:
    """Day and time at which the file was written; the same input gives the same file, so it is not in it."""
    file = connection.execute("pragma database_list").fetchone()[2]
    try:
        changed = Path(file).stat().st_mtime if file else None
    except OSError:  # renamed away since it was opened
        changed = None
    return "" if changed is None else datetime.fromtimestamp(changed).strftime("%Y-%m-%d %H:%M")
