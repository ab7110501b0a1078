"""Choices of up to three tight legs, which decide where the hook is, with what is the same for every load."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from handling_db.mechanics.hang.columns import Floats

# Parts of the longest leg: closer than this two places are one, and a leg is tight.
SAME = 1e-8


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
