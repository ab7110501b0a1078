"""Legs of a recorded lift: what each carries hook plumb over the centre, and where the load comes to rest."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.lifting.figures import LegFigure, LegsFigure, RatingFigure, RestFigure, RuleOfThumb
from handling_db.lifting.ratings import PlannedLeg, link_figure, path_ratings, point_rating, sling_figures
from handling_db.mechanics.centre_patch import Patch
from handling_db.mechanics.hanging import Rest, settle
from handling_db.mechanics.vectors import Matrix, Vector, apply, distance, subtract
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.quantities.amount import reading as reading_of
from handling_db.rigging.factors import Factors
from handling_db.rigging.hook import RatedItem
from handling_db.rigging.leg_rules import by_rules
from handling_db.rigging.legs import Leg, LegCase, carry, level_hook
from handling_db.rigging.legs_patch import PatchCase, over_patch


@dataclass(frozen=True, slots=True)
class Worked:
    """The legs, what the ratings in the line are asked, and the items that limit the pull."""

    legs: LegsFigure
    ratings: tuple[RatingFigure, ...]
    rated: tuple[RatedItem, ...]
    picks_room: tuple[tuple[str, Vector], ...]
    hook_room: Vector


def work_out(
    legs: Sequence[PlannedLeg],
    patch: Patch,
    turn: Matrix,
    load: Amount,
    *,
    factors: Factors | None,
    as_of: datetime.date | None,
    towards: dict[int, tuple[str, str]],
) -> Worked:
    """What each leg carries in the recorded attitude, hook plumb over the centre, and where it comes to rest.

    Parameters
    ----------
    legs : sequence of PlannedLeg
    patch : Patch
        Centre of gravity in the room. [m]
    turn : Matrix
        From the root's frame to the room.
    load : Amount
        What the legs carry, complete. [kg]
    factors : Factors, optional
        Published rules; without them only what tags say is compared.
    as_of : date, optional
        Past which inspections are over.
    towards : mapping of axis to (word, opposite word)
        Names of the directions of the root's frame.

    Raises
    ------
    StaticsError
        A point without a place, a leg without a length or too short, or points that cannot carry.
    """
    picks = {leg.name: _place(leg, turn) for leg in legs}
    if len(picks) < len(legs):
        raise StaticsError("two legs go to one pick point: they count as one.")
    lengths = {leg.name: _length(leg) for leg in legs}
    hook = level_hook(picks, lengths, patch.at)
    high = load.upper("legs")
    case = carry(picks, hook, patch.at, high)
    rest = settle(picks, lengths, patch.at)
    says = list(case.says)
    spread: PatchCase | None = None
    try:
        spread = over_patch(picks, hook, patch.at, patch.half_widths)
    except StaticsError as error:
        says.append(str(error))
    spare = [
        f"the leg at {leg.name} is {(lengths[leg.name] - distance(picks[leg.name], hook)) * 1000:.0f} mm "
        "longer than the level pose needs: shorten it, or it hangs out of level."
        for leg in legs
        if lengths[leg.name] - distance(picks[leg.name], hook) > 0.005 * lengths[leg.name]
    ]
    says.extend(spare)
    ratings: list[RatingFigure] = []
    rated: list[RatedItem] = []
    figures = []
    for leg, solved in zip(legs, case.legs, strict=True):
        tension = _tension_n(leg.name, solved, case, rest, high)
        direction = subtract(hook, picks[leg.name])
        links = [
            link_figure(link, leg, direction, turn, tension, factors, as_of, high, rated)
            for link in leg.links
        ]
        own = point_rating(leg, direction, turn, tension, high, rated)
        shares = None if spread is None else spread.shares[leg.name]
        kg = None if tension is None else reading_of(tension)
        figures.append(
            LegFigure(
                point=leg.name,
                name=leg.found.point.name,
                length_m=lengths[leg.name],
                share=solved.solved_share if solved.solved_share is not None else None,
                share_low=shares[0] if shares else solved.share_low,
                share_high=shares[1] if shares else solved.share_high,
                from_horizontal=math.degrees(solved.from_horizontal),
                tension_kg=None if kg is None else kg * load.best / high,
                tension_high_kg=kg,
                slack=leg.name in case.slack or (kg is not None and kg <= 1e-9 * high),
                blocked="",
                links=(*links, *own),
            )
        )
        ratings += [*links, *own]
    ratings += sling_figures(legs, case, figures, high, as_of, rated)
    ratings += path_ratings(legs, rated)
    return Worked(
        LegsFigure(
            legs=tuple(figures),
            hook_over_points_m=hook[2] - max(point[2] for point in picks.values()),
            balanced=case.balanced,
            slack=case.slack,
            may_go_slack=spread.may_go_slack if spread else (),
            rest=_rest(rest, turn, towards),
            rules=_rules(factors, len(legs), case, high),
            says=tuple(says),
        ),
        tuple(ratings),
        tuple(rated),
        tuple(picks.items()),
        hook,
    )


def _place(leg: PlannedLeg, turn: Matrix) -> Vector:
    if leg.found.at is None:
        raise StaticsError(f"the place of pick point {leg.name} in the whole is not known; write 'at'.")
    return apply(turn, leg.found.at)


def _length(leg: PlannedLeg) -> float:
    if leg.length_m is None or leg.length_m <= 0.0:
        raise StaticsError(f"the leg at {leg.name} has no length; write it at the pick, or at its sling.")
    return leg.length_m


def _tension_n(name: str, solved: Leg, case: LegCase, rest: Rest, high: float) -> float | None:
    """The highest pull in a leg: in the level pose if it stays there, otherwise where it comes to rest."""
    if case.balanced:
        return solved.tension_high_n
    hanging = next(leg for leg in rest.legs if leg.point == name)
    return hanging.tension_n(high)[1]


def _rest(rest: Rest, turn: Matrix, towards: dict[int, tuple[str, str]]) -> RestFigure:
    low = rest.low_side
    own = None
    words = ""
    if low is not None:
        back = tuple(sum(turn[row][axis] * low[row] for row in range(3)) for axis in range(3))
        own = (back[0], back[1], back[2])
        words = direction_words(own, towards)
    return RestFigure(
        tilt=math.degrees(rest.tilt),
        low_side=own,
        low_words=words,
        slack=rest.slack,
        shares=tuple((leg.point, leg.share_low, leg.share_high) for leg in rest.legs),
    )


def direction_words(vector: Vector, towards: dict[int, tuple[str, str]]) -> str:
    """The nearest axis of the root's frame in its own words: ``left``."""
    axis = max(range(3), key=lambda i: abs(vector[i]))
    return towards[axis][0 if vector[axis] > 0 else 1]


def _rules(factors: Factors | None, count: int, case: LegCase, high: float) -> tuple[RuleOfThumb, ...]:
    if factors is None or count < 2:
        return ()
    lean = max(leg.from_vertical for leg in case.legs)
    return tuple(
        RuleOfThumb(rule.rule, rule.source, rule.verified, rule.single_leg_rating_kg, rule.says)
        for rule in by_rules(factors.leg_rules, count, lean, high)
    )
