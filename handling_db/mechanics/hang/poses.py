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
from itertools import groupby

import numpy as np

from handling_db.mechanics.hang.columns import (
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
from handling_db.mechanics.hang.tight_legs import SAME, TightLegs, tight_legs

# A centre so many leg lengths down is plumb below everything, to within what a double holds.
_FAR = 1e9
# Places of the hook that are worked out at once: more would not fit into the memory next to a processor.
_AT_ONCE = 20_000
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
    for found in _batches(_Loads(points, reach, centres), choices or tight_legs(points, up)):
        yield from found.each()


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
    for batch in _batches(_Loads(points, reach, centres), choices or tight_legs(points, up)):
        lean = angles_from(less(batch.hook, picked(middle, batch.rows)), up)
        for start, end, legs_tight in batch.slices():
            rows = batch.rows[start:end]
            better = np.flatnonzero(lean[start:end] < tilt[rows] - 1e-12)
            if not len(better):
                continue
            rows, mine = rows[better], better + start
            tilt[rows] = lean[mine]
            for axis in range(3):
                hook[axis, rows] = batch.hook[axis][mine]
            pulls[:, rows] = 0.0
            for leg, pull in zip(legs_tight, batch.pulls, strict=True):
                pulls[leg, rows] = np.maximum(0.0, pull[mine])
    place: Columns = (hook[0], hook[1], hook[2])
    steep = np.empty((legs, number))
    with np.errstate(invalid="ignore", divide="ignore"):
        line = less(place, middle)
        plumb = over(line, sizes(line))
        for leg in range(legs):
            way = less(place, points[leg])
            steep[leg] = dots(over(way, sizes(way)), plumb)
    return Poses(rows_of(place), np.ascontiguousarray(pulls.T), np.ascontiguousarray(steep.T), tilt)


def highest_places(points: Floats, reach: Floats, up: Floats) -> Floats:
    """The highest places of a hook that every leg still reaches, the load held as it is. array (n, 3) [m]

    It is the resting place for a centre of gravity so far down that only its direction counts; not-a-number
    where the legs cannot meet.

    Parameters
    ----------
    points, reach, up
        As for `candidates`.
    """
    far = points.mean(axis=0) - (_FAR * reach.max(axis=1))[:, None] * up
    return rest_poses(points, reach, far, up).hook


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
        self.middle = centres
        self.centres = columns(centres)
        self.near = SAME * reach.max(axis=1)
        self.spans = np.ascontiguousarray(reach.T)  # (legs, n)
        self.most = self.spans + self.near
        self.least = self.spans - self.near  # from here on a leg is tight


@dataclass(frozen=True, slots=True)
class _Batch:
    """Loads that come to rest with one of several choices of as many tight legs, in the order of these.

    Parameters
    ----------
    choices : sequence of TightLegs
    which : array (m,) of int
        The choice of each, which only grows.
    rows, hook, pulls
        As of `Candidates`, of all choices one after another.
    """

    choices: Sequence[TightLegs]
    which: Rows
    rows: Rows
    hook: Columns
    pulls: Sequence[Floats]

    def slices(self) -> Iterator[tuple[int, int, tuple[int, ...]]]:
        """From where to where each choice goes that has any, and its legs."""
        ends = np.searchsorted(self.which, np.arange(len(self.choices) + 1)).tolist()
        for start, end, choice in zip(ends, ends[1:], self.choices, strict=False):
            if end > start:
                yield start, end, choice.legs

    def each(self) -> Iterator[Candidates]:
        """The same, a choice at a time."""
        for start, end, legs in self.slices():
            x, y, z = (part[start:end] for part in self.hook)
            yield Candidates(legs, self.rows[start:end], (x, y, z), [pull[start:end] for pull in self.pulls])


def _batches(loads: _Loads, choices: Sequence[TightLegs]) -> Iterator[_Batch]:
    """All resting poses, for as many choices of as many legs at once as are worth it."""
    at_once = max(1, _AT_ONCE // max(1, len(loads.near)))
    with np.errstate(invalid="ignore", divide="ignore"):
        for _, alike in groupby(choices, key=lambda choice: len(choice.legs)):
            some = list(alike)
            for start in range(0, len(some), at_once):
                part = some[start : start + at_once]
                hook = _places(part, loads)
                # Of three legs the hook may be on either side of their points.
                part = [choice for choice in part for _ in range(len(hook[0]) // len(part))]
                found = _judge(part, hook, loads)
                if found is not None:
                    yield found


def _places(choices: Sequence[TightLegs], loads: _Loads) -> Columns:
    """Hook places at which exactly these legs are tight and the load may be at rest.

    Parameters
    ----------
    choices : sequence of TightLegs
        Of as many legs each.
    loads : _Loads

    Returns
    -------
    three arrays (places, n)
        A place of each choice, or of three legs two: one on either side of their points. [m]
    """

    def told(name: str) -> Columns:
        """A vector of each choice, as columns of arrays (choices, 1)."""
        x, y, z = np.array([getattr(choice, name) for choice in choices]).T[:, :, None]
        return x, y, z

    def figure(name: str) -> Floats:
        return np.array([getattr(choice, name) for choice in choices])[:, None]

    reach = [loads.spans[[choice.legs[place] for choice in choices]] for place in range(len(choices[0].legs))]
    x, y, z = np.array([choice.points[0] for choice in choices]).T[:, :, None]
    first = (x, y, z)
    if len(reach) == 1:
        away = less(first, loads.centres)
        size = sizes(away)
        # A centre in the point itself is at rest in every direction: the asked one.
        there, whole = size > 0.0, np.where(size > 0.0, size, 1.0)
        turned = [np.where(there, part / whole, one) for part, one in zip(away, told("level"), strict=True)]
        x, y, z = (at + part * reach[0] for at, part in zip(first, turned, strict=True))
        return x, y, z
    wide, axis = figure("wide"), told("axis")
    along = (wide * wide + reach[0] ** 2 - reach[1] ** 2) / (2.0 * wide)
    radius2 = reach[0] ** 2 - along**2
    # Legs that only just meet leave rounding below nothing; farther below they do not meet.
    radius2 = np.where(radius2 < -SAME * reach[0] ** 2, np.nan, np.maximum(radius2, 0.0))
    x, y, z = (at + along * part for at, part in zip(first, axis, strict=True))
    if len(reach) == 2:
        # The hook runs on a circle about the line of the two points; its far side is the deepest.
        onto = np.array([(loads.middle - choice.points[0]) @ choice.axis for choice in choices])
        x0, y0, z0 = (
            (part - at) - onto * one for part, at, one in zip(loads.centres, first, axis, strict=True)
        )
        off = sizes((x0, y0, z0))
        # A centre in the line of the points is at rest at every turn about it: the asked one.
        there, whole, radius = off > SAME * wide, np.where(off > 0.0, off, 1.0), np.sqrt(radius2)
        x, y, z = (
            at - np.where(there, part / whole, one) * radius
            for at, part, one in zip((x, y, z), (x0, y0, z0), told("level"), strict=True)
        )
        return x, y, z
    far, onto3 = figure("far"), figure("onto")
    side = (onto3**2 + far**2 + reach[0] ** 2 - reach[2] ** 2 - 2.0 * onto3 * along) / (2.0 * far)
    height2 = reach[0] ** 2 - along**2 - side**2
    height2 = np.where(height2 < -SAME * reach[0] ** 2, np.nan, np.maximum(height2, 0.0))
    height = np.sqrt(height2)
    sides = []
    for at, across, square in zip((x, y, z), told("across"), told("out"), strict=True):
        foot, out = at + side * across, square * height
        sides.append(np.stack([foot + out, foot - out], axis=1).reshape(-1, foot.shape[1]))
    return sides[0], sides[1], sides[2]


def _judge(choices: Sequence[TightLegs], hook: Columns, loads: _Loads) -> _Batch | None:
    """Which loads rest there, and the pulls that hold them: all legs reach, and a load can only rise.

    Parameters
    ----------
    choices : sequence of TightLegs
        One of each place.
    hook : three arrays (places, n)
    loads : _Loads
    """
    points = loads.points
    line = less(hook, loads.centres)
    depth = sizes(line)
    rests = np.isfinite(depth) & (depth > loads.near)
    for point, most in zip(points, loads.most, strict=True):
        rests &= sizes(less(hook, point)) <= most
    which, rows = np.nonzero(rests)
    if not len(rows):
        return None
    x, y, z = (part[which, rows] for part in hook)
    place = (x, y, z)
    if len(choices[0].legs) == 1:
        return _Batch(choices, which, rows, place, (np.ones(len(rows)),))
    plumb = less(place, picked(loads.centres, rows))
    plumb = over(plumb, sizes(plumb))
    legs = np.array([choice.legs for choice in choices])[which]  # (m, tight)
    columns_of_points = columns(points)
    own = []
    for leg in legs.T:
        way = less(place, picked(columns_of_points, leg))
        own.append(over(way, sizes(way)))
    if len(own) == 2:
        cosine = dots(own[0], own[1])
        first, second = dots(own[0], plumb), dots(own[1], plumb)
        sine2 = 1.0 - cosine**2
        pulls = [(first - cosine * second) / sine2, (second - cosine * first) / sine2]
        kept = np.flatnonzero((sine2 > 1e-14) & (pulls[0] >= -PUSHES) & (pulls[1] >= -PUSHES))
        return _left(_Batch(choices, which, rows, place, pulls), kept)
    # Rows of the inverse: how much of a direction each leg carries, the other two keeping theirs.
    back = [crosses(own[(k + 1) % 3], own[(k + 2) % 3]) for k in range(3)]
    volume = dots(own[0], back[0])
    back = [over(one, volume) for one in back]
    pulls = [dots(one, plumb) for one in back]
    held = np.abs(volume) > 1e-12
    for pull in pulls:
        held &= pull >= -PUSHES
    # A leg that is only just tight holds nothing: the load may roll past it, unless another tight leg on the
    # far side of the plane of the other two takes over.
    for k in range(3):
        just = pulls[k] <= PUSHES
        if not (just & held).any():
            continue
        takes_over = np.zeros(len(rows), dtype=bool)
        for leg, point in enumerate(points):
            way = less(place, point)
            size = sizes(way)
            tight = (size >= loads.least[leg][rows]) & (legs != leg).all(axis=1)
            takes_over |= tight & (dots(over(way, size), back[k]) < -PUSHES)
        held &= ~just | takes_over
    return _left(_Batch(choices, which, rows, place, pulls), np.flatnonzero(held))


def _left(batch: _Batch, kept: Rows) -> _Batch | None:
    """Some of the loads of a batch."""
    if not len(kept):
        return None
    return _Batch(
        batch.choices,
        batch.which[kept],
        batch.rows[kept],
        picked(batch.hook, kept),
        [pull[kept] for pull in batch.pulls],
    )
