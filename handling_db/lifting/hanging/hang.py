"""How a recorded lift hangs: the pose it comes to rest in, whether it stays upright, and its doubt."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from handling_db.lifting.figures import NO_MARGIN, StabilityFigure
from handling_db.mechanics.body import Body
from handling_db.mechanics.hang.hang_doubt import Hang, HangDoubt, hang_doubt
from handling_db.mechanics.hang.hanging import Rest, settle
from handling_db.mechanics.hang.poses import rest_poses
from handling_db.mechanics.hang.pulls import stiffness_pulls
from handling_db.mechanics.hang.stability import Margins, margins
from handling_db.mechanics.vectors import Vector
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Notice

# More tilt than this stands first, unless the shop names its own figure: common practice, no source. [deg]
TILT_ALLOWED = 5.0
# The least doubt of a length where four and more share. [m]
HAIR = 1e-4


@dataclass(frozen=True, slots=True)
class LegPlace:
    """One leg: name of its point, where that is with z up, its length and how far that may be off. [m]"""

    name: str
    at: Vector
    length: float
    spread: float


@dataclass(frozen=True, slots=True)
class HangCase:
    """The resting pose with the best figures, the worst of each figure, and what stands first.

    Parameters
    ----------
    rest : Rest
    worst : HangDoubt
    stability : StabilityFigure
    notices : tuple of Notice
    stiff : tuple of float or None
        Vertical share of each leg if all stretch alike and none is longer than it should be; None for up to
        three legs, where statics alone shares, and where not more than three are tight.
    """

    rest: Rest
    worst: HangDoubt
    stability: StabilityFigure
    notices: tuple[Notice, ...]
    stiff: tuple[float, ...] | None = None


def hang(
    legs: Sequence[LegPlace],
    centre: Vector,
    body: Body,
    *,
    level: Sequence[float] | None = None,
    tilt_allowed: float = TILT_ALLOWED,
) -> HangCase:
    """How a load hangs on legs of given lengths under one free hook.

    Parameters
    ----------
    legs : sequence of LegPlace
    centre : Vector
        By the best figures, with z up. [m]
    body : Body
        The same pieces with their limits, in the same frame.
    level : sequence of float, optional
        Full lengths, where the legs may also be made to hang it level: then the larger of both counts. [m]
    tilt_allowed : float
        [deg]

    Raises
    ------
    StaticsError
        The legs cannot meet, or not within their doubt.
    """
    names = [leg.name for leg in legs]
    rest = settle({leg.name: leg.at for leg in legs}, {leg.name: leg.length for leg in legs}, centre)
    points = np.array([leg.at for leg in legs])
    lengths = np.array([leg.length for leg in legs])
    spread = np.array([leg.spread for leg in legs])
    if len(legs) > 3:
        # No four legs are exactly even: without a hair of doubt only one way to share would be looked at.
        spread = np.maximum(spread, HAIR)
    up = np.array([0.0, 0.0, 1.0])
    question = Hang(points, lengths, spread, body, up)
    try:
        worst = hang_doubt(question)
        if level is not None:
            held = Hang(points, np.array(level), spread, body, up, level=True)
            worst = worst.or_worse(hang_doubt(held))
    except ValueError as error:
        raise StaticsError(f"{error}: measure the lengths again.") from None
    middle = np.array([centre])
    poses = rest_poses(points, lengths[None, :], middle, up)
    best = margins(points, lengths[None, :], middle, up, poses, question.give)
    stability = _stability(names, rest, best, worst, tilt_allowed)
    stiff = None
    near = [leg.point for leg, give in zip(rest.legs, question.give, strict=True) if leg.spare_m <= give]
    if len(near) > 3:
        found = stiffness_pulls([points[names.index(name)] for name in near], rest.hook, centre)
        share = dict(zip(near, found, strict=True))
        sine = {leg.point: math.sin(leg.from_horizontal) for leg in rest.legs}
        stiff = tuple(share.get(name, 0.0) * sine[name] for name in names)
    notices = _notices(stability)
    if worst.may_not_meet:
        notices = (*notices, Notice("may not meet"))
    return HangCase(rest, worst, stability, notices, stiff)


def worse_of(cases: Sequence[HangCase]) -> HangCase:
    """The first with the worst figure of each: one load with legs of several possible lengths."""
    first = cases[0]
    if len(cases) == 1:
        return first
    worst = first.worst
    for case in cases[1:]:
        worst = worst.or_worse(case.worst)
    least = min((case.stability for case in cases), key=lambda one: one.margin_least_m)
    tilt = max(case.stability.tilt_most for case in cases)
    notices = tuple({one.kind: one for case in cases for one in case.notices}.values())
    return HangCase(first.rest, worst, replace(least, tilt_most=tilt), notices, None)


def _stability(
    names: list[str], rest: Rest, best: Margins, worst: HangDoubt, tilt_allowed: float
) -> StabilityFigure:
    # No shift to give where a leg is slack already: then two carry, whatever else is near to tight.
    three = 0.0 < float(best.shift[0]) < math.inf
    pair = tuple(names[int(leg)] for leg in best.pair[0] if leg >= 0)
    return StabilityFigure(
        carrying=tuple(leg.point for leg in rest.legs if not leg.slack),
        margin_m=float(best.margin[0]),
        # A search over the doubt starts from its corners: the best figures themselves count too.
        margin_least_m=min(worst.margin, float(best.margin[0])),
        height_m=float(best.height[0]),
        height_least_m=min(worst.height, float(best.height[0])),
        shift_m=float(best.shift[0]) if three else None,
        shift_deg=math.degrees(float(best.shift_tilt[0])) if three else None,
        then_carry=pair,
        tilt=math.degrees(rest.tilt),
        tilt_most=math.degrees(max(worst.tilt, rest.tilt)),
        tilt_allowed=tilt_allowed,
    )


def turning_notices(height_m: float, least_m: float, about: str) -> tuple[Notice, ...]:
    """That a load turns over, or may, about a line so high over its centre. [m]"""
    if height_m <= 0.0:
        return (Notice("turns over", {"about": about, "under": _under(height_m)}),)
    if least_m < NO_MARGIN:
        return (Notice("may turn over", {"about": about, "under": _under(least_m)}),)
    return ()


def _notices(found: StabilityFigure) -> tuple[Notice, ...]:
    """What stands first about the pose: turning over, then tilting."""
    points = " and ".join(found.then_carry)
    about = f"the line of {points}" if len(found.then_carry) > 1 else points
    said = []
    if found.turns_over:
        said.append(Notice("turns over", {"about": about, "under": _under(found.height_m)}))
    elif found.may_turn_over:
        said.append(Notice("may turn over", {"about": about, "under": _under(found.height_least_m)}))
    elif found.shift_m is not None and found.height_m <= 0.0:
        said.append(
            Notice(
                "turns over once slack",
                {
                    "about": about,
                    "under": _under(found.height_m),
                    "shift_m": found.shift_m,
                    "shift_deg": found.shift_deg,
                },
            )
        )
    if found.tilt > found.tilt_allowed:
        said.append(Notice("hangs tilted", {"tilt_deg": found.tilt, "low": ""}))
    elif found.tilt_most > found.tilt_allowed:
        said.append(Notice("may hang tilted", {"tilt_deg": found.tilt_most}))
    return tuple(said)


def _under(height_m: float) -> Notice:
    """How far a line is under the centre, or that it is level with it."""
    if abs(height_m) < NO_MARGIN:
        return Notice("level with")
    return Notice("so much over" if height_m > 0.0 else "so much under", {"by_m": abs(height_m)})
