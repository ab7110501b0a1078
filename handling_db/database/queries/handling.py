"""The records that a lift, a move or a shop's answer rests on, out of a database file."""

from __future__ import annotations

import functools
import sqlite3
from typing import TYPE_CHECKING

from handling_db.database.queries.names import resolve
from handling_db.database.queries.what_if import collection_for
from handling_db.errors import UnknownNameError

if TYPE_CHECKING:
    from handling_db.records.collection import Collection

# Everything people handle with; few and small beside components and their figures.
_KINDS = (
    "joint",
    "lift group",
    "gear",
    "job",
    "fixture",
    "mover",
    "shop",
    "pallet",
    "packing",
    "note",
    "source",
    "source kind",
    "material",
)


def piece_named(connection: sqlite3.Connection, name: str) -> str:
    """The id of a lift group, else of the component that goes by a name.

    Raises
    ------
    UnknownNameError, AmbiguousNameError
        Nothing, or more than one thing, goes by it.
    """
    asked = name.strip()
    if asked in lift_group_ids(connection):
        return asked
    try:
        return resolve(connection, name)
    except UnknownNameError as error:
        groups = ", ".join(lift_group_ids(connection)) or "none"
        raise UnknownNameError(f"{error}. Lift groups recorded: {groups}.") from None


def lift_group_ids(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Ids of every lift group recorded."""
    rows = connection.execute("select code from record where kind = 'lift group' order by code")
    return tuple(row[0] for row in rows)


def handling_collection(connection: sqlite3.Connection, what: str | None = None) -> Collection:
    """The records about one piece, and everything recorded that it is handled with.

    Parameters
    ----------
    connection : sqlite3.Connection
    what : str, optional
        Id of a lift group or a component; without one, no component is read.

    Raises
    ------
    UnknownNameError
        There is no such piece.
    """
    from handling_db.records.collection import collect

    handled = _handled(
        tuple(
            connection.execute(
                f"select kind, code, text from record where kind in ({','.join('?' * len(_KINDS))})"
                " order by kind, code",
                _KINDS,
            ).fetchall()
        )
    )
    if what is None:
        return _with_needed(connection, handled)
    group = handled.lift_groups.get(what)
    around = collection_for(connection, group.root if group is not None else what)
    return collect([*around.records(), *handled.records()])


def _with_needed(connection: sqlite3.Connection, handled: Collection) -> Collection:
    """Names of the components that fixtures speak of."""
    from handling_db.records.collection import collect

    wanted = {need.component for fixture in handled.fixtures.values() for need in fixture.needed_by}
    wanted |= {code for fixture in handled.fixtures.values() for code in fixture.only_for}
    texts = []
    for code in sorted(wanted):
        row = connection.execute(
            "select kind, code, text from record where kind = 'component' and code = ?", (code,)
        ).fetchone()
        if row is not None:
            texts.append(tuple(row))
    return collect([*_handled(tuple(texts)).records(), *handled.records()])


@functools.lru_cache(maxsize=16)
def _handled(texts: tuple[tuple[str, str, str], ...]) -> Collection:
    from handling_db.files.reading import read_texts

    return read_texts([(f"{kind} {code}", text) for kind, code, text in texts]).collection
