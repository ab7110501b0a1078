"""Units in hand: what is off, what is in for the time being, what is out, what the hook showed."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.errors import UnknownNameError, not_there
from handling_db.loading import from_database
from handling_db.web.pages.listed import jobs_listed
from handling_db.web.pages.sending import Visit, shown


@shown("jobs.html")
def jobs(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Every unit in hand, open ones first."""
    listed = jobs_listed(connection, from_database(connection, reach="handled").records)
    return {"jobs": listed, "json": {"jobs": listed}}


@shown("job.html")
def job(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """One unit in hand."""
    code = visit.code
    handled = from_database(connection, reach="handled").records
    record = handled.jobs.get(code)
    if record is None:
        raise UnknownNameError(not_there("job", code, sorted(handled.jobs)))
    listed = next(one for one in jobs_listed(connection, handled) if one.id == code)
    names = dict(connection.execute("select code, name from component"))
    lifts = [group for _, group in sorted(handled.lift_groups.items()) if group.root == record.unit]
    return {
        "about": ("job", code),
        "j": listed,
        "record": record,
        "off": [(names.get(one.of[-1], one.of[-1]), one) for one in record.off],
        "still_in": record.open_temporary_ties,
        "was_in": [tie for tie in record.temporary_ties if tie.out is not None],
        "ties_out": [(_tie(handled, out), out) for out in record.ties_out],
        "readings": [(_lift(handled, one.lift_group), one) for one in record.readings],
        "lifts": [(group.id, group.name or group.id) for group in lifts],
        "without": [one.of[-1] for one in record.off],
        "json": record.as_written(),
    }


def _tie(handled: Any, out: Any) -> str:
    """What the tie is, in the words of its joint."""
    joint = handled.joints.get(out.joint)
    found = [tie.what for tie in joint.ties if tie.id == out.tie] if joint else []
    return str(found[0]) if found else str(out.tie)


def _lift(handled: Any, code: str) -> str:
    group = handled.lift_groups.get(code)
    return str(group.name or code) if group else code
