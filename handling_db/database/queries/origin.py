"""What came from other shops and nobody here has looked at yet, for the pages."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

from handling_db.database.cache import LastAnswers

if TYPE_CHECKING:
    from handling_db.records.collection import Collection
    from handling_db.sharing.marked import Marks as AnswerMarks

Marks = dict[tuple[str, str], str]

_came: LastAnswers[Marks] = LastAnswers(4)
_beside: LastAnswers[AnswerMarks] = LastAnswers(256)


def marks_of(connection: sqlite3.Connection) -> Marks:
    """Words for each record that came in a parcel: from whom, reviewed or not, signed or not.

    Returns
    -------
    dict of (kind, id) to str
        Empty where nothing came from elsewhere.
    """
    if not _any(connection, "origin"):
        return {}
    from handling_db.database.queries.collection import stamp_of

    return _came.get(stamp_of(connection), lambda: _marks_of(connection))


def _marks_of(connection: sqlite3.Connection) -> Marks:
    from handling_db.database.parcels.gathered import GatheredRecords
    from handling_db.records.versions import came_from

    found = GatheredRecords(connection)
    found.add_records(_ids_that_came(connection))
    return dict(came_from(found.records()))


def _ids_that_came(connection: sqlite3.Connection) -> set[str]:
    rows = connection.execute(
        "select json_extract(text, '$.of.id') from record where kind in ('origin', 'aside')"
    )
    return {str(row[0]) for row in rows}


def marks_beside(connection: sqlite3.Connection, kind: str | None, code: str | None) -> AnswerMarks | None:
    """What an answer rests on that nobody here has reviewed, and what waits beside it; None for nothing.

    Parameters
    ----------
    connection : sqlite3.Connection
    kind, code : str or None
        What is asked about; None for everything.
    """
    if not _any(connection, "origin", "aside"):
        return None  # the look-up starts fast: no record is read
    from handling_db.database.queries.collection import TooManyRecordsError, refuse_tables, stamp_of
    from handling_db.sharing.marked import Marks as AnswerMarks
    from handling_db.sharing.marks import marks_about

    try:
        refuse_tables(connection)
    except TooManyRecordsError:
        told = (
            "some records here came from other shops; which of them this rests on cannot be said of a table"
        )
        return AnswerMarks((f"not yet reviewed: {told}",))
    return _beside.get(
        (stamp_of(connection), kind, code),
        lambda: marks_about(_records_beside(connection, kind, code), kind, code),
    )


def _records_beside(connection: sqlite3.Connection, kind: str | None, code: str | None) -> Collection:
    """The records that marks about one thing rest on: its unit, and what lies aside that may be about it."""
    from handling_db.database.parcels.gathered import GatheredRecords
    from handling_db.database.parcels.needed import gather_around
    from handling_db.database.queries.collection import whole_collection
    from handling_db.records.versions import record_of
    from handling_db.sharing.marks import is_about, start_of

    if kind is None or code is None:
        return whole_collection(connection)
    found = GatheredRecords(connection)
    found.add_units_of([code])
    own = found.records()
    root = start_of(own, kind, code)
    chosen = gather_around(connection, found, root) if root in own.components else frozenset()
    around = chosen | {(kind, code)}
    for aside in own.asides.values():
        record = record_of(aside)
        if record is not None and is_about(aside.of.kind, aside.of.id, record, around):
            # its figure may lift the plan of what it is about, which may stand in another unit
            found.add_units_of({aside.of.id, str(getattr(record, "of", aside.of.id))})
    found.add_records(_ids_that_came(connection))
    return found.records()


def _any(connection: sqlite3.Connection, *kinds: str) -> bool:
    """Whether there is a record of one of the kinds."""
    asked = ",".join("?" * len(kinds))
    return (
        connection.execute(f"select 1 from record where kind in ({asked}) limit 1", kinds).fetchone()
        is not None
    )
