"""Free hanging: how a load on legs of given length comes to rest under one hook.

Written in the frame of the load, the question is short. The hook can be anywhere that every leg reaches, and
the load sinks until its centre of gravity is as far below the hook as the legs let it: the resting pose is
the place of the hook, within the spheres of leg length about the pick points, that is farthest from the
centre of gravity. At that place the line from the centre to the hook is a sum of leg directions with factors
of zero or more, which are the tensions. The places themselves are found in `poses`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from handling_db.mechanics.hang.poses import candidates
from handling_db.mechanics.hang.pulls import MOST_PULLS, Pull, corner_balances
from handling_db.mechanics.hang.tight_legs import SAME
from handling_db.mechanics.vectors import (
    UP,
    Matrix,
    Vector,
    angle_between,
    cross,
    distance,
    dot,
    length,
    rotation_onto,
    scale,
    subtract,
    unit,
)
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Notice

# A tilt below this is not worth a direction. [rad]
LEVEL = math.radians(0.01)


class ImpossibleLegsError(StaticsError):
    """Legs of these lengths cannot meet at one hook."""


@dataclass(frozen=True, slots=True)
class HangingLeg:
    """One leg in the resting pose.

    Shares are vertical parts of the weight, tensions parts of the weight along the leg; low and high differ
    only where more tight legs than three share by their stiffness, which statics cannot know.
    """

    point: str
    slack: bool
    share_low: float
    share_high: float
    pull_low: float
    pull_high: float
    from_horizontal: float  # [rad], in the resting pose; of a slack leg the straight line to the hook
    spare_m: float  # length that hangs loose [m]


@dataclass(frozen=True, slots=True)
class OtherPose:
    """Another pose in which the same legs would also hold the load at rest."""

    tilt: float  # [rad] from the attitude asked about
    lower_by_m: float  # how much lower the centre of gravity hangs there; negative: higher [m]


@dataclass(frozen=True, slots=True)
class Rest:
    """The pose in which the load comes to rest."""

    hook: Vector  # in the load's frame [m]
    up: Vector  # against gravity, in the load's frame
    turn: Matrix  # from the load's frame to the room, heading left as it was
    tilt: float  # angle between the attitude asked about and this one [rad]
    low_side: Vector | None  # level direction, in the load's frame before it swings, that ends up low
    heading: float | None  # of the low side, from `ahead` right-handed about `up` [rad]
    legs: tuple[HangingLeg, ...]
    others: tuple[OtherPose, ...]

    @property
    def slack(self) -> tuple[str, ...]:
        """Names of the points whose legs hang loose."""
        return tuple(leg.point for leg in self.legs if leg.slack)

    @property
    def cautions(self) -> tuple[Notice, ...]:
        """What a person has to know beside the figures."""
        said = []
        if self.slack:
            said.append(Notice("slack, others carry", {"legs": self.slack}))
        lower = [pose for pose in self.others if pose.lower_by_m > 0.0]
        if lower:
            worst = max(lower, key=lambda pose: pose.lower_by_m)
            facts = {"tilt_deg": math.degrees(worst.tilt), "lower_m": worst.lower_by_m}
            said.append(Notice("other pose", facts))
        flat = tuple(
            leg.point
            for leg in self.legs
            if not leg.slack and leg.from_horizontal < math.radians(30.0) - 1e-9
        )
        if flat:
            said.append(Notice("under 30 degrees", {"legs": flat}))
        if any(leg.pull_high - leg.pull_low > 1e-9 for leg in self.legs):
            said.append(Notice("a range for each leg"))
        return tuple(said)


def settle(
    picks: Mapping[str, Vector],
    lengths_m: Mapping[str, float],
    centre: Vector,
    *,
    up: Vector = UP,
    ahead: Vector | None = None,
) -> Rest:
    """The pose in which a rigid load hangs still on straight legs that cannot stretch or push.

    Where several poses could hold it, the one nearest to the attitude asked about is given, and the others
    are listed. Friction, stiffness of the hook and the clash of legs with the load are left out.

    Parameters
    ----------
    picks : mapping of str to Vector
        Pick points by name, in the load's frame. One to twelve. [m]
    lengths_m : mapping of str to float
        Length of each leg, from its pick point to the hook. [m]
    centre : Vector
        Centre of gravity in the same frame. [m]
    up : Vector
        Direction against gravity in the attitude before it swings free.
    ahead : Vector, optional
        Direction from which the heading of the low side counts; the frame's x, or its y where x is upright.

    Returns
    -------
    Rest
        Hook place, tilt, low side, and each leg's share of the weight.

    Raises
    ------
    StaticsError
        No pick points, too many, or a leg without a length.
    ImpossibleLegsError
        The legs cannot meet at one hook.

    References
    ----------
    .. [1] Least potential energy of a hanging body; tensions are the multipliers of the leg lengths
       (Karush-Kuhn-Tucker conditions, any text on optimisation).
    """
    _check(picks, lengths_m)
    names = list(picks)
    points = [picks[name] for name in names]
    reach = [lengths_m[name] for name in names]
    near = SAME * max(reach)
    up = unit(up)

    places: list[Vector] = []
    held: list[tuple[float, ...]] = []  # one way in which the legs hold it there
    for found in candidates(np.array(points), np.array([reach]), np.array([centre]), np.array(up)):
        x, y, z = (float(part[0]) for part in found.hook)
        place = (x, y, z)
        # The same place comes up once for every choice of its tight legs.
        if not any(distance(place, old) <= 1e2 * near for old in places):
            places.append(place)
            own = dict(zip(found.legs, (float(pull[0]) for pull in found.pulls), strict=True))
            held.append(tuple(max(0.0, own.get(i, 0.0)) for i in range(len(points))))
    if not places:
        raise ImpossibleLegsError(why_impossible(names, points, reach))

    def tilt_of(place: Vector) -> float:
        return angle_between(subtract(place, centre), up)

    rest = min(places, key=tilt_of)
    depth = distance(rest, centre)
    others = tuple(
        OtherPose(tilt_of(place), distance(place, centre) - depth) for place in places if place is not rest
    )
    now_up = unit(subtract(rest, centre))
    tilt = tilt_of(rest)
    # In the load's frame the new vertical leans away from the side that hangs low.
    sideways = subtract(now_up, scale(up, dot(now_up, up)))
    # Turned right over there is no low side, as there is none when it hangs level.
    low_side = None if tilt < LEVEL or length(sideways) <= 1e-9 else unit(scale(sideways, -1.0))
    # Where a leg is only just tight the balances may miss it by rounding: then the one way that was found.
    corners = _tensions(rest, points, reach, centre, near) or (held[places.index(rest)],)
    legs = []
    for i, name in enumerate(names):
        steep = dot(unit(subtract(rest, points[i])), now_up)
        pulls = [corner[i] for corner in corners]
        spare = max(0.0, reach[i] - distance(rest, points[i]))
        legs.append(
            HangingLeg(
                point=name,
                slack=spare > near or max(pulls) == 0.0,
                share_low=min(pull * steep for pull in pulls),
                share_high=max(pull * steep for pull in pulls),
                pull_low=min(pulls),
                pull_high=max(pulls),
                from_horizontal=math.asin(max(-1.0, min(1.0, steep))),
                spare_m=spare,
            )
        )
    heading = None if low_side is None else _heading(low_side, up, ahead)
    return Rest(rest, now_up, rotation_onto(now_up, up), tilt, low_side, heading, tuple(legs), others)


def _heading(direction: Vector, up: Vector, ahead: Vector | None) -> float:
    if ahead is None:
        ahead = (1.0, 0.0, 0.0) if abs(up[0]) < 0.999 else (0.0, 1.0, 0.0)
    front = subtract(ahead, scale(up, dot(ahead, up)))
    if length(front) <= 1e-9 * length(ahead):
        raise StaticsError("the direction that headings count from is upright: choose a level one.")
    return math.atan2(dot(cross(front, direction), up), dot(front, direction))


def _check(picks: Mapping[str, Vector], lengths_m: Mapping[str, float]) -> None:
    if not 1 <= len(picks) <= MOST_PULLS:
        raise StaticsError(f"free hanging needs 1 to {MOST_PULLS} pick points, not {len(picks)}.")
    for name in picks:
        size = lengths_m.get(name)
        if size is None:
            raise StaticsError(
                f"the leg at {name} has no length: measure it from the pick point to the hook."
            )
        if not math.isfinite(size) or size <= 0.0:
            raise StaticsError(f"the leg at {name} must be longer than 0 m, not {size!r}.")


def _tensions(
    place: Vector, points: list[Vector], reach: list[float], centre: Vector, near: float
) -> tuple[tuple[float, ...], ...]:
    """Corners of all sets of tensions that hold the load with the hook at `place`; empty if none does."""
    tight = [i for i, point in enumerate(points) if distance(place, point) >= reach[i] - near]
    pulls = [Pull.towards(points[i], place) for i in tight]
    corners = corner_balances(pulls, centre, unit(subtract(place, centre)))
    return tuple(
        tuple(dict(zip(tight, corner, strict=True)).get(i, 0.0) for i in range(len(points)))
        for corner in corners
    )


def why_impossible(names: list[str], points: list[Vector], reach: list[float]) -> str:
    """A sentence about legs that cannot meet."""
    for i, j in combinations(range(len(names)), 2):
        gap = distance(points[i], points[j])
        if gap > reach[i] + reach[j]:
            return (
                f"the legs at {names[i]} ({reach[i]:.3f} m) and {names[j]} ({reach[j]:.3f} m) cannot meet: "
                f"the points are {gap:.3f} m apart. Use longer legs or other points."
            )
    return f"legs of these lengths at {', '.join(names)} cannot meet at one hook. Measure the lengths again."
