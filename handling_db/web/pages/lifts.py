"""Pages of lifts, joints and turns, and the lift sheet for printing; JSON beside each."""

from __future__ import annotations

import datetime
import sqlite3
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from handling_db.database import queries
from handling_db.errors import HandlingError
from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.said.as_json import lift_json
from handling_db.lifting.turn.figures import TurnAnswer
from handling_db.loading import from_database
from handling_db.web.drawings.lift import attitude_sketch, turn_curve
from handling_db.web.pages.listed import jobs_listed, lifts_listed, turns_listed
from handling_db.web.pages.sending import json_asked, page, unit_of
from handling_db.web.site import decode


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks besides the lift group.

    Parameters
    ----------
    job : str
        Id of the unit in hand; empty for none.
    serial : int or None
        Serial number of the unit at hand: its one open job counts without being named.
    assumed : tuple of (component id, low, high)
        Ranges somebody gives for parts without a mass. [kg]
    unit : str
        kg or lb first; empty for the shop's own.
    zeroed : bool or None
        Whether the cell was zeroed with the gear on; None for as recorded.
    """

    job: str = ""
    serial: int | None = None
    assumed: tuple[tuple[str, Fraction, Fraction], ...] = ()
    unit: str = ""
    zeroed: bool | None = None

    @classmethod
    def read(cls, args: Any) -> Asked:
        """Read ``job=ID``, ``serial=1187``, ``assume=PART=19 kg to 25 kg`` (repeatable), ``unit=lb`` and
        ``zeroed=with gear`` or ``zeroed=empty``.

        Raises
        ------
        HandlingError
            A range that cannot be read, or a serial that is no number.
        """
        from handling_db.lifting.asked import assumed_ranges

        ranges = assumed_ranges(args.getlist("assume")[:20], "assume=")
        unit = (args.get("unit") or "").strip()
        if unit not in ("", "kg", "lb"):
            raise HandlingError(f"unit={unit!r} is not one of: kg, lb")
        serial = (args.get("serial") or "").strip()
        if serial and not (serial.isascii() and serial.isdigit()):
            raise HandlingError(f"serial={serial!r} is not a number, such as 1187")
        return cls(
            (args.get("job") or "").strip(),
            int(serial) if serial else None,
            tuple((part, *limits) for part, limits in ranges.items()),
            unit,
            _zeroed((args.get("zeroed") or "").strip()),
        )


ZEROED = {"": None, "with gear": True, "empty": False}


def _zeroed(word: str) -> bool | None:
    if word not in ZEROED:
        raise HandlingError(f"zeroed={word!r} is not one of: with gear, empty")
    return ZEROED[word]


def _question(collection: Any, asked: Asked) -> Any:
    from handling_db.files.rating_factors import rating_factors
    from handling_db.lifting.asked import job_named
    from handling_db.lifting.case import Question

    assumed = {part: (low, high) for part, low, high in asked.assumed}
    job = job_named(collection, asked.job)
    return Question(
        job=job,
        serial=asked.serial,
        as_of=datetime.date.today(),
        assumed=assumed or None,
        factors=rating_factors(),
        zeroed=asked.zeroed,
    )


def _collection(connection: sqlite3.Connection, kind: str, code: str) -> Any:
    return from_database(connection, code, (kind,), "handled").records


def _jobs(collection: Any, root: str) -> list[tuple[str, str]]:
    return [
        (job.id, f"{job.id}, serial {job.serial}") for job in collection.jobs.values() if job.unit == root
    ]


def _name(collection: Any, code: str) -> str:
    component = collection.components.get(code)
    return component.name if component else ""


def _shared(connection: sqlite3.Connection, asked: Asked) -> dict[str, Any]:
    from handling_db.lifting.line import words as line_words
    from handling_db.lifting.said import notices
    from handling_db.lifting.said import words as lift_wording

    stamp = queries.stamp(connection)
    return {
        "stamp": stamp,
        "first": asked.unit or stamp.first_unit,
        "lw": lift_wording,
        "line_words": line_words,
        "said": notices,
        "asked": asked,
    }


async def lifts(request: Any, datasette: Any) -> Any:
    """Every lift with what the hook should read, turns, joints and units in hand."""

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        stamp = queries.stamp(connection)
        first = unit_of(request) or stamp.first_unit
        found = from_database(connection, reach="handled").records
        groups = [group for _, group in sorted(found.lift_groups.items())]
        joints = [{"id": j.id, "name": j.name} for _, j in sorted(found.joints.items())]
        jobs = jobs_listed(connection, found)
        listed = lifts_listed(connection, groups, first)
        turns = turns_listed(connection, groups, first)
        return {
            "lifts": listed,
            "turns": turns,
            "joints": joints,
            "jobs": jobs,
            "stamp": stamp,
            "json": {"lift_groups": listed, "turns": turns, "joints": joints, "jobs": jobs},
        }

    return await page(datasette, "lifts.html", gather, request, json_asked(request))


def _lift(connection: sqlite3.Connection, code: str, asked: Asked) -> tuple[LiftAnswer, Any]:
    from handling_db.lifting.answer import lift_answer

    collection = _collection(connection, "lift group", code)
    return lift_answer(collection, code, _question(collection, asked)), collection


async def lift(request: Any, datasette: Any) -> Any:
    """One lift: what comes up, what still holds it, what the hook should read, when to stop."""
    code = decode(request.url_vars["code"])

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        asked = Asked.read(request.args)
        answer, collection = _lift(connection, code, asked)
        return {
            "about": ("lift group", code),
            **_shared(connection, asked),
            "a": answer,
            "jobs": _jobs(collection, answer.root),
            "turns": collection.lift_groups[code].turn is not None,
            "sketch": attitude_sketch(answer),
            "json": lift_json(answer, first=asked.unit or "kg"),
        }

    return await page(datasette, "lift.html", gather, request, json_asked(request))


async def lift_sheet(request: Any, datasette: Any) -> Any:
    """The same on one sheet of paper, A4 or Letter, black only, with boxes to fill in by hand."""
    code = decode(request.url_vars["code"])

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        asked = Asked.read(request.args)
        answer, collection = _lift(connection, code, asked)
        day = datetime.date.today()
        shared = _shared(connection, asked)
        turned = []
        if collection.lift_groups[code].turn is not None:
            from handling_db.lifting.turn import words as turn_words
            from handling_db.lifting.turn.answer import turn_answer

            found = turn_answer(collection, code, _question(collection, asked))
            turned = turn_words.sheet_lines(found, first=shared["first"])
        return {
            "about": ("lift group", code),
            **shared,
            "a": answer,
            "turned": turned,
            "sketch": attitude_sketch(answer),
            "printed": day.isoformat(),
            "until": (day + datetime.timedelta(days=7)).isoformat(),
            "json": lift_json(answer, first=asked.unit or "kg"),
        }

    return await page(datasette, "lift-sheet.html", gather, request, json_asked(request))


async def joint(request: Any, datasette: Any) -> Any:
    """What still holds two pieces together, to be ticked."""
    code = decode(request.url_vars["code"])

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        from handling_db.lifting.ties import joint_answer

        asked = Asked.read(request.args)
        collection = _collection(connection, "joint", code)
        record = collection.joints[code]
        answer = joint_answer(
            collection,
            record,
            job=_question(collection, asked).job,
            serial=asked.serial,
            as_of=datetime.date.today(),
        )
        lifts = [g for _, g in sorted(collection.lift_groups.items()) if code in (g.parts_joints or ())]
        return {
            "about": ("joint", code),
            **_shared(connection, asked),
            "a": answer,
            "j": answer.joint,
            "has_side": {side: _name(collection, side) for side in answer.joint.between},
            "jobs": _jobs(collection, record.within),
            "lifts": [{"id": g.id, "name": g.name} for g in lifts],
            "json": lift_json(answer, first=asked.unit or "kg"),
        }

    return await page(datasette, "joint.html", gather, request, json_asked(request))


async def turn(request: Any, datasette: Any) -> Any:
    """What the hook and the joint carry while it is turned over an edge."""
    code = decode(request.url_vars["code"])

    def gather(connection: sqlite3.Connection) -> dict[str, Any]:
        from handling_db.lifting.turn import words as turn_words
        from handling_db.lifting.turn.answer import turn_answer

        asked = Asked.read(request.args)
        collection = _collection(connection, "lift group", code)
        answer: TurnAnswer = turn_answer(collection, code, _question(collection, asked))
        return {
            "about": ("lift group", code),
            **_shared(connection, asked),
            "t": answer,
            "a": answer.lift,
            "steps": turn_words.told_steps(answer, 10),
            "tw": turn_words,
            "curve": turn_curve(answer),
            "json": lift_json(answer, first=asked.unit or "kg"),
        }

    return await page(datasette, "turn.html", gather, request, json_asked(request))
