"""Units in hand with temporary ties in, by the component that is asked about: plain rows, no model."""

from __future__ import annotations

import sqlite3

from handling_db.records.open_job import OpenJob

# The component itself, everything that goes into it, and everything that it goes into.
_RELATED = """
  with recursive
    start(id) as (select id from component where code = ?),
    below(id) as (select id from start union select u.child from usage u join below b on u.parent = b.id),
    above(id) as (select id from start union select u.parent from usage u join above a on u.child = a.id)
  select 1 from component
  where code = ? and (id in (select id from above) or id in (select id from below))
"""


def open_jobs(connection: sqlite3.Connection, code: str) -> tuple[OpenJob, ...]:
    """Jobs with temporary ties in on a unit that is this component, holds it, or goes into it; by id.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str
        Component id.
    """
    rows = connection.execute("select code, unit, serial, ties, brief from open_job order by code")
    return tuple(
        OpenJob(job, unit, serial, tuple(ties.split("\n")), brief)
        for job, unit, serial, ties, brief in rows
        if connection.execute(_RELATED, (code, unit)).fetchone()
    )
