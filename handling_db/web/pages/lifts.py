"""Pages of lifts, joints and turns, and the lift sheet for printing; JSON beside each."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from datasette.utils import tilde_encode

from handling_db.database import queries
from handling_db.database.queries.pictures import pictures_of_notes, pictures_of_places
from handling_db.lifting.case import Case
from handling_db.lifting.figures import LiftAnswer, OpenRange
from handling_db.lifting.pictured.outlines import outlines
from handling_db.lifting.pictured.turned import on_edge
from handling_db.lifting.said.as_json import lift_json
from handling_db.lifting.said.notices import Rank, notice_words, rank_of
from handling_db.loading import from_database
from handling_db.lookup.as_json import plain
from handling_db.lookup.listings import PictureFigure
from handling_db.web.drawings.hook_scale import hook_scale
from handling_db.web.drawings.lift import attitude_sketch
from handling_db.web.drawings.turn import four_angles, turn_curve
from handling_db.web.pages.hook_box import hook_box, seen_kilograms
from handling_db.web.pages.listed import MOST_WORKED_OUT, jobs_listed, lifts_listed
from handling_db.web.pages.ranges import boxes_for
from handling_db.web.pages.sending import Visit, shown
from handling_db.web.pages.worked import (
    ZEROED,
    LiftAddress,
    lift_drawn,
    lift_worked,
    question_of,
)
from handling_db.web.turned import leaf


def _collection(connection: sqlite3.Connection, kind: str, code: str) -> Any:
    return from_database(connection, code, (kind,), "handled").records


def _boxes(visit: Visit, ranges: Sequence[OpenRange], asked: LiftAddress, page: str) -> dict[str, Any]:
    """What the boxes of a page need: what a range may be given for, and the rest of the question."""
    kept = {
        "job": asked.job,
        "serial": "" if asked.serial is None else str(asked.serial),
        "unit": visit.unit,
        "zeroed": next(word for word, value in ZEROED.items() if value == asked.zeroed),
    }
    return {
        "boxes": boxes_for(ranges, visit.first),
        "given": any(one.given for one in ranges),
        "kept": [(name, value) for name, value in kept.items() if value],
        "asked_at": visit.path(f"/{page}/{visit.request.url_vars['code']}"),
    }


def _jobs(collection: Any, root: str) -> list[tuple[str, str]]:
    return [
        (job.id, f"Serial {job.serial}, in hand" if job.serial else f"Job {job.id}")
        for job in collection.jobs.values()
        if job.unit == root
    ]


def _name(collection: Any, code: str) -> str:
    component = collection.components.get(code)
    return component.name if component else ""


def _shared(asked: LiftAddress) -> dict[str, Any]:
    from handling_db.lifting.line import words as line_words
    from handling_db.lifting.said import notices
    from handling_db.lifting.said import words as lift_wording

    return {"lw": lift_wording, "line_words": line_words, "said": notices, "asked": asked}


@shown("lifts.html")
def lifts(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Every lift with what the hook should read, turns, joints and units in hand."""
    first = visit.first
    named = queries.handled_names(connection)
    at = leaf(visit.request, "/lifts", max(len(one) for one in named.values()), MOST_WORKED_OUT)
    here = {what: several[at.start : at.end] for what, several in named.items()}
    jobs = jobs_listed(connection, queries.jobs_recorded(connection, [code for code, _ in here["job"]]))
    listed = lifts_listed(connection, here["lift group"], first)
    turns = lifts_listed(connection, here["turn"], first, turned=True)
    joints = [{"id": code, "name": name} for code, name in here["joint"]]
    return {
        "leaf": at,
        "lifts": listed,
        "turns": turns,
        "joints": joints,
        "jobs": jobs,
        "json": {"lift_groups": listed, "turns": turns, "joints": joints, "jobs": jobs},
    }


@shown("lift.html")
def lift(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """One lift: what still holds it, what the hook should read, when to stop, and what a reading means."""
    code = visit.code
    asked = LiftAddress.read(visit.request.args)
    found = lift_worked(connection, code, asked)
    answer, case, collection = found.answer, found.case, found.collection
    first = visit.first
    typed = visit.text("seen", 40)
    seen = seen_kilograms(typed, first)
    box = None
    if seen is not None:
        from handling_db.lifting.reading import reading_of

        job = answer.job or next(iter(one for one, _ in _jobs(collection, answer.root)), "")
        call = _call(collection, case)
        box = hook_box(reading_of(case, answer, seen), job=job, call=call, first=first)
    side, above = lift_drawn(connection, code, asked, first)
    return {
        **_shared(asked),
        "about": ("lift group", code),
        "a": answer,
        "photos": _photos(connection, answer),
        "jobs": _jobs(collection, answer.root),
        "ways": _ways_of(collection, answer, asked),
        "typed": typed,
        "box": box,
        "scale": hook_scale(answer, first=first, seen_kg=seen),
        "side": side,
        "above": above,
        **_boxes(visit, answer.ranges, asked, "lift"),
        "not_compared": [row for row in answer.ratings if row.not_compared and row.part > 0.0],
        "json": lambda: {**lift_json(answer, first=visit.unit or "kg"), "seen": plain(box)},
    }


def _call(collection: Any, case: Case) -> str:
    """Whom the shop of this lift names."""
    from handling_db.lifting.case import shop_of

    shop = shop_of(collection, case.group, case.question)
    return str(shop.who_to_call or "") if shop is not None else ""


def _ways_of(collection: Any, answer: LiftAnswer, asked: LiftAddress) -> list[tuple[str, str]]:
    """The large ways of a lift: name and address, each once, what is not recorded left out."""
    group = collection.lift_groups[answer.id]
    tail = f"?{urlencode({'job': asked.job})}" if asked.job else ""
    own = tilde_encode(answer.id)
    ties = len(answer.open_ties)
    holds = f"/joint/{tilde_encode(answer.joints[0].id)}{tail}" if len(answer.joints) == 1 else ""
    turns = [g.id for _, g in sorted(collection.lift_groups.items()) if g.turn and g.root == group.root]
    turned = answer.id if group.turn is not None else next(iter(turns), "")
    ways = [
        (f"What holds it ({ties})", holds or "#holds") if answer.joints else ("", ""),
        (f"Notes ({len(answer.notes)})", f"/lift/{own}/notes{tail}"),
        ("Turn it" if turned == answer.id else "Turn the unit", f"/turn/{tilde_encode(turned)}{tail}")
        if turned
        else ("", ""),
        ("Move it", f"/move/{own}"),
        ("The other half", f"/lift/{tilde_encode(group.other_half)}{tail}")
        if group.other_half in collection.lift_groups
        else ("", ""),
        ("Fixtures", f"/fixtures/{own}"),
        ("Two hooks", f"/two-hooks/{own}") if len(answer.points) > 1 else ("", ""),
        ("Sheet to print", f"/lift/{own}/sheet{tail}"),
    ]
    return [way for way in ways if way[0]]


def _photos(connection: sqlite3.Connection, answer: LiftAnswer) -> tuple[PictureFigure, ...]:
    """Pictures of the points it hangs on, of its joints, and of the notes that touch it."""
    points = [(point.component, point.id) for point in answer.points if point.used]
    places = pictures_of_places(connection, points, [joint.id for joint in answer.joints])
    return _once(places, pictures_of_notes(connection, [note.id for note in answer.notes]))


def _once(*groups: Sequence[PictureFigure]) -> tuple[PictureFigure, ...]:
    """Pictures of several lists, each file once."""
    found: dict[str, PictureFigure] = {}
    for one in (picture for group in groups for picture in group):
        found.setdefault(one.name or one.file, one)
    return tuple(found.values())


@shown("lift-notes.html")
def lift_notes(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """The notes that touch one lift: stored energy first, then what holds, by the order of the acts."""
    code = visit.code
    asked = LiftAddress.read(visit.request.args)
    answer = lift_worked(connection, code, asked).answer
    return {
        **_shared(asked),
        "about": ("lift group", code),
        "a": answer,
        "json": {"notes": plain(answer.notes)},
    }


@shown("lift-sheet.html")
def lift_sheet(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """The same on one sheet of paper, A4 or Letter, black only, with boxes to fill in by hand."""
    code = visit.code
    asked = LiftAddress.read(visit.request.args)
    found = lift_worked(connection, code, asked)
    answer, collection = found.answer, found.collection
    day = visit.day
    turned = []
    if collection.lift_groups[code].turn is not None:
        from handling_db.lifting.turn import words as turn_words

        turned = turn_words.sheet_lines(found.turn, first=visit.first)
    return {
        "about": ("lift group", code),
        **_shared(asked),
        "a": answer,
        "photos": _photos(connection, answer),
        "turned": turned,
        "sketch": attitude_sketch(answer, outlines(found.case), first=visit.first),
        "printed": day.isoformat(),
        "until": (day + datetime.timedelta(days=7)).isoformat(),
        "json": lambda: lift_json(answer, first=visit.unit or "kg"),
    }


@shown("joint.html")
def joint(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What still holds two pieces together, to be ticked."""
    from handling_db.lifting.ties import joint_answer

    code = visit.code
    asked = LiftAddress.read(visit.request.args)
    collection = _collection(connection, "joint", code)
    record = collection.joints[code]
    answer = joint_answer(
        collection,
        record,
        job=question_of(collection, asked).job,
        serial=asked.serial,
        as_of=visit.day,
    )
    lifts = [g for _, g in sorted(collection.lift_groups.items()) if code in (g.parts_joints or ())]
    return {
        "about": ("joint", code),
        **_shared(asked),
        "a": answer,
        "photos": _once(
            pictures_of_places(connection, joints=[code]),
            pictures_of_notes(connection, [note.id for note in answer.notes]),
        ),
        "j": answer.joint,
        "has_side": {side: _name(collection, side) for side in answer.joint.between},
        "jobs": _jobs(collection, record.within),
        "lifts": [{"id": g.id, "name": g.name} for g in lifts],
        "json": lambda: lift_json(answer, first=visit.unit or "kg"),
    }


@shown("turn.html")
def turn(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """From which angle it goes over by itself, and what the hook and the joint carry until then."""
    from handling_db.lifting.turn import words as turn_words

    code = visit.code
    asked = LiftAddress.read(visit.request.args)
    first = visit.first
    found = lift_worked(connection, code, asked)
    answer = found.turn
    return {
        **_shared(asked),
        "about": ("lift group", code),
        "t": answer,
        "a": answer.lift,
        **_boxes(visit, answer.lift.ranges, asked, "turn"),
        "jobs": _jobs(found.collection, answer.lift.root),
        "gaps": [notice_words(n, first=first) for n in answer.first if rank_of(n) is Rank.NOT_KNOWN],
        "steps": turn_words.told_steps(answer, 10),
        "tw": turn_words,
        "curve": turn_curve(answer, first=first),
        "angles": four_angles(answer, on_edge(found.case), first=first),
        "json": lambda: lift_json(answer, first=visit.unit or "kg"),
    }
