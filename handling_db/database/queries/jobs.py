"""Units in hand with temporary ties in, by the components that are asked about: plain rows, no model."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from handling_db.records.open_job import OpenJob

# Each component itself, everything that goes into it, and everything that it goes into.
_RELATED = """
  with recursive
    start(code, id) as (select code, id from component where code in ({marks})),
    below(code, id) as (
      select code, id from start union select b.code, u.child from usage u join below b on u.parent = b.id),
    above(code, id) as (
      select code, id from start union select a.code, u.parent from usage u join above a on u.child = a.id)
  select j.code, r.code from (select code, id from below union select code, id from above) r
  join component c on c.id = r.id join open_job j on j.unit = c.code
"""


def open_jobs(connection: sqlite3.Connection, code: str) -> tuple[OpenJob, ...]:
    """Jobs with temporary ties in on a unit that is this component, holds it, or goes into it; by id.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str
        Component id.
    """
    return tuple(job for job, _ in jobs_among(connection, (code,)))


def jobs_among(connection: sqlite3.Connection, codes: Sequence[str]) -> list[tuple[OpenJob, tuple[str, ...]]]:
    """The same for several components, each job once with those that it is about, in their order."""
    rows = connection.execute("select code, unit, serial, ties, brief from open_job order by code").fetchall()
    if not rows or not codes:
        return []
    marks = ", ".join("?" * len(codes))
    about = set(map(tuple, connection.execute(_RELATED.format(marks=marks), tuple(codes))))
    found = []
    for job, unit, serial, ties, brief in rows:
        named = tuple(code for code in codes if (job, code) in about)
        if named:
            found.append((OpenJob(job, unit, serial, tuple(ties.split("\n")), brief), named))
    return found
