"""What came from other shops and nobody here has looked at yet, for the pages."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from handling_db.sharing.marked import Marks as AnswerMarks

Marks = dict[tuple[str, str], str]


def marks_of(connection: sqlite3.Connection) -> Marks:
    """Words for each record that came in a parcel: from whom, reviewed or not, signed or not.

    Returns
    -------
    dict of (kind, id) to str
        Empty where nothing came from elsewhere.
    """
    if not _any(connection, "origin"):
        return {}
    from handling_db.database.queries.collection import whole_collection
    from handling_db.records.versions import came_from

    return dict(came_from(whole_collection(connection)))


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
    from handling_db.database.queries.collection import TooManyRecordsError, whole_collection
    from handling_db.sharing.marked import Marks as AnswerMarks
    from handling_db.sharing.marks import marks_about

    try:
        return marks_about(whole_collection(connection), kind, code)
    except TooManyRecordsError:
        told = (
            "some records here came from other shops; which of them this rests on cannot be said of a table"
        )
        return AnswerMarks((f"not yet reviewed: {told}",))


def _any(connection: sqlite3.Connection, *kinds: str) -> bool:
    """Whether there is a record of one of the kinds."""
    asked = ",".join("?" * len(kinds))
    return (
        connection.execute(f"select 1 from record where kind in ({asked}) limit 1", kinds).fetchone()
        is not None
    )
