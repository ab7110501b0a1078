"""The first page: search, units in hand, whole units, lifts, what can hurt, what to settle."""

from __future__ import annotations

import sqlite3
from typing import Any

from handling_db.database import queries
from handling_db.lookup import words
from handling_db.web.drawings.strip import weight_strip
from handling_db.web.pages.listed import MOST_WORKED_OUT, jobs_listed, lifts_listed
from handling_db.web.pages.sending import Visit, shown

DRAWN = 2  # whole units with their picture; the others are lines
UNITS = 8
URGENT = 40  # notes on stored energy; more of them stand with the notes
BRIEF = 9  # words of a note in a list

# What is not under the thumb: name and address.
MORE = (
    ("A to Z, part numbers", "/a-z"),
    ("Words of notes", "/words"),
    ("Units in hand", "/jobs"),
    ("Planned jobs, step by step", "/plans"),
    ("Which is heavier?", "/heavier"),
    ("Shops and what they have", "/shops"),
    ("Fixtures and stands", "/fixtures"),
    ("Pallets", "/pallets"),
    ("What the sources say", "/sources"),
    ("All tables", "/handling"),
    ("The database explained", "/database"),
)


@shown("start.html")
def start(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """What are you about to lift: the search, what is in hand, whole units, lifts, what can hurt."""
    first = visit.first
    named = queries.handled_names(connection)
    turned = set(named["turn"])
    lifts = [one for one in named["lift group"] if one not in turned]
    in_hand = queries.jobs_recorded(connection, [code for code, _ in named["job"][:MOST_WORKED_OUT]])
    disagree = queries.disagreements(connection)
    unweighed = queries.unweighed(connection, 20)
    urgent = queries.notes_found(connection).urgent
    energy = queries.notes_at(connection, urgent[:URGENT])
    units = queries.whole_units(connection, UNITS)
    jobs = [job for job in jobs_listed(connection, in_hand) if not job.closed]
    opened = {job.unit for job in jobs}
    drawn = sorted(units, key=lambda unit: unit.id not in opened)  # what is in hand has its picture first
    return {
        "jobs": jobs,
        "units": [_unit(connection, unit, place, first) for place, unit in enumerate(drawn)],
        "lifts": lifts_listed(connection, lifts[:MOST_WORKED_OUT], first),
        "turns": lifts_listed(connection, named["turn"][:MOST_WORKED_OUT], first, turned=True),
        "more_lifts": max(len(lifts), len(turned)) > MOST_WORKED_OUT,
        "energy": [{"id": n.id, "about_name": n.about_name, "brief": brief(n.text)} for n in energy],
        "more_energy": max(len(urgent) - URGENT, 0),
        "disagree": disagree,
        "unweighed": unweighed,
        "more": MORE,
        "json": lambda: {
            "units": units,
            "disagrees": disagree,
            "unweighed": unweighed,
            "heaviest": queries.heaviest(connection, 12),
        },
    }


def _unit(connection: sqlite3.Connection, unit: Any, place: int, first: str) -> dict[str, Any]:
    """A whole unit with its plan, and its picture if it is among the first."""
    strip = None
    if place < DRAWN:
        strip = weight_strip(unit.name, unit.state, queries.usage_tree(connection, unit.id, 2), first=first)
    return {"id": unit.id, "name": unit.name, "plan": plan(unit.state, first), "strip": strip}


def plan(state: Any, first: str) -> str:
    """The figure to plan with alone, or the known part and that there is no upper figure."""
    from handling_db.quantities.display import at_least, planning_text

    if state.planning is not None:
        return planning_text(state.planning, first=first)
    return words.plan_words(state, first=first) if state.nothing_known else at_least(state, first=first)


def brief(text: str) -> str:
    """The first few words of somebody's own text."""
    listed = text.split()
    return " ".join(listed[:BRIEF]) + (" …" if len(listed) > BRIEF else "")
