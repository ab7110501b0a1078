"""Pages that hold several things beside each other: which is heavier, two hooks, pallets."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

from handling_db.database import queries
from handling_db.loading import PIECE, from_database, together
from handling_db.lookup.heavier_text import side_words, verdict_words
from handling_db.moving import words as move_wording
from handling_db.moving.as_json import move_json
from handling_db.web.pages.asked import one_of
from handling_db.web.pages.sending import Visit, shown

STATES = ("dry", "drained", "filled")
MOST_PIECES = 20
SOLVER_SECONDS = 2.0


def _pieces(connection: sqlite3.Connection, handled: Any) -> list[tuple[str, str]]:
    """What may be named: lifts first, then whole units and the heaviest pieces."""
    lifts = [(code, group.name or code) for code, group in sorted(handled.lift_groups.items())]
    heavy = [(one.id, one.name) for one in queries.heaviest(connection, 40)]
    return list(dict.fromkeys([*lifts, *heavy]))


@shown("heavier.html")
def heavier(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Which of two is heavier, by their worst-case ranges."""
    import handling_db as hd

    names = [visit.text(name) for name in ("one", "other")]
    state: Any = one_of("state", visit.text("state") or "dry", STATES)
    answer = None
    if all(names):
        several = [from_database(connection, name, PIECE, "handled") for name in names]
        one, other = several
        answer = hd.heavier(together(several), one.id, other.id, state=state, as_of=visit.day)
    found = answer.figures if answer else None
    first = visit.first
    return {
        "verdict": verdict_words(found, first) if found else "",
        "sides": [side_words(one, first) for one in (found.first, found.second)] if found else [],
        "jobs": found.jobs if found else (),
        "beside": [*answer.not_reviewed, *answer.waiting] if answer else [],
        "names": names,
        "state": state,
        "states": STATES,
        "pieces": _pieces(connection, from_database(connection, reach="handled").records),
        "json": answer.to_json() if answer else {},
    }


@shown("two-hooks.html")
def two_hooks(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What two plumb hooks carry while one raises the head and the other holds the tail."""
    import handling_db as hd
    from handling_db.lifting.said import notices
    from handling_db.lifting.said import words as lift_wording

    code = visit.code
    head, tail = visit.text("head"), visit.text("tail")
    records = from_database(connection, code, ("lift group",), "handled").records
    asked: dict[str, Any] = {"as_of": visit.day, "rules": hd.rules()}
    answer = hd.two_hooks(records, code, head, tail, **asked) if head and tail else None
    lift = answer.figures.lift if answer else hd.lift(records, code, **asked).figures
    return {
        "about": ("lift group", code),
        "t": answer.figures if answer else None,
        "steps": _tens(answer.figures.steps) if answer else [],
        "a": lift,
        "points": [point for point in lift.points if point.at is not None],
        "head": head,
        "tail": tail,
        "lw": lift_wording,
        "said": notices,
        "json": answer.to_json() if answer else {},
    }


def _tens(steps: Sequence[Any]) -> list[Any]:
    """Every tenth degree, and the last step."""
    return [step for step in steps if round(step.turned) % 10 == 0 or step is steps[-1]]


@shown("pallets.html")
def pallets(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """The pallets recorded with their ratings, and on how few of one kind several pieces go."""
    from handling_db.shop.pallets import PalletAsked, few_pallets, pallet_list

    wanted = [one.strip()[:200] for one in visit.request.args.getlist("piece")[:MOST_PIECES] if one.strip()]
    on = visit.text("pallet")
    records = from_database(connection, reach="handled").records
    packed = None
    several = [from_database(connection, name, PIECE, "handled") for name in wanted]
    if several and on:
        pieces = {one.id: one.records for one in several}
        packed = few_pallets(pieces, records, PalletAsked(pallet=on), seconds=SOLVER_SECONDS)
    listed = pallet_list(records)
    names = dict(connection.execute("select code, name from component"))
    names |= {code: group.name or code for code, group in records.lift_groups.items()}
    return {
        "pallets": listed,
        "packed": packed,
        "wanted": wanted,
        "on": on,
        "names": names,
        "pieces": _pieces(connection, records),
        "moves": move_wording,
        "json": {"pallets": listed, "packed": move_json(packed)},
    }
