"""Where loads on straight legs under one hook come to rest, for many loads at once.

Written in the frame of the load, the question is short. The hook can be anywhere that every leg reaches, and
the load sinks until its centre of gravity is as far below the hook as the legs let it: a resting pose is a
place of the hook, within the spheres of leg length about the pick points, from which the distance to the
centre of gravity can only become less. Up to three tight legs decide the place; every choice of them has a
closed form, so all resting poses are found by going through the choices.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from handling_db.mechanics.hang.columns import (
    Bools,
    Columns,
    Floats,
    Rows,
    angles_from,
    columns,
    crosses,
    dots,
    less,
    over,
    picked,
    rows_of,
    sizes,
)

# Parts of the longest leg: closer than this two places are one, and a leg is tight.
SAME = 1e-8
# A centre so many leg lengths down is plumb below everything, to within what a double holds.
_FAR = 1e9
# A pull below this part of the weight is rounding: the leg is only just tight.
PUSHES = 1e-9


@dataclass(frozen=True, slots=True)
class Candidates:
    """Loads that come to rest with the same legs tight.

    Parameters
    ----------
    legs : tuple of int
        Those that are tight.
    rows : array (m,) of int
        Numbers of the loads.
    hook : three arrays (m,)
        Place of the hook in the frame of each of them. [m]
    pulls : sequence of array (m,)
        Of each tight leg, tension over weight.
    """

    legs: tuple[int, ...]
    rows: Rows
    hook: Columns
    pulls: Sequence[Floats]


@dataclass(frozen=True, slots=True)
class Poses:
    """The resting pose of each load that is nearest to the attitude asked about.

    Parameters
    ----------
    hook : array (n, 3)
        In the frame of the load; not-a-number where the legs cannot meet. [m]
    pulls : array (n, legs)
        Tension over weight; 0 for a slack leg. Where more than three are tight, one way to share.
    steep : array (n, legs)
        Sine of the angle of each leg (of a slack one: of the line to the hook) from the horizontal.
    tilt : array (n,)
        From the attitude asked about; infinite where the legs cannot meet. [rad]
    """

    hook: Floats
    pulls: Floats
    steep: Floats
    tilt: Floats


def candidates(
    points: Floats,
    reach: Floats,
    centres: Floats,
    up: Floats,
    choices: tuple[TightLegs, ...] | None = None,
) -> Iterator[Candidates]:
    """Every resting pose, by the legs that are tight in it.

    Parameters
    ----------
    points : array (legs, 3)
        Pick points in the frame of the load. [m]
    reach : array (n, legs)
        Lengths of the legs, a row per load. [m]
    centres : array (n, 3)
        Centres of gravity, a row per load. [m]
    up : array (3,)
        Unit vector against gravity in the attitude asked about; decides only where the load would be at rest
        in every direction.
    choices : tuple of TightLegs, optional
        As `tight_legs` gives them for these points, where many questions are asked of them.

    References
    ----------
    .. [1] Least potential energy of a hanging body; tensions are the multipliers of the leg lengths
       (Karush-Kuhn-Tucker conditions with their second order, any text on optimisation).
    """
    loads = _Loads(points, reach, centres)
    with np.errstate(invalid="ignore", divide="ignore"):
        for tight in choices or tight_legs(points, up):
            for hook in _places(tight, loads.spans[list(tight.legs)], centres, loads.centres):
                found = _judge(tight.legs, hook, loads)
                if found is not None:
                    yield found


def rest_poses(
    points: Floats,
    reach: Floats,
    centres: Floats,
    up: Floats,
    choices: tuple[TightLegs, ...] | None = None,
) -> Poses:
    """The resting pose nearest to the attitude asked about, for each load.

    Parameters are those of `candidates`.
    """
    number, legs = reach.shape
    hook = np.full((3, number), np.nan)
    pulls = np.zeros((legs, number))
    tilt = np.full(number, np.inf)
    middle = columns(centres)
    for found in candidates(points, reach, centres, up, choices):
        lean = angles_from(less(found.hook, picked(middle, found.rows)), up)
        better = np.flatnonzero(lean < tilt[found.rows] - 1e-12)
        if not len(better):
            continue
        rows = found.rows[better]
        tilt[rows] = lean[better]
        for axis in range(3):
            hook[axis, rows] = found.hook[axis][better]
        pulls[:, rows] = 0.0
        for leg, pull in zip(found.legs, found.pulls, strict=True):
            pulls[leg, rows] = np.maximum(0.0, pull[better])
    place: Columns = (hook[0], hook[1], hook[2])
    steep = np.empty((legs, number))
    with np.errstate(invalid="ignore", divide="ignore"):
        line = less(place, middle)
        plumb = over(line, sizes(line))
        for leg in range(legs):
            way = less(place, points[leg])
            steep[leg] = dots(over(way, sizes(way)), plumb)
    return Poses(rows_of(place), np.ascontiguousarray(pulls.T), np.ascontiguousarray(steep.T), tilt)


def highest_place(points: Floats, reach: Floats, up: Floats) -> Floats:
    """The highest place of a hook that every leg still reaches, the load held as it is. array (3,) [m]

    It is the resting place for a centre of gravity so far down that only its direction counts; not-a-number
    where the legs cannot meet.
    """
    far = points.mean(axis=0) - _FAR * float(reach.max()) * up
    return np.asarray(rest_poses(points, reach[None, :], far[None, :], up).hook[0])


def angles(directions: Floats, up: Floats) -> Floats:
    """Angle of each direction from `up`, exact for small angles too. [rad]"""
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(directions, up), axis=-1), directions @ up))


class _Loads:
    """Many loads on legs of one order, as arrays of one figure a load each.

    Parameters
    ----------
    points, reach, centres
        As for `candidates`.
    """

    def __init__(self, points: Floats, reach: Floats, centres: Floats) -> None:
        self.points = points
        self.centres = columns(centres)
        self.near = SAME * reach.max(axis=1)
        self.spans = np.ascontiguousarray(reach.T)  # (legs, n)
        self.most = self.spans + self.near
        self.least = self.spans - self.near  # from here on a leg is tight


@dataclass(frozen=True, slots=True)
class TightLegs:
    """A choice of tight legs with what of their points is the same for every load.

    Parameters
    ----------
    legs : tuple of int
    points : array (tight, 3)
        [m]
    wide : float
        From the first point to the second. [m]
    axis : array (3,)
        Unit vector that way.
    level : array (3,)
        Where the hook goes of two legs whose centre lies in the line of their points: the asked attitude.
    far, onto : float
        Of the third point: off that line and along it; of fewer legs without a meaning. [m]
    across, out : array (3,)
        Unit vectors from the line to the third point, and square to both; without a meaning as well.
    """

    legs: tuple[int, ...]
    points: Floats
    wide: float
    axis: Floats
    level: Floats
    far: float
    onto: float
    across: Floats
    out: Floats


def tight_legs(points: Floats, up: Floats) -> tuple[TightLegs, ...]:
    """Every choice of up to three legs that decides a place of the hook.

    Parameters
    ----------
    points : array (legs, 3)
        [m]
    up : array (3,)
    """
    found = []
    for count in (1, 2, 3):
        for legs in combinations(range(len(points)), count):
            one = _choice(legs, points[list(legs)], up)
            if one is not None:
                found.append(one)
    return tuple(found)


def _choice(legs: tuple[int, ...], points: Floats, up: Floats) -> TightLegs | None:
    if len(points) == 1:
        return TightLegs(legs, points, 0.0, up, up, 0.0, 0.0, up, up)
    span = points[1] - points[0]
    wide = float(np.linalg.norm(span))
    if wide == 0.0:
        return None
    axis = span / wide
    if len(points) == 2:
        lean = up - (up @ axis) * axis
        if float(np.linalg.norm(lean)) <= SAME:
            lean = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
        return TightLegs(legs, points, wide, axis, -lean / np.linalg.norm(lean), 0.0, 0.0, up, up)
    third = points[2] - points[0]
    across = third - (third @ axis) * axis
    far = float(np.linalg.norm(across))
    if far <= SAME * wide:
        return None  # three points in one line leave the hook free to turn about it: two of them decide
    across = across / far
    return TightLegs(legs, points, wide, axis, up, far, float(third @ axis), across, np.cross(axis, across))


def _places(tight: TightLegs, reach: Floats, centres: Floats, middle: Columns) -> list[Columns]:
    """Hook places at which exactly these legs are tight and the load may be at rest.

    Parameters
    ----------
    tight : TightLegs
    reach : array (tight, n)
    centres, middle : array (n, 3), and the same as columns
    """
    first, axis = tight.points[0], tight.axis
    if len(tight.legs) == 1:
        away = less(first, middle)
        size = sizes(away)
        # A centre in the point itself is at rest in every direction: the asked one.
        there, whole = size > 0.0, np.where(size > 0.0, size, 1.0)
        turned = [np.where(there, part / whole, one) for part, one in zip(away, tight.level, strict=True)]
        x, y, z = (at + part * reach[0] for at, part in zip(first, turned, strict=True))
        return [(x, y, z)]
    wide = tight.wide
    along = (wide * wide + reach[0] ** 2 - reach[1] ** 2) / (2.0 * wide)
    radius2 = reach[0] ** 2 - along**2
    # Legs that only just meet leave rounding below nothing; farther below they do not meet.
    radius2 = np.where(radius2 < -SAME * reach[0] ** 2, np.nan, np.maximum(radius2, 0.0))
    x, y, z = (at + along * part for at, part in zip(first, axis, strict=True))
    if len(tight.legs) == 2:
        # The hook runs on a circle about the line of the two points; its far side is the deepest.
        onto = (centres - first) @ axis
        x0, y0, z0 = ((part - at) - onto * one for part, at, one in zip(middle, first, axis, strict=True))
        off = sizes((x0, y0, z0))
        # A centre in the line of the points is at rest at every turn about it: the asked one.
        there, whole, radius = off > SAME * wide, np.where(off > 0.0, off, 1.0), np.sqrt(radius2)
        x, y, z = (
            at - np.where(there, part / whole, one) * radius
            for at, part, one in zip((x, y, z), (x0, y0, z0), tight.level, strict=True)
        )
        return [(x, y, z)]
    far, onto3 = tight.far, tight.onto
    side = (onto3**2 + far**2 + reach[0] ** 2 - reach[2] ** 2 - 2.0 * onto3 * along) / (2.0 * far)
    height2 = reach[0] ** 2 - along**2 - side**2
    height2 = np.where(height2 < -SAME * reach[0] ** 2, np.nan, np.maximum(height2, 0.0))
    height = np.sqrt(height2)
    out = [part * height for part in tight.out]
    foot = [at + side * part for at, part in zip((x, y, z), tight.across, strict=True)]
    return [
        (foot[0] + out[0], foot[1] + out[1], foot[2] + out[2]),
        (foot[0] - out[0], foot[1] - out[1], foot[2] - out[2]),
    ]


def _judge(legs: tuple[int, ...], hook: Columns, loads: _Loads) -> Candidates | None:
    """Which loads rest there, and the pulls that hold them: all legs reach, and a load can only rise."""
    points = loads.points
    line = less(hook, loads.centres)
    depth = sizes(line)
    ways = [less(hook, point) for point in points]
    distances = [sizes(way) for way in ways]
    rests = np.isfinite(depth) & (depth > loads.near)
    for distance, most in zip(distances, loads.most, strict=True):
        rests &= distance <= most
    rows = np.flatnonzero(rests)
    if not len(rows):
        return None
    if len(legs) == 1:
        return Candidates(legs, rows, picked(hook, rows), (np.ones(len(rows)),))
    some = len(rows) < len(depth)  # what does not rest needs no pulls

    def unit(way: Columns, size: Floats) -> Columns:
        return over(picked(way, rows), size[rows]) if some else over(way, size)

    plumb = unit(line, depth)
    own = [unit(ways[leg], distances[leg]) for leg in legs]
    if len(legs) == 2:
        cosine = dots(own[0], own[1])
        first, second = dots(own[0], plumb), dots(own[1], plumb)
        sine2 = 1.0 - cosine**2
        pulls = [(first - cosine * second) / sine2, (second - cosine * first) / sine2]
        rests = (sine2 > 1e-14) & (pulls[0] >= -PUSHES) & (pulls[1] >= -PUSHES)
        return _left(legs, rows, hook, pulls, rests)
    # Rows of the inverse: how much of a direction each leg carries, the other two keeping theirs.
    back = [crosses(own[(k + 1) % 3], own[(k + 2) % 3]) for k in range(3)]
    volume = dots(own[0], back[0])
    back = [over(one, volume) for one in back]
    pulls = [dots(one, plumb) for one in back]
    rests = np.abs(volume) > 1e-12
    for pull in pulls:
        rests &= pull >= -PUSHES
    # A leg that is only just tight holds nothing: the load may roll past it, unless another tight leg on the
    # far side of the plane of the other two takes over.
    for k in range(3):
        just = pulls[k] <= PUSHES
        if not (just & rests).any():
            continue
        held = ~just
        for leg in range(len(points)):
            if leg not in legs:
                tight = (distances[leg] >= loads.least[leg])[rows]
                held |= tight & (dots(unit(ways[leg], distances[leg]), back[k]) < -PUSHES)
        rests &= held
    return _left(legs, rows, hook, pulls, rests)


def _left(
    legs: tuple[int, ...], rows: Rows, hook: Columns, pulls: Sequence[Floats], rests: Bools
) -> Candidates | None:
    """The loads that rest among those that all legs reach."""
    kept = np.flatnonzero(rests)
    if not len(kept):
        return None
    return Candidates(legs, rows[kept], picked(hook, rows[kept]), [pull[kept] for pull in pulls])
