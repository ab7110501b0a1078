"""A sling by its tag: for the legs that carry, for one leg by itself, and for legs that are not even."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from handling_db.lifting.figures import RatingFigure
from handling_db.lifting.line.gear import OnHook
from handling_db.lifting.line.links import no_tag
from handling_db.lifting.ratings import ItemDemand, LegPull, LineCase, LinePlace, Rated, compared, struck
from handling_db.quantities.notice import Facts, Notice
from handling_db.records.kinds.gear import Gear
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.factors import LegRule
from handling_db.rigging.leg_rules import plan_angles, uneven
from handling_db.rigging.stack import Below
from handling_db.rigging.tags import OneLeg, TagRow, Whole, lean_of, one_leg, whole

WEB = ("web sling", "round sling")


def tag_rows(gear: Gear, legs: int) -> list[TagRow]:
    """The lines of a tag; one without a number of legs is for all that the sling has. Angles as leans."""
    own = int(gear.legs.number) if gear.legs is not None and gear.legs.number else legs
    return [
        TagRow(
            int(row.legs.number) if row.legs is not None and row.legs.number else own,
            None if row.up_to is None else lean_of(float(row.up_to.base), gear.angles_from or "vertical"),
            float(row.rated.base),
        )
        for row in listed(gear.tag)
        if row.hitch is None or row.hitch == "straight"
    ]


def sling_figures(case: LineCase, piece: OnHook, depth: int) -> list[RatingFigure]:
    """Every comparison of one sling."""
    gear = piece.gear
    assert gear is not None
    old = struck(gear, case.as_of)
    name = gear.name if piece.key == piece.id else f"{gear.name} at {' and '.join(piece.points)}"
    row = LinePlace(name, depth=depth, points=piece.points, old=old, what=gear.name, gear=gear)
    asked = case.asked_of(piece)
    if not listed(gear.tag):
        return [compared(case, row, asked, no_tag(gear))]
    rows = tag_rows(gear, max(1, len(piece.points)))
    if not piece.points:
        return [compared(case, row, asked, _in_line(case, piece, rows))]
    pulls = None if case.pulls is None else [case.pulls[point] for point in piece.points]
    carrying = None if pulls is None else [pull for pull in pulls if not pull.slack]
    lean = None if not carrying else max(pull.lean for pull in carrying)
    found = []
    if len(piece.points) > 1:
        found += _whole(case, piece, rows, row, asked, carrying)
        row = replace(row, name=f"one leg of {name}", kind="leg", depth=depth + 1)
    # Beside the same single-leg figure the hardest leg is the only one that matters.
    found.append(compared(case, row, _hardest(case, piece, asked), _one(case, piece, rows, lean)))
    return found


def _hardest(case: LineCase, piece: OnHook, asked: ItemDemand) -> ItemDemand:
    """What the leg with the most pull is asked, with the links that hang in it."""
    if len(piece.points) == 1 or case.pulls is None:
        return asked
    each = []
    for point in piece.points:
        links = frozenset(
            other.key
            for other in case.rigging.pieces
            if other.key in asked.carried.certain and other.points == (point,)
        )
        beside = frozenset(
            other.key for other in case.rigging.pieces if other.points and not set(other.points) <= {point}
        )
        # What is no link of a leg hangs from the sling as the piece does: every leg has its part of it.
        rest = (asked.carried.certain - beside) - links
        own = Below(links | rest, asked.carried.perhaps)
        each.append(case.asked_at((point,), own, shared=rest | asked.carried.perhaps))
    return max(each, key=lambda one: one.demand.high or one.demand.best)


def _rules(case: LineCase) -> Sequence[LegRule]:
    return case.factors.leg_rules if case.factors is not None else ()


def _one(case: LineCase, piece: OnHook, rows: list[TagRow], lean: float | None) -> Rated:
    gear = piece.gear
    assert gear is not None
    single = one_leg(rows, lean, _rules(case))
    # One of several legs: what the sling holds under stands in the row of the whole.
    cautions = sling_cautions(gear) if len(piece.points) == 1 else ()
    if single is None:
        return Rated(None, _no_row(lean), cautions=cautions)
    rating, words = single.rating_kg, _one_leg(single)
    hitches = {case.picks[point].hitch for point in piece.points if point in case.picks}
    if "choker" in hitches:
        rating, more, caution = _choked(case, gear, rating)
        words = Notice("and choked", {"basis": words, "more": more})
        cautions = (*cautions, caution)
    return Rated(rating, words, cautions=cautions)


def _choked(case: LineCase, gear: Gear, rating: float) -> tuple[float, Notice, Notice]:
    """A choked leg: by the tag's own line, else by the published factor. The lower counts."""
    own = [float(row.rated.base) for row in listed(gear.tag) if row.hitch == "choker"]
    hitch = case.factors.hitch("choker") if case.factors is not None else None
    caution = Notice("wide choke")
    if own:
        return min(rating, *own), Notice("choker line of the tag"), caution
    if hitch is None:
        return rating / 2.0, Notice("half choked"), caution
    by = f"{hitch.source} [{hitch.verified}]"
    words = Notice("choked by", {"factor": f"{hitch.factor:g}", "by": by})
    return rating * hitch.factor, words, caution


def _whole(
    case: LineCase,
    piece: OnHook,
    rows: list[TagRow],
    row: LinePlace,
    asked: ItemDemand,
    carrying: list[LegPull] | None,
) -> list[RatingFigure]:
    """The tag for the legs that carry, and half of it where they are not even."""
    gear = piece.gear
    assert gear is not None
    if not carrying:
        # Nobody knows how they lean: the lowest line for so many legs.
        own = [row.rated_kg for row in rows if row.legs == len(piece.points)]
        legs = {"legs": len(piece.points)}
        words = Notice("lowest line of the tag", legs) if own else _no_row(None)
        rated = Rated(min(own, default=None), words, cautions=sling_cautions(gear))
        return [compared(case, row, asked, rated)]
    lean = max(pull.lean for pull in carrying)
    has = int(gear.legs.number) if gear.legs is not None and gear.legs.number else len(piece.points)
    slack = len(carrying) < max(has, len(piece.points))
    found = whole(rows, len(carrying), lean, _rules(case), slack=slack)
    if found is None:
        rated = Rated(None, _no_row(lean, len(carrying)), cautions=sling_cautions(gear))
        return [compared(case, row, asked, rated)]
    words = _whole_sling(found, lean, has)
    rated = Rated(found.rating_kg, words, cautions=sling_cautions(gear))
    figures = [compared(case, row, asked, rated)]
    reasons = uneven(
        [math.radians(pull.lean) for pull in carrying], plan_angles([pull.heading for pull in carrying])
    )
    if reasons:
        half = Rated(
            found.rating_kg / 2.0,
            Notice("half for uneven legs", {"because": reasons}),
            cautions=(Notice("person may decide"),),
        )
        figures.append(compared(case, replace(row, name=f"{row.name}, legs not even"), asked, half))
    return figures


def _in_line(case: LineCase, piece: OnHook, rows: list[TagRow]) -> Rated:
    """A sling that goes to no point of the piece: above a beam, or in line."""
    gear = piece.gear
    assert gear is not None
    cautions = sling_cautions(gear)
    legs = max(row.legs for row in rows)
    if legs == 1:
        single = one_leg(rows, 0.0, _rules(case))
        if single is None:
            return Rated(None, _no_row(0.0), cautions=cautions)
        return Rated(single.rating_kg, _one_leg(single), cautions=cautions)
    lean = piece.used.lean if piece.used is not None else None
    if lean is None:
        most = max(row.rated_kg for row in rows)
        why = Notice("lean not recorded", {"most_kg": most})
        return Rated(most, Notice("highest line of the tag", {"legs": legs}), why, cautions=cautions)
    found = whole(rows, legs, float(lean.base), _rules(case), slack=False)
    if found is None:
        return Rated(None, _no_row(float(lean.base), legs), cautions=cautions)
    return Rated(found.rating_kg, _whole_sling(found, float(lean.base), legs), cautions=cautions)


def _no_row(lean: float | None, legs: int = 1) -> Notice:
    if lean is None:
        return Notice("no line for so many legs")
    return Notice("no line of the tag", {"legs": _legs(legs), "lean_deg": lean})


def _legs(count: int) -> str:
    return f"{count} {'legs' if count > 1 else 'leg'}"


def _row(row: TagRow) -> Notice:
    facts: Facts = {"rated_kg": row.rated_kg, "legs": _legs(row.legs)}
    if row.lean is None:
        return Notice("line of a tag", facts)
    return Notice("line of a tag to a lean", {**facts, "lean_deg": row.lean})


def _by(rule: LegRule) -> str:
    return f"{rule.name}, {rule.source} [{rule.verified}]"


def _one_leg(single: OneLeg) -> Notice:
    if single.row.legs == 1:
        return Notice("single leg")
    facts: Facts = {"row": _row(single.row), "factor": f"{single.factor:.3g}"}
    if single.rule is None:
        return Notice("one of legs alike", facts)
    return Notice("one of several legs", {**facts, "by": _by(single.rule)})


def _whole_sling(found: Whole, lean: float, legs: int) -> Notice:
    facts: Facts = {"legs": found.legs, "lean_deg": lean}
    if found.factor == 1.0 and found.legs == found.row.legs:
        return Notice("tag for its legs", facts)
    part: Facts = {"row": _row(found.row), "factor": f"{found.factor:.3g}"}
    facts = {"carry": found.legs, "legs": legs, "lean_deg": lean, **part}
    if found.rule is None:
        return Notice("some legs carry", facts)
    return Notice("some legs carry, by", {**facts, "by": _by(found.rule)})


def sling_cautions(gear: Gear) -> tuple[Notice, ...]:
    """What a sling's rating holds under; common practice where no source is named."""
    if gear.kind in WEB:
        return (Notice("padded over edges"),)
    if gear.kind == "chain sling":
        return Notice("no knot or twist"), Notice("chain in the heat")
    return (Notice("no bare edge"),)
