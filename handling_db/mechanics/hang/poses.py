"""Where loads on straight legs under one hook come to rest, for many loads at once.

Written in the frame of the load, the question is short. The hook can be anywhere that every leg reaches, and
the load sinks until its centre of gravity is as far below the hook as the legs let it: a resting pose is a
place of the hook, within the spheres of leg length about the pick points, from which the distance to the
centre of gravity can only become less. Up to three tight legs decide the place; every choice of them has a
closed form, so all resting poses are found by going through the choices.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]  # numbers of rows, or of pieces

# Parts of the longest leg: closer than this two places are one, and a leg is tight.
SAME = 1e-8
# A centre so many leg lengths down is plumb below everything, to within what a double holds.
_FAR = 1e9
# A pull below this part of the weight is rounding: the leg is only just tight.
PUSHES = 1e-9


@dataclass(frozen=True, slots=True)
class Candidates:
    """Hook places with the same legs tight, one per load.

    Parameters
    ----------
    legs : tuple of int
        Those that are tight.
    hook : array (n, 3)
        In the frame of the load. [m]
    pulls : array (n, legs)
        Tension over weight.
    rests : array (n,) of bool
        Whether the load of that row comes to rest there.
    """

    legs: tuple[int, ...]
    hook: Floats
    pulls: Floats
    rests: Bools


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


def candidates(points: Floats, reach: Floats, centres: Floats, up: Floats) -> Iterator[Candidates]:
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

    References
    ----------
    .. [1] Least potential energy of a hanging body; tensions are the multipliers of the leg lengths
       (Karush-Kuhn-Tucker conditions with their second order, any text on optimisation).
    """
    near = SAME * reach.max(axis=1)
    for count in (1, 2, 3):
        for legs in combinations(range(len(points)), count):
            for hook in _places(points[list(legs)], reach[:, legs], centres, up):
                with np.errstate(invalid="ignore", divide="ignore"):
                    yield _judge(legs, hook, points, reach, centres, near)


def rest_poses(points: Floats, reach: Floats, centres: Floats, up: Floats) -> Poses:
    """The resting pose nearest to the attitude asked about, for each load.

    Parameters are those of `candidates`.
    """
    number, legs = reach.shape
    hook = np.full((number, 3), np.nan)
    pulls = np.zeros((number, legs))
    tilt = np.full(number, np.inf)
    for found in candidates(points, reach, centres, up):
        if not found.rests.any():
            continue
        lean = angles(found.hook - centres, up)
        better = found.rests & (lean < tilt - 1e-12)
        if not better.any():
            continue
        tilt = np.where(better, lean, tilt)
        hook[better] = found.hook[better]
        pulls[better] = 0.0
        for place, leg in enumerate(found.legs):
            pulls[better, leg] = np.maximum(0.0, found.pulls[better, place])
    plumb = _units(hook - centres)
    steep = np.einsum("nkj,nj->nk", _units(hook[:, None, :] - points), plumb)
    return Poses(hook, pulls, steep, tilt)


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


def _units(vectors: Floats) -> Floats:
    """Each vector made one long; not-a-number where it has no length."""
    size = np.linalg.norm(vectors, axis=-1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(vectors / size)


def _places(points: Floats, reach: Floats, centres: Floats, up: Floats) -> list[Floats]:
    """Hook places at which exactly these legs are tight and the load may be at rest."""
    if len(points) == 1:
        away = points[0] - centres
        size = np.linalg.norm(away, axis=1, keepdims=True)
        # A centre in the point itself is at rest in every direction: the asked one.
        direction = np.where(size > 0.0, away / np.where(size > 0.0, size, 1.0), up)
        return [points[0] + direction * reach]
    span = points[1] - points[0]
    size = float(np.linalg.norm(span))
    if size == 0.0:
        return []
    axis = span / size
    along = (size * size + reach[:, 0] ** 2 - reach[:, 1] ** 2) / (2.0 * size)
    radius2 = reach[:, 0] ** 2 - along**2
    # Legs that only just meet leave rounding below nothing; farther below they do not meet.
    radius2 = np.where(radius2 < -SAME * reach[:, 0] ** 2, np.nan, np.maximum(radius2, 0.0))
    middle = points[0] + along[:, None] * axis
    if len(points) == 2:
        # The hook runs on a circle about the line of the two points; its far side is the deepest.
        aside = centres - points[0]
        aside = aside - (aside @ axis)[:, None] * axis
        off = np.linalg.norm(aside, axis=1, keepdims=True)
        lean = up - (up @ axis) * axis
        if float(np.linalg.norm(lean)) <= SAME:
            lean = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
        # A centre in the line of the points is at rest at every turn about it: the asked one.
        level = -lean / np.linalg.norm(lean)
        direction = np.where(off > SAME * size, aside / np.where(off > 0.0, off, 1.0), level)
        return [middle - direction * np.sqrt(radius2)[:, None]]
    third = points[2] - points[0]
    across = third - (third @ axis) * axis
    far = float(np.linalg.norm(across))
    if far <= SAME * size:
        return []  # three points in one line leave the hook free to turn about it: two of them decide
    across = across / far
    onto = float(third @ axis)
    side = (onto**2 + far**2 + reach[:, 0] ** 2 - reach[:, 2] ** 2 - 2.0 * onto * along) / (2.0 * far)
    height2 = reach[:, 0] ** 2 - along**2 - side**2
    height2 = np.where(height2 < -SAME * reach[:, 0] ** 2, np.nan, np.maximum(height2, 0.0))
    foot = middle + side[:, None] * across
    out = np.cross(axis, across) * np.sqrt(height2)[:, None]
    return [foot + out, foot - out]


def _judge(
    legs: tuple[int, ...], hook: Floats, points: Floats, reach: Floats, centres: Floats, near: Floats
) -> Candidates:
    """Pulls that hold the load there, and whether it rests: all legs reach, and it can only rise."""
    line = hook - centres
    depth = np.linalg.norm(line, axis=1)
    plumb = line / depth[:, None]
    ways = hook[:, None, :] - points
    distances = np.linalg.norm(ways, axis=2)
    ways = ways / distances[:, :, None]
    rests = np.isfinite(depth) & (depth > near) & (distances <= reach + near[:, None]).all(axis=1)
    own = ways[:, legs, :]  # (n, tight, 3)
    if len(legs) == 1:
        return Candidates(legs, hook, np.ones((len(hook), 1)), rests)
    if len(legs) == 2:
        cosine = np.einsum("nj,nj->n", own[:, 0], own[:, 1])
        first = np.einsum("nj,nj->n", own[:, 0], plumb)
        second = np.einsum("nj,nj->n", own[:, 1], plumb)
        sine2 = 1.0 - cosine**2
        pulls = np.stack([first - cosine * second, second - cosine * first], axis=1) / sine2[:, None]
        rests &= (sine2 > 1e-14) & (pulls >= -PUSHES).all(axis=1)
        return Candidates(legs, hook, pulls, rests)
    # Rows of the inverse: how much of a direction each leg carries, the other two keeping theirs.
    back = np.stack(
        [np.cross(own[:, (k + 1) % 3], own[:, (k + 2) % 3]) for k in range(3)], axis=1
    )  # (n, tight, 3)
    volume = np.einsum("nj,nj->n", own[:, 0], back[:, 0])
    back = back / volume[:, None, None]
    pulls = np.einsum("nkj,nj->nk", back, plumb)
    rests &= (np.abs(volume) > 1e-12) & (pulls >= -PUSHES).all(axis=1)
    # A leg that is only just tight holds nothing: the load may roll past it, unless another tight leg on the
    # far side of the plane of the other two takes over.
    tight = distances >= reach - near[:, None]
    for k in range(3):
        just = pulls[:, k] <= PUSHES
        if not (just & rests).any():
            continue
        other = np.einsum("nkj,nj->nk", ways, back[:, k]) < -PUSHES
        other[:, list(legs)] = False
        rests &= ~just | (other & tight).any(axis=1)
    return Candidates(legs, hook, pulls, rests)
