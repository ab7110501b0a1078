"""Pages of a lift that is to hang level: leg lengths in links, and what a tilt seen at a trial lift says."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.loading import from_database
from handling_db.web.pages.sending import Visit, shown
from handling_db.web.pages.worked import LiftAddress

LONGEST = 60  # characters of a figure or a side in an address


def _records(connection: sqlite3.Connection, code: str) -> Any:
    return from_database(connection, code, ("lift group",), "handled").records


def _shared(asked: LiftAddress) -> dict[str, Any]:
    from handling_db.lifting.levelling import words
    from handling_db.lifting.said import notices
    from handling_db.lifting.said import words as lift_wording

    return {"words": words, "lw": lift_wording, "said": notices, "asked": asked}


@shown("level.html")
def level(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Leg lengths with which a lift hangs as wanted, for a height of the hook."""
    import handling_db as hd
    from handling_db.lifting.asked import metres

    code = visit.code
    hook = visit.text("hook", LONGEST)
    asked = LiftAddress.read(visit.request.args)
    height = metres(hook or None, "hook=")
    answer = hd.level(_records(connection, code), code, hook_m=height, **asked.question())
    return {
        "about": ("lift group", code),
        **_shared(asked),
        "t": answer.figures,
        "a": answer.figures.lift,
        "hook": hook,
        "json": answer.to_json(),
    }


@shown("tilt.html")
def tilt(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Where the centre of gravity is by a tilt that was seen, and which leg to shorten."""
    import handling_db as hd
    from handling_db.lifting.levelling.seen_tilt import sides_of

    code = visit.code
    seen, low, within = (visit.text(name, LONGEST) for name in ("seen", "low", "within"))
    asked = LiftAddress.read(visit.request.args)
    records = _records(connection, code)
    question = asked.question()
    answer = None
    if seen and low:
        answer = hd.tilt(records, code, seen, low, within=within or "0.5 deg", **question)
    lift = answer.figures.lift if answer else hd.lift(records, code, **question).figures
    return {
        "about": ("lift group", code),
        **_shared(asked),
        "t": answer.figures if answer else None,
        "a": lift,
        "sides": sides_of(records, code),
        "points": [point for point in lift.points if point.used],
        "seen": seen,
        "low": low,
        "within": within or "0.5 deg",
        "json": answer.to_json() if answer else {},
    }
