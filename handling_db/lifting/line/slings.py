"""A sling by its tag: for the legs that carry, for one leg by itself, and for legs that are not even."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from handling_db.lifting.figures import RatingFigure
from handling_db.lifting.line.gear import OnHook
from handling_db.lifting.ratings import ItemDemand, LegPull, LineCase, LinePlace, Rated, compared, struck
from handling_db.quantities.sentence import clause
from handling_db.records.kinds.gear import Gear
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.factors import LegRule
from handling_db.rigging.leg_rules import plan_angles, uneven
from handling_db.rigging.stack import Below
from handling_db.rigging.tags import OneLeg, TagRow, Whole, lean_of, one_leg, whole
from handling_db.rigging.words import CLAUSES

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
        no_tag = "tag: nobody looked" if gear.tag is None else f"no tag, says {gear.checked_by}: no rating"
        return [compared(case, row, asked, Rated(None, no_tag))]
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
    rating, words = single.rating_kg, _leg_words(single)
    hitches = {case.picks[point].hitch for point in piece.points if point in case.picks}
    if "choker" in hitches:
        rating, more, caution = _choked(case, gear, rating)
        words = f"{words}; {more}"
        cautions = (*cautions, caution)
    return Rated(rating, words, cautions=cautions)


def _choked(case: LineCase, gear: Gear, rating: float) -> tuple[float, str, str]:
    """A choked leg: by the tag's own line, else by the published factor. The lower counts."""
    own = [float(row.rated.base) for row in listed(gear.tag) if row.hitch == "choker"]
    hitch = case.factors.hitch("choker") if case.factors is not None else None
    caution = "choked: the figure holds for a choke of 120° and more; sharper ones carry less (from memory)"
    if own:
        return min(rating, *own), "choker line of the tag", caution
    if hitch is None:
        return rating / 2.0, "choked: half counts, no published factors are loaded", caution
    words = f"choked: {hitch.factor:g} of it, {hitch.source} [{hitch.verified}]"
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
        words = f"lowest line of the tag for {len(piece.points)} legs" if own else _no_row(None)
        rated = Rated(min(own, default=None), words, cautions=sling_cautions(gear))
        return [compared(case, row, asked, rated)]
    lean = max(pull.lean for pull in carrying)
    has = int(gear.legs.number) if gear.legs is not None and gear.legs.number else len(piece.points)
    slack = len(carrying) < max(has, len(piece.points))
    found = whole(rows, len(carrying), lean, _rules(case), slack=slack)
    if found is None:
        rated = Rated(None, _no_row(lean, len(carrying)), cautions=sling_cautions(gear))
        return [compared(case, row, asked, rated)]
    words = _whole_words(found, lean, has)
    rated = Rated(found.rating_kg, words, cautions=sling_cautions(gear))
    figures = [compared(case, row, asked, rated)]
    reasons = uneven(
        [math.radians(pull.lean) for pull in carrying], plan_angles([pull.heading for pull in carrying])
    )
    if reasons:
        half = Rated(
            found.rating_kg / 2.0,
            f"half of it for legs that are not even: {' '.join(clause(CLAUSES, r) for r in reasons)} EN "
            f"818-6, from memory; it only "
            f"tightens",
            cautions=("a competent person may decide otherwise",),
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
        return Rated(single.rating_kg, _leg_words(single), cautions=cautions)
    lean = piece.used.lean if piece.used is not None else None
    if lean is None:
        most = max(row.rated_kg for row in rows)
        why = (
            f"how its legs lean is not recorded (write 'lean'); no line of its tag gives more than "
            f"{most:.0f} kg"
        )
        return Rated(most, f"highest line of the tag, {legs} legs", why, cautions=cautions)
    found = whole(rows, legs, float(lean.base), _rules(case), slack=False)
    if found is None:
        return Rated(None, _no_row(float(lean.base), legs), cautions=cautions)
    return Rated(found.rating_kg, _whole_words(found, float(lean.base), legs), cautions=cautions)


def _no_row(lean: float | None, legs: int = 1) -> str:
    if lean is None:
        return "its tag has no line for so many legs"
    return f"its tag has no line for {legs} {'legs' if legs > 1 else 'leg'} at {lean:.0f}° from the vertical"


def _row_words(row: TagRow) -> str:
    angle = "" if row.lean is None else f" up to {row.lean:g}° from the vertical"
    return f"tag {row.rated_kg:g} kg, {row.legs} {'legs' if row.legs > 1 else 'leg'}{angle}"


def _leg_words(single: OneLeg) -> str:
    if single.row.legs == 1:
        return "tag, single leg"
    by = (
        f"{single.rule.name}, {single.rule.source} [{single.rule.verified}]"
        if single.rule is not None
        else "all legs alike: no published factor for so many legs"
    )
    return f"{_row_words(single.row)}, over {single.factor:.3g} by {by}"


def _whole_words(found: Whole, lean: float, legs: int) -> str:
    if found.factor == 1.0 and found.legs == found.row.legs:
        return f"tag, {found.legs} legs, {lean:.0f}° from the vertical"
    by = f", {found.rule.name}, {found.rule.source} [{found.rule.verified}]" if found.rule is not None else ""
    return (
        f"{found.legs} of {legs} legs carry, {lean:.0f}° from the vertical: one leg of "
        f"{_row_words(found.row)}, "
        f"times {found.factor:.3g}{by}"
    )


def sling_cautions(gear: Gear) -> tuple[str, ...]:
    """What a sling's rating holds under; common practice where no source is named."""
    practice = "common practice, no source"
    if gear.kind in WEB:
        return (f"padded over edges, kept from heat and chemicals as its label says ({practice})",)
    if gear.kind == "chain sling":
        hot = "hot: over 200 °C 90 %, over 300 °C 75 % (EN 818-4 grade 8, secondary source)"
        return (f"no knot, twist or bare edge ({practice})", hot)
    return (f"no bare edge, no kink ({practice})",)
