"""Every rating in the line of pull: links, pick points, slings by their tag, and what carries the load.

The rating is the one on the tag or in the record; past its inspection it is shown struck and not used.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.lifting.figures import LegFigure, RatingFigure
from handling_db.lifting.points import Found
from handling_db.mechanics.hanging import Rest
from handling_db.mechanics.vectors import Matrix, Vector, angle_between, apply
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.amount import reading as reading_of
from handling_db.records.kinds.gear import Gear, TagRating
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.factors import Factors
from handling_db.rigging.hook import RatedItem
from handling_db.rigging.links import KINDS, Link, check_link


@dataclass(frozen=True, slots=True)
class PlannedLeg:
    """One leg: the point it goes to, its length, the sling it belongs to, the links between. [m]

    `spread_m` is how far the length may be off, None where nobody wrote it; `as_it_is` says that the length
    is the one of this lift, not the full length of a sling that may be shortened.
    """

    found: Found
    length_m: float | None
    sling: Gear | None
    links: tuple[Gear, ...]
    spread_m: float | None = None
    as_it_is: bool = True

    @property
    def name(self) -> str:
        """Id of the point."""
        return self.found.point.id


def struck(gear: Gear, as_of: datetime.date | None) -> str:
    """Why the rating of a piece of gear is shown struck; empty while it is used."""
    if as_of is not None and gear.inspection_due is not None and gear.inspection_due < as_of:
        return f"inspection was due on {gear.inspection_due.isoformat()}: its rating is not used"
    return ""


def _angle(leg: PlannedLeg, direction: Vector, turn: Matrix) -> float | None:
    if leg.found.direction is None:
        return None
    return angle_between(direction, apply(turn, leg.found.direction))


def link_figure(
    gear: Gear,
    leg: PlannedLeg,
    direction: Vector,
    turn: Matrix,
    tension: float | None,
    factors: Factors | None,
    as_of: datetime.date | None,
    high: float,
    rated: list[RatedItem],
) -> RatingFigure:
    """One link between leg and point, by its own tag and family; noted in `rated` for the stop figure."""
    name = f"{gear.name} at {leg.name}"
    demand = None if tension is None else reading_of(tension)
    old = struck(gear, as_of)
    angle = _angle(leg, direction, turn)
    if gear.kind not in KINDS or angle is None:
        why = "direction of the point not recorded" if angle is None else "no angled rating for this kind"
        figure = RatingFigure(name, demand, None, why, (f"{name}: {why}.",), old)
    else:
        rows = listed(gear.tag)
        straight = next((float(row.rated.base) for row in rows if row.up_to is None), None)
        angled = tuple(
            (float(row.up_to.base), float(row.rated.base)) for row in rows if row.up_to is not None
        )
        link = Link(
            name=name,
            kind=gear.kind,
            family=gear.family if factors is not None else None,
            shouldered=None if gear.shouldered is None else gear.shouldered == "yes",
            size=gear.size,
            straight_kg=straight,
            angled_kg=angled,
            rating_source="tag" if rows else None,
        )
        try:
            found = check_link(link, tension, angle, factors.families if factors else ())
            figure = RatingFigure(name, demand, found.rating_kg, found.basis, found.says, old)
        except StaticsError as error:
            figure = RatingFigure(name, demand, None, "cannot be compared", (str(error),), old)
    pull = _per_kg(demand, high)
    if pull is not None:
        words = f"{name} ({old})" if old else name
        rated.append(RatedItem(words, None if old else figure.rating_kg, pull))
    return figure


def _per_kg(demand: float | None, high: float) -> float | None:
    return None if demand is None or demand <= 0.0 else demand / high


def point_rating(
    leg: PlannedLeg,
    direction: Vector,
    turn: Matrix,
    tension: float | None,
    high: float,
    rated: list[RatedItem],
) -> tuple[RatingFigure, ...]:
    """The pick point itself, by the rating recorded for it."""
    demand = None if tension is None else reading_of(tension)
    point = leg.found.point
    angle = _angle(leg, direction, turn)
    rating, basis = None, "rating: nobody looked" if point.rated is None else "no rating"
    for row in sorted(listed(point.rated), key=lambda row: row.up_to.base):
        if angle is not None and math.degrees(angle) <= float(row.up_to.base) + 1e-6:
            rating, basis = float(row.rated.base), f"up to {row.up_to}, {point.rated_by}"
            break
    says: tuple[str, ...] = ()
    if rating is None:
        says = (f"{point.name}: {basis}, so nothing can be compared.",)
    elif demand is not None and demand > rating:
        says = (f"{point.name}: {demand:.0f} kg is more than the {rating:.0f} kg it is rated for ({basis}).",)
    pull = _per_kg(demand, high)
    if pull is not None:
        rated.append(RatedItem(f"{point.name} ({point.id})", rating, pull))
    return (RatingFigure(f"{point.name} ({point.id})", demand, rating, basis, says),)


def sling_figures(
    legs: Sequence[PlannedLeg],
    rest: Rest,
    figures: Sequence[LegFigure],
    high: float,
    as_of: datetime.date | None,
    rated: list[RatedItem],
) -> list[RatingFigure]:
    """Each sling by its tag: for its number of legs at the widest lean, and one leg by itself."""
    found = []
    for sling in {leg.sling.id: leg.sling for leg in legs if leg.sling is not None}.values():
        own = [i for i, leg in enumerate(legs) if leg.sling is not None and leg.sling.id == sling.id]
        lean = max(90.0 - math.degrees(rest.legs[i].from_horizontal) for i in own)
        old = struck(sling, as_of)
        rows = [row for row in listed(sling.tag) if row.legs is None or row.legs.number == len(own)]
        whole = _row(rows, lean)
        words = f"tag, {len(own)} legs, {lean:.0f}° from the vertical" if whole else _tag_words(sling)
        over = whole is not None and high > whole
        says = (f"{sling.name}: {high:.0f} kg is more than the {whole:.0f} kg on its tag.",) if over else ()
        if len(own) > 1 or whole is not None:
            found.append(RatingFigure(sling.name, high, whole, words, says, old))
            rated.append(RatedItem(f"{sling.name} ({old})" if old else sling.name, None if old else whole))
        one = _row([row for row in listed(sling.tag) if row.legs is not None and row.legs.number == 1], 0.0)
        tensions = [t for i in own if (t := figures[i].tension_high_kg) is not None]
        if len(own) > 1 and one is not None and tensions:
            most = max(tensions)
            name = f"one leg of {sling.name}"
            over = most > one
            says = (f"{name}: {most:.0f} kg is more than the {one:.0f} kg on its tag.",) if over else ()
            found.append(RatingFigure(name, most, one, "tag, single leg", says, old))
            rated.append(
                RatedItem(f"{name} ({old})" if old else name, None if old else one, max(most / high, 1e-9))
            )
    return found


def _row(rows: Sequence[TagRating], lean: float) -> float | None:
    """The tag's rating for a lean: the narrowest row that still covers it."""
    fitting = []
    for row in rows:
        limit = 0.5 if row.up_to is None else float(row.up_to.base)
        if row.legs is not None and row.legs.number == 1 and row.up_to is None:
            limit = 0.5  # a single leg hangs plumb
        if lean <= limit + 1e-6:
            fitting.append((limit, float(row.rated.base)))
    return min(fitting)[1] if fitting else None


def _tag_words(gear: Gear) -> str:
    if gear.tag is None:
        return "tag: nobody looked"
    if gear.tag == "none":
        return f"no tag, says {gear.checked_by}: no rating"
    return "its tag has no row for this number of legs at this lean"


def path_ratings(legs: Sequence[PlannedLeg], rated: list[RatedItem]) -> list[RatingFigure]:
    """What the load is carried through, once a thing: all of the load may pass it."""
    found: dict[tuple[str, str], RatingFigure] = {}
    for leg in legs:
        for through in listed(leg.found.point.through):
            key = (through.what, through.part or "")
            if key in found:
                continue
            rating = None
            words = "rating: none" if through.rated == "none" else "rating: nobody looked"
            if through.rated is not None and not isinstance(through.rated, str):
                rating = float(through.rated.base)
                words = through.source or "source not stated"
            found[key] = RatingFigure(f"load path: {through.what}", None, rating, words)
            rated.append(RatedItem(through.what, rating))
    return list(found.values())
