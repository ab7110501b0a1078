"""Pages of a lift that is to hang level: leg lengths in links, and what a tilt seen at a trial lift says."""

from __future__ import annotations

import datetime
import sqlite3
from typing import Any

from handling_db.database import queries
from handling_db.loading import from_database
from handling_db.web.pages.sending import json_asked, page, unit_of
from handling_db.web.pages.worked import LiftAddress
from handling_db.web.site import decode, today

LONGEST = 60  # characters of a figure or a side in an address


def _records(connection: sqlite3.Connection, code: str) -> Any:
    return from_database(connection, code, ("lift group",), "handled").records


def _given(request: Any, name: str) -> str:
    return (request.args.get(name) or "").strip()[:LONGEST]


def _question(asked: LiftAddress) -> dict[str, Any]:
    import handling_db as hd

    return {
        "as_of": datetime.date.fromisoformat(today()),
        "rules": hd.rules(),
        "job": asked.job or None,
        "serial": asked.serial,
        "zeroed": asked.zeroed,
        "assume": {part: (low, high) for part, low, high in asked.assumed} or None,
    }


def _shared(connection: sqlite3.Connection, request: Any) -> dict[str, Any]:
    from handling_db.lifting.levelling import words
    from handling_db.lifting.said import notices
    from handling_db.lifting.said import words as lift_wording

    stamp = queries.stamp(connection)
    return {
        "stamp": stamp,
        "first": unit_of(request) or stamp.first_unit,
        "words": words,
        "lw": lift_wording,
        "said": notices,
    }


async def level(request: Any, datasette: Any) -> Any:
    """Leg lengths with which a lift hangs as wanted, for a height of the hook."""
    code = decode(request.url_vars["code"])
    hook = _given(request, "hook")

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        import handling_db as hd
        from handling_db.lifting.asked import metres

        asked = LiftAddress.read(request.args)
        height = metres(hook or None, "hook=")
        answer = hd.level(_records(connection, code), code, hook_m=height, **_question(asked))
        return {
            "about": ("lift group", code),
            **_shared(connection, request),
            "t": answer.figures,
            "a": answer.figures.lift,
            "hook": hook,
            "asked": asked,
            "json": answer.to_json(),
        }

    return await page(datasette, "level.html", gather, request, json_asked(request))


async def tilt(request: Any, datasette: Any) -> Any:
    """Where the centre of gravity is by a tilt that was seen, and which leg to shorten."""
    code = decode(request.url_vars["code"])
    seen, low, within = (_given(request, name) for name in ("seen", "low", "within"))

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        import handling_db as hd
        from handling_db.lifting.levelling.seen_tilt import sides_of

        asked = LiftAddress.read(request.args)
        records = _records(connection, code)
        question = _question(asked)
        answer = None
        if seen and low:
            answer = hd.tilt(records, code, seen, low, within=within or "0.5 deg", **question)
        lift = answer.figures.lift if answer else hd.lift(records, code, **question).figures
        return {
            "about": ("lift group", code),
            **_shared(connection, request),
            "t": answer.figures if answer else None,
            "a": lift,
            "sides": sides_of(records, code),
            "points": [point for point in lift.points if point.used],
            "seen": seen,
            "low": low,
            "within": within or "0.5 deg",
            "asked": asked,
            "json": answer.to_json() if answer else {},
        }

    return await page(datasette, "tilt.html", gather, request, json_asked(request))
