"""What came from other shops and nobody here has looked at yet, for the pages."""

from __future__ import annotations

import sqlite3

Marks = dict[tuple[str, str], str]


def marks_of(connection: sqlite3.Connection) -> Marks:
    """Words for each record that came in a parcel: from whom, reviewed or not, signed or not.

    Returns
    -------
    dict of (kind, id) to str
        Empty where nothing came from elsewhere.
    """
    if connection.execute("select 1 from record where kind = 'origin' limit 1").fetchone() is None:
        return {}
    from handling_db.database.queries.collection import whole_collection
    from handling_db.records.versions import came_from

    return dict(came_from(whole_collection(connection)))
