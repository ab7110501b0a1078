"""Every rating between hoist and load, from the hook down: what each piece is asked and what it may carry.

The rating is the one on the tag or in the record; past its inspection it is shown struck and not used. A
piece that cannot be compared is named with the reason, never left out.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from handling_db.lifting.figures import RatingFigure
from handling_db.lifting.line.gear import OnHook, Rigging
from handling_db.lifting.line.heat import heated
from handling_db.lifting.points import Found
from handling_db.mechanics.vectors import Vector
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.kinds.gear import Gear
from handling_db.records.kinds.lift_group import Pick
from handling_db.records.kinds.workplace import Mover
from handling_db.records.parts.temperature import Temperature
from handling_db.rigging.factors import Factors
from handling_db.rigging.hook import RatedItem
from handling_db.rigging.links import Rated as Rated
from handling_db.rigging.stack import Below


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


@dataclass(frozen=True, slots=True)
class LegPull:
    """What one leg is asked in the pose that governs.

    Parameters
    ----------
    tension_kg : float
        Highest pull along the leg, for the heaviest load. [kg]
    share : float
        Highest vertical part of the load.
    lean : float
        From the vertical. [deg]
    direction : Vector
        From the point to the hook, in the root's frame.
    heading : float or None
        Of the leg seen from above; None for a plumb one. [rad]
    slack : bool
        It carries nothing in the pose the load comes to rest in; within the doubt it may.
    """

    tension_kg: float
    share: float
    lean: float
    direction: Vector
    heading: float | None
    slack: bool


@dataclass(frozen=True, slots=True)
class ItemDemand:
    """What one piece is asked: per kg of the load, with the gear below it, and together. [kg]"""

    pull: float
    weights: Mapping[str, float]  # per kg of single pieces of the gear below it, where that is not 1
    carried: Below
    gear: Amount
    demand: Amount
    by_legs: bool  # the legs are worked out, or it is in line and needs none


@dataclass(frozen=True, slots=True)
class LineCase:
    """Everything that the ratings of one lift go by.

    Parameters
    ----------
    rigging : Rigging
    picks : mapping of point to Pick
    points : mapping of point to Found
        Those of the picks that are found on the piece.
    pulls : mapping of point to LegPull, or None
        None where the legs could not be worked out.
    load : Amount
        What hangs from the gear: pieces, fluid inside, packing. [kg]
    factors : Factors, optional
        Published rules; without them only what tags say is compared.
    as_of : date, optional
        Past which inspections are over.
    temperature : Temperature, optional
        Of the hottest surface that gear touches.
    """

    rigging: Rigging
    picks: Mapping[str, Pick]
    points: Mapping[str, Found]
    pulls: Mapping[str, LegPull] | None
    load: Amount
    factors: Factors | None
    as_of: datetime.date | None
    temperature: Temperature | None = None

    def asked_of(self, piece: OnHook) -> ItemDemand:
        """What a piece of gear is asked."""
        stack = self.rigging.stack
        carried = stack.below(piece.key)
        if piece.points:
            return self.asked_at(piece.points, carried)
        # In line: all of the load, or what the legs below it carry where it is told that only some are.
        under = {
            point for other in self.rigging.pieces if other.key in carried.certain for point in other.points
        }
        pull = 1.0
        if under and self.pulls is not None and not carried.perhaps and under < set(self.picks):
            pull = min(1.0, sum(self.pulls[point].share for point in under))
        return self.together(pull, {}, carried, by_legs=True)

    def asked_at(
        self, points: Sequence[str], carried: Below, *, shared: frozenset[str] = frozenset()
    ) -> ItemDemand:
        """What is asked at points of the piece: the tension of one leg, or the parts of several.

        `shared` is gear that the legs of one sling carry together, as they carry the piece.
        """
        if self.pulls is None:
            # One leg for all of them hangs plumb; of several nobody knows what each takes.
            return self.together(1.0, {}, carried, by_legs=len(self.picks) == len(points))
        if len(points) == 1:
            leg = self.pulls[points[0]]
            upper = self.load.upper("legs")  # pulls are worked out for a load with an upper figure only
            steep = leg.tension_kg / (leg.share * upper) if leg.share > 1e-9 and upper > 0.0 else 1.0
            pull = leg.tension_kg / upper if upper > 0.0 else 0.0
            # What hangs in this leg alone pulls along it; what all legs of a sling carry together, in its
            # part.
            weights = {key: pull if key in shared else steep for key in carried.certain | carried.perhaps}
            return self.together(pull, weights, carried, by_legs=True)
        share = 1.0
        if len(points) < len(self.picks):
            share = min(1.0, sum(max(0.0, self.pulls[point].share) for point in points))
        return self.together(share, {}, carried, by_legs=True)

    def together(
        self, pull: float, weights: Mapping[str, float], carried: Below, *, by_legs: bool
    ) -> ItemDemand:
        """Load and gear added up, worst case."""
        gear = self.rigging.stack.load_of(carried)
        pulled = self.rigging.stack.load_of(carried, weights)
        high = None
        if self.load.high is not None and pulled.high is not None:
            high = pull * self.load.high + pulled.high
        low, best = pull * self.load.low + pulled.low, pull * self.load.best + pulled.best
        return ItemDemand(pull, weights, carried, gear, Amount(low, max(low, best), high), by_legs)


def struck(gear: Gear | Mover | None, as_of: datetime.date | None) -> Notice | None:
    """Why the rating of a piece of gear or a hoist is shown struck; None while it is used."""
    due = gear.inspection_due if gear is not None else None
    if as_of is not None and due is not None and due < as_of:
        return Notice("inspection past", {"due": due.isoformat()})
    return None


@dataclass(frozen=True, slots=True)
class LinePlace:
    """Where a row of the line stands: what it is about, how far down, at which points, struck or not.

    `gear` is the record it is about, where heat may take something off its rating.
    """

    name: str
    kind: str = "gear"
    depth: int = 0
    points: tuple[str, ...] = ()
    old: Notice | None = None
    what: str = ""
    gear: Gear | None = None


def compared(case: LineCase, row: LinePlace, asked: ItemDemand, rated: Rated) -> RatingFigure:
    """A rating beside what is asked of it, with the reading at which it is reached."""
    name, old = row.name, row.old
    if row.gear is not None:
        rated = heated(case.temperature, case.factors, row.gear, rated)
    rating = rated.rating_kg
    demand = asked.demand
    why = rated.why_not or (None if rating is not None else rated.basis)
    if not why and not asked.by_legs:
        why = Notice("legs not worked out")
    if old:
        why = old
    over: bool | None = None
    if rating is not None and not old and (asked.by_legs or demand.low <= 0.0):
        if demand.high is not None:
            over = demand.high > rating
        else:
            over = True if demand.low > rating else None
            why = why or Notice("asked at least")
    shown = demand.best if demand.high is None else demand.high
    at = None
    if rating is not None and not old and asked.pull > 0.0 and asked.by_legs:
        at = case.rigging.stack.reading_at(
            rating, asked.pull, asked.carried, weights=asked.weights, zeroed=bool(case.rigging.zeroed)
        )
    return RatingFigure(
        name=name,
        demand_kg=None if demand.high is None and shown <= 0.0 else shown,  # nothing known is never 0
        rating_kg=rating,
        basis=rated.basis,
        says=rated.says,
        struck=old,
        at_least=demand.high is None,
        over=over,
        not_compared=why,
        gear_below=asked.gear,
        gear_perhaps=bool(asked.carried.perhaps),
        part=asked.pull,
        at_kg=at,
        cautions=rated.cautions,
        depth=row.depth,
        points=row.points,
        kind=row.kind,
        sees=_sees(asked, rows=row.points),
        what=row.what,
    )


def _sees(asked: ItemDemand, rows: Sequence[str]) -> str:
    """Which load a rating sees, in words."""
    piece = "its part of the piece" if rows and asked.pull != 1.0 else "the piece"
    if asked.gear.best <= 0.0 and asked.gear.high is not None and asked.gear.high <= 0.0:
        return piece
    perhaps = " and what may hang below it" if asked.carried.perhaps else ""
    return f"{piece} and the gear below it{perhaps}"


def as_items(figures: Sequence[RatingFigure]) -> tuple[RatedItem, ...]:
    """The ratings as limits of the reading; one that nothing pulls limits nothing."""
    return tuple(
        RatedItem(
            figure.name,
            None if figure.struck else figure.rating_kg,
            figure.at_kg,
            figure.sees,
            figure.struck or (figure.basis if figure.kind == "hoist" and figure.rating_kg is None else None),
        )
        for figure in figures
        if figure.part > 0.0
    )


def with_own_mass(figure: RatingFigure, piece: OnHook) -> RatingFigure:
    """The row of a piece of gear with its own mass and whether the cell sees it."""
    return replace(figure, own=piece.mass, above_cell=piece.above_cell, weighed=piece.mass is not None)
