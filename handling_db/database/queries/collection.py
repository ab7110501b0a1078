"""Records for questions that reach beyond one tree: everything, or everything around one component."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.another_build import collection_for, kept_collections
from handling_db.database.queries.names import need_key
from handling_db.database.queries.records import record_of, records_of_units, units_of
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.records.collection import Collection
    from handling_db.records.kinds.choice import Choice

# Everything in the same whole: what the component goes into, whatever that is made of, and fluids listed.
# Looked up one by one: for a join all records would be gone through first.
_SAME_WHOLE = """
  with recursive
    above(id) as (select ? union select u.parent from usage u join above a on u.child = a.id limit ?),
    inside(id) as (
      select id from above union select u.child from usage u join inside i on u.parent = i.id limit ?)
  select c.code, exists (select 1 from record r where r.kind = 'component' and r.code = c.code)
    from inside i join component c on c.id = i.id
"""
# What no mass rests on: it is left where it is in questions about masses.
_ONLY_HANDLED = frozenset({"note", "joint", "lift group", "gear", "job plan", "fixture", "mover", "shop"})

_whole: LastAnswers[Collection] = LastAnswers(4)
_around: LastAnswers[Collection] = LastAnswers(64)


class TooManyRecordsError(HandlingError):
    """More records than a question of this kind is worked out over, or none were kept."""


def whole_collection(connection: sqlite3.Connection, most: int | None = None) -> Collection:
    """All records of the database, kept by the database's stamp.

    Parameters
    ----------
    connection : sqlite3.Connection
    most : int, optional
        Refuse if there are more components than this.

    Raises
    ------
    TooManyRecordsError
        There are more, or some components come from tables too large to be kept as records.
    """
    components = connection.execute("select count(*) from component").fetchone()[0]
    if most is not None and components > most:
        raise TooManyRecordsError(f"{components} components are too many for this answer")
    refuse_tables(connection)

    def read() -> Collection:
        rows = connection.execute("select kind, code, text from record order by kind, code")
        return kept_collections(rows)

    return _whole.get(stamp_of(connection), read)


def refuse_tables(connection: sqlite3.Connection) -> None:
    """Refuse what needs every component as a record where some come from tables too large for that.

    Raises
    ------
    TooManyRecordsError
    """
    components = connection.execute("select count(*) from component").fetchone()[0]
    kept = connection.execute("select count(*) from record where kind = 'component'").fetchone()[0]
    if kept < components:
        raise TooManyRecordsError(
            f"{components - kept} components come from tables too large to be kept as records; "
            "ask from the folder with --from"
        )


def collection_around(connection: sqlite3.Connection, code: str, most: int = 20_000) -> Collection:
    """A component with all wholes it goes into and everything those are made of, kept by the stamp.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str
    most : int
        Refuse if there are more components around it than this.

    Raises
    ------
    UnknownNameError
        There is no such component.
    TooManyRecordsError
        There are more around it, or some come from tables too large to be kept as records.
    """
    key = need_key(connection, code)
    rows = connection.execute(_SAME_WHOLE, (key, most + 1, most + 1)).fetchall()
    if len(rows) > most:
        raise TooManyRecordsError(
            f"more than {most} components stand around {code}: too many for this answer"
        )
    if not all(is_record for _, is_record in rows):
        raise TooManyRecordsError(
            f"parts around {code} come from tables too large to be kept as records; "
            "ask from the folder with --from"
        )

    def read() -> Collection:
        from handling_db.records.collection import KINDS

        codes = {row[0] for row in rows}
        kinds = tuple(kind for kind in KINDS if kind not in _ONLY_HANDLED)
        found = records_of_units(connection, kinds, units_of(connection, (code,)))
        return kept_collections(row for row in found if row[0] != "component" or row[1] in codes)

    return _around.get((stamp_of(connection), code), read)


def records_about(
    connection: sqlite3.Connection, kind: str | None, code: str | None, reach: str
) -> Collection:
    """The records that a question about one thing rests on.

    Parameters
    ----------
    connection : sqlite3.Connection
    kind, code : str or None
        What it is about: a component, lift group, joint or job; nothing for the whole collection.
    reach : str
        ``below``, ``around``, ``handled`` or ``everything``: see `handling_db.loading.from_database`.

    Raises
    ------
    UnknownNameError, TooManyRecordsError, HandlingError
        As the readers below.
    """
    from handling_db.database.queries.handling import handled_collection, roots_of

    if reach == "handled":
        return handled_collection(connection, roots_of(connection, kind, code) if kind and code else ())
    if reach == "everything" or code is None:
        return whole_collection(connection)
    return collection_around(connection, code) if reach == "around" else collection_for(connection, code)


def choices_about(connection: sqlite3.Connection, code: str) -> tuple[Choice, ...]:
    """The recorded choices about one component, those no longer in force too, by id."""
    rows = records_of_units(connection, ("choice",), units_of(connection, (code,)))
    found = [record_of(*row) for row in rows]
    return tuple(choice for choice in found if choice.component == code)


def stamp_of(connection: sqlite3.Connection) -> str:
    """The stamp of a database: the same records have the same."""
    return str(connection.execute("select stamp from built").fetchone()[0])
