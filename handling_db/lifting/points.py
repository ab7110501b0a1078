"""Pick points of the pieces in a lift group: rating, what carries the load, and what is in the way."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.families.build import BuildError, worked_measure
from handling_db.lifting.figures import PathFigure, PointFigure
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.mechanics.vectors import Vector, apply
from handling_db.quantities.amount import StaticsError
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job
from handling_db.records.parts.pick_point import PickPoint, vector_of
from handling_db.records.parts.three_valued import listed


@dataclass(frozen=True, slots=True)
class Found:
    """A pick point of one occurrence, with its place and direction in the root's frame. [m]"""

    point: PickPoint
    component: str
    index: int
    at: Vector | None
    direction: Vector | None


def points_of(collection: Collection, mass: GroupMass) -> tuple[Found, ...]:
    """Every recorded pick point of a piece that is in the group, in the order of the tree.

    The root's own points too where all of it comes up, whether it is taken itself or part by part.
    """
    found = []
    whole = _all_in(collection, mass)
    for index, occurrence in enumerate(mass.ways.found):
        code, build = mass.ways.tree.nodes[occurrence.node]
        component = collection.components[code]
        if mass.sides[index].part == 0 and not (index == 0 and whole):
            continue
        for point in listed(component.pick_points):
            at = direction = None
            # Several places, or a set at one: which of them the point belongs to is not told.
            if len(occurrence.frames) == 1 and occurrence.pieces == 1:
                frame = occurrence.frames[0]
                try:
                    x, y, z = (float(worked_measure(v, build, component.parameters)) for v in point.at)
                    at = frame.to_parent((x, y, z))
                except BuildError:
                    at = None
                if point.direction is not None:
                    direction = apply(frame.turn, vector_of(point.direction))
            found.append(Found(point, code, index, at, direction))
    return tuple(found)


def _all_in(collection: Collection, mass: GroupMass) -> bool:
    """Whether every part line of the root is in, fluid aside."""
    return all(
        side.part == 1 or collection.components[mass.ways.tree.component(occurrence.node)].fluid is not None
        for occurrence, side in zip(mass.ways.found, mass.sides, strict=True)
        if occurrence.parent == 0
    )


def point_named(found: Sequence[Found], name: str) -> Found:
    """The one pick point of that id.

    Raises
    ------
    StaticsError
        None in the group goes by it, or several do.
    """
    named = [entry for entry in found if entry.point.id == name]
    if not named:
        known = ", ".join(entry.point.id for entry in found) or "none is recorded"
        raise StaticsError(f"no piece in this group has a pick point {name!r}; there are: {known}.")
    if len(named) > 1:
        raise StaticsError(
            f"several pieces in this group have a pick point {name!r}; give them ids of their own."
        )
    return named[0]


def blocked_words(
    entry: Found, mass: GroupMass, job: Job | None, collection: Collection
) -> tuple[str, bool, str]:
    """Whether something covers the point: in words, whether it counts as covered, and in one or two words."""
    point = entry.point
    if point.blocked_by is None:
        return "nobody looked whether anything covers it", False, "nobody looked"
    if point.blocked_by == "none":
        return f"nothing covers it, says {point.checked_by}", False, f"no, says {point.checked_by}"
    words = []
    first_off = []  # what has to be off first, as this lift group has it
    blocked = False
    for cover in listed(point.blocked_by):
        component = collection.components.get(cover.part)
        name = component.name if component else cover.part
        why = f": {cover.why}" if cover.why else ""
        places = mass.ways.of_component(cover.part)
        on = [i for i in places if mass.sides[i].part > 0]
        off = [i for i in places if mass.sides[i].off]
        if on:
            words.append(f"blocked until {name} is off{why}")
            blocked = True
        elif not places:
            words.append(f"{name} would cover it and is not there in this build")
        elif len(off) == len(places):
            words.append(f"{name} covered it and is off")
        elif job is not None and job.unit == mass.group.root:
            words.append(f"blocked: the job does not say that {name} is off{why}")
            blocked = True
        else:
            words.append(f"free only once {name} is off, as this lift group has it{why}")
            first_off.append(name)
    brief = "yes" if blocked else (f"once {', '.join(first_off)} is off" if first_off else "no, it is off")
    return "; ".join(words), blocked, brief


def path_figures(entry: Found, collection: Collection) -> tuple[PathFigure, ...]:
    """What the point's load is carried through, as recorded."""
    found = []
    for through in listed(entry.point.through):
        part = collection.components.get(through.part or "")
        rating = through.rated if through.rated not in (None, "none") else None
        kg = None if rating is None or isinstance(rating, str) else float(rating.base)
        words = "rating: none" if through.rated == "none" else "rating: nobody looked"
        if kg is not None:
            words = f"rated {rating} ({through.source or 'source not stated'})"
        found.append(
            PathFigure(
                through.what, part.name if part else (through.part or ""), through.count or "", kg, words
            )
        )
    return tuple(found)


def through_words(point: PickPoint) -> str:
    """Three-valued: not stated is the sheet's first line."""
    if point.through is None:
        return "not stated what the load is carried through"
    if point.through == "none":
        return f"nothing between point and piece, says {point.checked_by}"
    return "; ".join(f"{t.what}" + (f" ({t.count})" if t.count else "") for t in listed(point.through))


def rated_words(point: PickPoint) -> str:
    """The rating by angle, or that there is none, or that nobody looked."""
    if point.rated is None:
        return "rating: nobody looked"
    if point.rated == "none":
        return f"no rating, says {point.checked_by}"
    rows = ", ".join(f"{row.rated} up to {row.up_to}" for row in listed(point.rated))
    return f"{rows} ({point.rated_by})"


def point_figures(
    collection: Collection, mass: GroupMass, job: Job | None, used: Sequence[str]
) -> tuple[PointFigure, ...]:
    """All pick points of the group, used or not; unrated ones are shown and never proposed."""
    figures = []
    for entry in points_of(collection, mass):
        point = entry.point
        words, blocked, brief = blocked_words(entry, mass, job, collection)
        rows = tuple((float(row.up_to.base), float(row.rated.base)) for row in listed(point.rated))
        figures.append(
            PointFigure(
                id=point.id,
                name=point.name,
                component=entry.component,
                at=entry.at,
                direction=entry.direction,
                thread=point.thread or "",
                engagement_m=float(point.engagement.base) if point.engagement is not None else None,
                seat=point.seat or "nobody looked",
                rated=rows,
                rated_words=rated_words(point),
                through=path_figures(entry, collection),
                through_words=through_words(point),
                blocked_words=words,
                blocked=blocked,
                used=point.id in used,
                proposed=bool(rows) and not blocked and point.blocked_by is not None,
                remark=point.remark or "",
                blocked_brief=brief,
                through_looked=point.through is not None,
                size_m=thread_size(point.thread),
            )
        )
    return tuple(figures)


_METRIC = re.compile(r"\s*M\s?(\d+(?:\.\d+)?)(?![\d.])", re.IGNORECASE)
_INCH = re.compile(r"\s*(?:(\d+)[ -])?(\d+)/(\d+)(?![\d/])")
INCH = 0.0254  # m, exact


def thread_size(thread: str | None) -> float | None:
    """Nominal diameter out of ``M16``, ``M16 x 1.5``, ``3/4-10`` or ``1 1/8``; None for anything else. [m]"""
    if thread is None:
        return None
    if metric := _METRIC.match(thread):
        return float(metric[1]) / 1000.0
    if inch := _INCH.match(thread):
        size = float(inch[1] or 0) + float(inch[2]) / float(inch[3]) if float(inch[3]) else 0.0
        return size * INCH or None
    return None
