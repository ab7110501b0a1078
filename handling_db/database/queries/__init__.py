"""Questions to a database file, as plain functions over a connection. Nothing here writes.

Nothing heavy is imported until another build, state or selection has to be worked out, so that a look-up
starts fast. The questions stand in modules by noun; this one opens files and names them all.
"""

from __future__ import annotations

import importlib
import os
import sqlite3
import stat
from typing import TYPE_CHECKING

from handling_db.database.schema import APPLICATION, VERSION
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.database.queries.another_build import collection_for as collection_for
    from handling_db.database.queries.another_build import what_if as what_if
    from handling_db.database.queries.handling import handled_names as handled_names
    from handling_db.database.queries.handling import jobs_recorded as jobs_recorded
    from handling_db.database.queries.hits import search as search
    from handling_db.database.queries.lists import disagreements as disagreements
    from handling_db.database.queries.lists import findings_counted as findings_counted
    from handling_db.database.queries.lists import findings_for as findings_for
    from handling_db.database.queries.lists import fixture as fixture
    from handling_db.database.queries.lists import fixtures_for as fixtures_for
    from handling_db.database.queries.lists import shop as shop
    from handling_db.database.queries.lists import shops as shops
    from handling_db.database.queries.lists import source as source
    from handling_db.database.queries.lists import sources as sources
    from handling_db.database.queries.names import exists as exists
    from handling_db.database.queries.names import near_names as near_names
    from handling_db.database.queries.names import resolve as resolve
    from handling_db.database.queries.names import respelled as respelled
    from handling_db.database.queries.notes import note as note
    from handling_db.database.queries.notes import note_kinds as note_kinds
    from handling_db.database.queries.notes import notes_at as notes_at
    from handling_db.database.queries.notes import notes_for as notes_for
    from handling_db.database.queries.notes import notes_found as notes_found
    from handling_db.database.queries.tree import branches as branches
    from handling_db.database.queries.tree import heaviest as heaviest
    from handling_db.database.queries.tree import unweighed as unweighed
    from handling_db.database.queries.tree import usage_tree as usage_tree
    from handling_db.database.queries.tree import whole_units as whole_units
    from handling_db.database.queries.weight import datum as datum
    from handling_db.database.queries.weight import stored_answer as stored_answer
    from handling_db.database.queries.words import MARK_OFF as MARK_OFF
    from handling_db.database.queries.words import MARK_ON as MARK_ON
    from handling_db.database.queries.words import every_word as every_word
    from handling_db.lookup.listings import Stamp

    Place = str | os.PathLike[str]

# name: the module that has it; a module of that name would hide it
_WHERE = {
    "MARK_OFF": "words",
    "MARK_ON": "words",
    "branches": "tree",
    "collection_for": "another_build",
    "datum": "weight",
    "disagreements": "lists",
    "every_word": "words",
    "exists": "names",
    "findings_counted": "lists",
    "findings_for": "lists",
    "fixture": "lists",
    "fixtures_for": "lists",
    "handled_names": "handling",
    "heaviest": "tree",
    "jobs_recorded": "handling",
    "near_names": "names",
    "note": "notes",
    "note_kinds": "notes",
    "notes_at": "notes",
    "notes_for": "notes",
    "notes_found": "notes",
    "resolve": "names",
    "respelled": "names",
    "search": "hits",
    "shop": "lists",
    "shops": "lists",
    "source": "lists",
    "sources": "lists",
    "stored_answer": "weight",
    "unweighed": "tree",
    "usage_tree": "tree",
    "what_if": "another_build",
    "whole_units": "tree",
}


def __getattr__(name: str) -> object:
    """A question, from its module, when it is first asked for."""
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(importlib.import_module(f"{__name__}.{_WHERE[name]}"), name)
    globals()[name] = found
    return found


def open_database(path: Place, *, called: str = "") -> sqlite3.Connection:
    """Open a database file for reading.

    Parameters
    ----------
    path : str or path
    called : str
        What an error calls the file; its path unless given.

    Raises
    ------
    HandlingError
        There is no such file, it is not a database of this program, or one of another version of it.
    """
    name = called or os.fspath(path)
    if not _is_file(path):
        raise HandlingError(f"{name}: there is no such database; build it with 'handling-db build'")
    try:
        connection = sqlite3.connect(f"{_address(path)}?mode=ro", uri=True)
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


def _is_file(path: Place) -> bool:
    """As `Path.is_file`: what may not be looked at raises; a look-up starts without pathlib."""
    try:
        return stat.S_ISREG(os.stat(path).st_mode)
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return False


def _address(path: Place) -> str:
    """A file as the address that SQLite takes; signs that mean something in an address are spelled out."""
    real = os.path.realpath(path).replace(os.sep, "/").lstrip("/")
    return f"file:///{real.replace('%', '%25').replace('?', '%3f').replace('#', '%23')}"


def stamp(connection: sqlite3.Connection) -> Stamp:
    """What the file was built from, how much there is of everything, and what the checker compared."""
    from handling_db.lookup.listings import Stamp

    row = connection.execute(
        "select stamp, version, data_date, demo, first_unit, counts, closing from built"
    ).fetchone()
    return Stamp(row[0], row[1], row[2] or "", bool(row[3]), row[4], row[5], row[6], _written(connection))


def _written(connection: sqlite3.Connection) -> str:
    """Day and time at which the file was written; the same input gives the same file, so it is not in it."""
    from datetime import datetime
    from pathlib import Path

    file = connection.execute("pragma database_list").fetchone()[2]
    try:
        changed = Path(file).stat().st_mtime if file else None
    except OSError:  # renamed away since it was opened
        changed = None
    return "" if changed is None else datetime.fromtimestamp(changed).strftime("%Y-%m-%d %H:%M")
