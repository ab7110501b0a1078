"""What the tilt seen at a trial lift says: the plumb line through the hook, on which the centre must lie.

Lifted a hand's breadth and hanging still, the centre of gravity is plumb under the hook. The legs say where
the hook is, seen from the load; the tilt says which way is plumb. Together they give a line through the load,
whatever the masses may be.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

import numpy as np

from handling_db.mechanics.body import Body
from handling_db.mechanics.hang.columns import Floats
from handling_db.mechanics.hang.poses import highest_places
from handling_db.mechanics.vectors import Vector


@dataclass(frozen=True, slots=True)
class SeenTilt:
    """A tilt as it was seen: angle with its doubt [rad], and the level direction that hung low."""

    tilt: float
    doubt: float
    low_side: Vector


@dataclass(frozen=True, slots=True)
class CentreLine:
    """The line on which the centre must lie, in the frame of the points. [m]

    Parameters
    ----------
    hook : Vector
    down : Vector
        Direction of the line.
    at : Vector
        Where the line passes the height at which the records have the centre.
    low, high : Vector
        Limits of `at` by the doubt of tilt and lengths.
    """

    hook: Vector
    down: Vector
    at: Vector
    low: Vector
    high: Vector


@dataclass(frozen=True, slots=True)
class Contradicts:
    """What would have to be otherwise in one piece alone for the centre to lie on the line.

    Parameters
    ----------
    piece : int
    mass_off_kg : float or None
        Change of its mass; None where no mass of it does it. [kg]
    place_off : Vector
        Move of its place. [m]
    """

    piece: int
    mass_off_kg: float | None
    place_off: Vector


def plumb_direction(seen: SeenTilt, up: Vector, tilt: float | None = None) -> Floats:
    """The direction against gravity in the frame of the load while it hangs. array (3,)

    It leans away from the side that hangs low.
    """
    angle = seen.tilt if tilt is None else tilt
    level = np.array(seen.low_side) - np.dot(seen.low_side, up) * np.array(up)
    size = float(np.linalg.norm(level))
    if size == 0.0:
        return np.array(up)
    return np.asarray(math.cos(angle) * np.array(up) - math.sin(angle) * level / size)


def centre_line(
    points: Floats, lengths: Floats, spread: Floats, seen: SeenTilt, guess: Vector, up: Vector
) -> CentreLine:
    """The line on which the centre of gravity lies, by the tilt seen.

    Parameters
    ----------
    points : array (legs, 3)
        [m]
    lengths, spread : array (legs,)
        Lengths as they were, and their doubt. [m]
    seen : SeenTilt
    guess : Vector
        Centre by the records: gives the height at which the line is stated, and for more than three legs
        which of them are taken as tight. [m]
    up : Vector
        Unit vector against gravity in the attitude without the tilt.

    Raises
    ------
    ValueError
        Legs of these lengths cannot meet, or cannot hang it in the way it was seen.
    """
    plumb = np.array(up)
    best = _line(points, lengths, plumb_direction(seen, up), np.array(guess), plumb)
    if best is None:
        raise ValueError(
            "with legs of these lengths it cannot hang as it was seen: "
            "measure the lengths and the tilt again."
        )
    hook, at = best
    found = [at]
    signs = (-1.0, 1.0) if spread.any() else (0.0,)
    patterns = (
        list(product(signs, repeat=len(points))) if len(points) <= 6 else [(s,) * len(points) for s in signs]
    )
    aside = np.cross(plumb, _level(seen, plumb))
    for angle in (max(0.0, seen.tilt - seen.doubt), seen.tilt + seen.doubt):
        for swing in (-seen.doubt, 0.0, seen.doubt):
            direction = plumb_direction(seen, up, angle) + math.sin(swing) * aside
            direction = direction / np.linalg.norm(direction)
            for pattern in patterns:
                line = _line(points, lengths + np.array(pattern) * spread, direction, np.array(guess), plumb)
                if line is not None:
                    found.append(line[1])
    low, high = np.min(found, axis=0), np.max(found, axis=0)
    down = -plumb_direction(seen, up)
    return CentreLine(_vector(hook), _vector(down), _vector(at), _vector(low), _vector(high))


def _level(seen: SeenTilt, up: Floats) -> Floats:
    """The low side as a level unit vector; zero where there is none."""
    level = np.array(seen.low_side) - (np.array(seen.low_side) @ up) * up
    size = float(np.linalg.norm(level))
    return np.asarray(level / size if size > 0.0 else level)


def _line(
    points: Floats, lengths: Floats, direction: Floats, guess: Floats, up: Floats
) -> tuple[Floats, Floats] | None:
    """Hook and place of the centre at the height of the guess, if the load hangs with `direction` upward."""
    # Which legs are tight depends on the direction of plumb alone: the hook is the highest place they reach.
    (hook,) = highest_places(points, lengths[None, :], direction)
    if not np.isfinite(hook).all():
        return None
    down = -direction
    fall = float(down @ up)
    if abs(fall) < 1e-6:
        return None
    way = float((guess - hook) @ up) / fall
    return hook, hook + way * down


def contradictions(body: Body, line: CentreLine, give: float) -> list[Contradicts]:
    """Pieces whose mass or place alone, set otherwise, would put the centre on the line.

    Parameters
    ----------
    body : Body
        In the frame of the line.
    line : CentreLine
    give : float
        How far beside the line still counts as on it. [m]

    Returns
    -------
    list of Contradicts
        Smallest change of place first.
    """
    total, centres = body.load(body.best_part(), np.zeros((1, 3)))
    mass, centre = float(total[0]), centres[0]
    target, down = np.array(line.at), np.array(line.down)
    # Only what is square to the line counts: along it the centre may lie anywhere.
    move = target - centre
    move = move - (move @ down) * down
    found = []
    for piece, own in enumerate(body.best):
        if own <= 0.0:
            continue
        arm = body.at[piece] - target
        arm = arm - (arm @ down) * down
        # (M c + dm x) / (M + dm) = t  =>  dm (x - t) = M (t - c); least squares, then what is left.
        size2 = float(arm @ arm)
        off: float | None = None
        if size2 > 0.0:
            change = mass * float(arm @ move) / size2
            left = np.linalg.norm(mass * move - change * arm) / max(mass + change, 1e-12)
            if left <= give and own + change >= 0.0:
                off = change
        found.append(Contradicts(piece, off, _vector(move * mass / own)))
    return sorted(found, key=lambda one: (one.mass_off_kg is None, math.hypot(*one.place_off)))


def _vector(array: Floats) -> Vector:
    x, y, z = (float(part) + 0.0 for part in array)
    return x, y, z
