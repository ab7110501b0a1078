"""The page of what comes off first: a limit, the choices that bring the rest under it, what may stay on."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.database.cache import LastAnswers
from handling_db.jobs.lighten.figures import LightenAnswer
from handling_db.loading import PIECE, from_database
from handling_db.records.proved import Records
from handling_db.serialise import Answer
from handling_db.web.drawings.under_limit import under_limit
from handling_db.web.pages.asked import one_of, text_of
from handling_db.web.pages.sending import Visit, shown

LIMITS = ("under", "hoist", "fork", "pallet", "floor", "scale", "hands")
TEXTS = (*LIMITS, "load_centre", "shop", "state", "job", "break_loose")
LONGEST = 80
MOST = 20
NO_LIMIT = "No hoist is recorded for it: choose a limit below, or write a mass."
_worked: LastAnswers[Answer[LightenAnswer]] = LastAnswers(16)
_LOOSE = {"": None, "yes": True, "no": False}


def _asked(args: Any) -> dict[str, Any]:
    """The question of an address; ``limit=hoist:ID`` stands for ``hoist=ID``.

    Raises
    ------
    HandlingError
        A word that is not one of those to choose from.
    """
    texts = {name: text_of(args, name, LONGEST) for name in TEXTS}
    kind, sign, code = text_of(args, "limit", 2 * LONGEST).partition(":")
    if sign and not texts["under"]:  # a mass that was typed goes before what was chosen
        texts[one_of("limit", kind, LIMITS)] = code
    for name, words in (("break_loose", ("yes", "no")), ("state", ("dry", "drained", "filled"))):
        if texts[name]:
            one_of(name, texts[name], words)
    asked: dict[str, Any] = {name: text or None for name, text in texts.items()}
    asked["break_loose"] = _LOOSE[texts["break_loose"]]
    asked["settings"] = [text[:LONGEST] for text in args.getlist("set")[:MOST]]
    return asked


@shown("lighten.html")
def lighten(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Which pieces come off first, so that what is left is under a limit."""
    import handling_db as hd
    from handling_db.jobs.lighten import words
    from handling_db.jobs.lighten.asked import LimitError, NoLimitError
    from handling_db.lifting.asked import assumed_ranges

    found = from_database(connection, visit.code, PIECE, "everything")
    asked = _asked(visit.request.args)
    first = visit.first
    ranges = assumed_ranges(visit.request.args.getlist("assume")[:MOST], "assume=")
    day = visit.day
    answer, why = None, ""
    try:
        # the page and its JSON ask the same, whichever unit stands first
        key = (visit.stamp.stamp, day, found.id, repr(ranges), repr(asked))
        answer = _worked.get(
            key, lambda: hd.lighten(found.records, found.id, as_of=day, assume=ranges or None, **asked)
        )
    except LimitError as error:
        if visit.as_json:
            raise
        # The form to choose a limit stands below it.
        why = NO_LIMIT if isinstance(error, NoLimitError) else str(error)
    a = answer.figures if answer is not None else None
    return {
        "about": (str(found.kind), found.id),
        "a": a,
        "why": why,
        "name": _name(found.records, found.id, str(found.kind)),
        "code": found.id,
        "kind": found.kind,
        "w": words,
        "drawing": under_limit(a, _rows(a), first=first) if a is not None else None,
        "choices": _choices(found.records),
        "chosen": (a.limit.kind, a.limit.id) if a is not None else ("", ""),
        "asked": asked,
        "json": answer.to_json(first=first, marked=False) if answer is not None else {},
    }


def _name(records: Records, code: str, kind: str) -> str:
    found = records.lift_groups[code] if kind == "lift group" else records.components[code]
    return str(found.name)


def _rows(a: LightenAnswer) -> list[tuple[str, Any]]:
    """What is drawn: everything on, then each choice."""
    rows = [("everything on", a.now)]
    rows += [(", ".join(one.name for one in o.off) + " off", o.rest) for o in (*a.options, *a.careful)]
    return rows


def _choices(records: Records) -> list[tuple[str, list[tuple[str, str]]]]:
    """Recorded limits by heading: the value of the address, and its name."""
    from handling_db.moving.trucks import TRUCKS

    movers = [mover for _, mover in sorted(records.movers.items()) if mover.kind not in ("hands", "skates")]
    shops = [shop for _, shop in sorted(records.shops.items())]
    pallets = [pallet for _, pallet in sorted(records.pallets.items())]
    scales = [source for _, source in sorted(records.sources.items()) if source.instrument is not None]
    found = [
        ("Hook", [(f"hoist:{m.id}", m.name) for m in movers if m.kind not in TRUCKS]),
        ("Truck", [(f"fork:{m.id}", m.name) for m in movers if m.kind in TRUCKS]),
        ("By hand", [(f"hands:{s.id}", s.name) for s in shops if s.hand_limit is not None]),
        ("Pallet", [(f"pallet:{p.id}", p.name) for p in pallets]),
        ("Floor", [(f"floor:{s.id}:{f.id}", f"{f.name}, {s.name}") for s in shops for f in s.floors]),
        ("Scale", [(f"scale:{s.id}", s.name) for s in scales if s.instrument and s.instrument.reach]),
    ]
    return [(heading, entries) for heading, entries in found if entries]
