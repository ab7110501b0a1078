"""What each leg of a bridle carries in a given pose: shares, tensions, slack legs, ranges for four and more.

All legs run from their pick points to one hook. Angles are measured from the horizontal unless a name says
otherwise. A load hangs still in a given pose only with the hook plumb over its centre of gravity and no leg
that would have to push; where that fails, the free pose is worked out beside it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from handling_db.mechanics.hang.hanging import Rest, settle
from handling_db.mechanics.hang.pulls import (
    PUSHES,
    Pull,
    corner_balances,
    only_balance,
)
from handling_db.mechanics.vectors import UP, Vector, angle_between, distance, dot, subtract, unit
from handling_db.quantities.amount import StaticsError, needed_mass, newtons
from handling_db.quantities.amount import reading as reading_of
from handling_db.quantities.notice import Notice
from handling_db.rigging.leg_rules import FlatLegError, angle_factor

FLATTEST = math.radians(
    30.0
)  # from the horizontal: ASME B30.9 by way of OSHA sling guidance, secondary source
PLUMB = 1e-6  # [rad] a hook nearer to plumb than this is plumb


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg in the pose asked about. Parts are of the weight; forces None where the mass is not known."""

    point: str
    length_m: float
    from_horizontal: float  # [rad]
    solved_share: float | None  # vertical share with every leg kept, negative where it would push
    share_low: (
        float | None
    )  # vertical share that it carries, least and most; None where nothing holds this pose
    share_high: float | None
    tension_low_n: float | None
    tension_high_n: float | None

    @property
    def tension_kg(self) -> float | None:
        """Highest tension as a cell in the leg would show it. [kg]"""
        return None if self.tension_high_n is None else reading_of(self.tension_high_n)


@dataclass(frozen=True, slots=True)
class LegCase:
    """What the legs carry in one pose, and whether the load stays in it."""

    legs: tuple[Leg, ...]
    plumb_error_m: float  # how far the hook line passes beside the centre of gravity [m]
    tilt: float  # by about how much the load tilts until the hook is plumb over its centre [rad]
    slack: tuple[str, ...]  # points whose legs would have to push
    balanced: bool  # the load stays in this pose
    shared_by_stiffness: bool  # more legs than statics can share out
    rest: Rest | None  # where it does not stay: the pose in which it comes to rest with these leg lengths
    says: tuple[Notice, ...]


def level_hook(points: Mapping[str, Vector], lengths_m: Mapping[str, float], centre: Vector) -> Vector:
    """The hook plumb over the centre of gravity, as high as the shortest reach of the legs lets it be. [m]

    Legs that are too long for that height have to be shortened: the pose is level by intention.

    Raises
    ------
    StaticsError
        A leg is too short to reach over the centre of gravity.
    """
    heights = []
    for name, point in points.items():
        aside = math.hypot(point[0] - centre[0], point[1] - centre[1])
        if lengths_m[name] <= aside:
            raise StaticsError(
                f"the leg at {name} ({lengths_m[name]:.3f} m) is too short to reach over the centre of "
                "gravity, "
                f"{aside:.3f} m to the side. Use a longer leg."
            )
        heights.append(point[2] + math.sqrt(lengths_m[name] ** 2 - aside**2))
    return (centre[0], centre[1], min(heights))


def carry(
    picks: Mapping[str, Vector],
    hook: Vector,
    centre: Vector,
    mass_kg: float | None = None,
    *,
    up: Vector = UP,
    flat_angle_stated_by: str | None = None,
) -> LegCase:
    """What each leg carries with the load held in this pose.

    One, two and three legs by statics in three dimensions, whatever the heights of the pick points. For four
    and more, the least and the most of each leg over every equilibrium of a rigid load.

    Parameters
    ----------
    picks : mapping of str to Vector
        Pick points by name. [m]
    hook : Vector
        Where the legs meet. [m]
    centre : Vector
        Centre of gravity. [m]
    mass_kg : float, optional
        Mass of the load, the heaviest believable for planning. None: shares are given, forces are not. [kg]
    up : Vector
        Direction against gravity, in the frame of the points.
    flat_angle_stated_by : str, optional
        As in `angle_factor`.

    Returns
    -------
    LegCase
        Shares and tensions, or the pose in which the load comes to rest instead.

    Raises
    ------
    StaticsError
        No legs, two of them at one point, or the hook not above the centre of gravity.
    FlatLegError
        A leg under 30 degrees from the horizontal.
    """
    up = unit(up)
    names = list(picks)
    _check(picks, hook, centre, up)
    weight = None if mass_kg is None else newtons(needed_mass(mass_kg, "leg tensions"))
    angles = {}
    for name in names:
        angles[name] = math.asin(max(-1.0, min(1.0, dot(unit(subtract(hook, picks[name])), up))))
        try:
            angle_factor(angles[name], flat_angle_stated_by=flat_angle_stated_by)
        except FlatLegError as error:
            raise FlatLegError(f"leg at {name}: {error}") from None
    line = subtract(hook, centre)
    tilt = angle_between(line, up)
    plumb_error = math.sin(tilt) * distance(hook, centre)
    plumb = tilt <= PLUMB
    pulls = [Pull.towards(picks[name], hook) for name in names]
    # Within PLUMB the hook line itself is taken as vertical, so that rounding of places leaves no moment
    # over.
    solved = only_balance(pulls, centre, unit(line)) if plumb else None
    slack: tuple[str, ...] = ()
    corners: tuple[tuple[float, ...], ...] = ()
    if solved is not None:
        slack = tuple(n for n, f in zip(names, solved, strict=True) if f < -PUSHES)
        corners = () if slack else (tuple(max(0.0, f) for f in solved),)
    elif plumb:
        corners = corner_balances(pulls, centre, unit(line))
    balanced = bool(corners)
    rest = None
    if not balanced:
        rest = settle(picks, {name: distance(picks[name], hook) for name in names}, centre, up=up)
    legs = []
    for i, name in enumerate(names):
        rise = math.sin(angles[name])
        low = min(corner[i] for corner in corners) if corners else None
        high = max(corner[i] for corner in corners) if corners else None
        legs.append(
            Leg(
                point=name,
                length_m=distance(picks[name], hook),
                from_horizontal=angles[name],
                solved_share=None if solved is None else solved[i] * rise,
                share_low=None if low is None else low * rise,
                share_high=None if high is None else high * rise,
                tension_low_n=None if low is None or weight is None else low * weight,
                tension_high_n=None if high is None or weight is None else high * weight,
            )
        )
    found = LegCase(
        legs=tuple(legs),
        plumb_error_m=plumb_error,
        tilt=0.0 if plumb else tilt,
        slack=slack,
        balanced=balanced,
        shared_by_stiffness=balanced and solved is None,
        rest=rest,
        says=(),
    )
    return replace(found, says=_says(found, plumb=plumb, forces=weight is not None))


def _check(picks: Mapping[str, Vector], hook: Vector, centre: Vector, up: Vector) -> None:
    if not picks:
        raise StaticsError("no pick points: name at least one, with its place.")
    names = list(picks)
    for i, name in enumerate(names):
        for other in names[i + 1 :]:
            if distance(picks[name], picks[other]) == 0.0:
                raise StaticsError(
                    f"{name} and {other} are the same place: two legs on one point count as one."
                )
        if distance(picks[name], hook) == 0.0:
            raise StaticsError(f"the hook is at {name} itself: a leg needs a length.")
    if dot(subtract(hook, centre), up) <= 0.0:
        raise StaticsError("the hook must be above the centre of gravity.")


def _says(found: LegCase, *, plumb: bool, forces: bool) -> tuple[Notice, ...]:
    said = []
    if not forces:
        said.append(Notice("shares only"))
    if not plumb:
        aside = {"aside_m": found.plumb_error_m, "tilt_deg": math.degrees(found.tilt)}
        said.append(Notice("hook beside the centre", aside))
    if found.slack:
        said.append(Notice("leg would push", {"legs": found.slack}))
    if plumb and not found.balanced and not found.slack:
        said.append(Notice("pose not held"))
    if found.shared_by_stiffness:
        said.append(Notice("shared by stiffness"))
    return tuple(said)
