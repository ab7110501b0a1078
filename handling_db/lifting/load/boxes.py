"""Boxes along the axes of the root, in which something surely lies. [m]"""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.mechanics.vectors import Vector

Box = tuple[Vector, Vector]  # lowest corner and highest, along the axes of the root [m]


def corners_of(box: Box) -> list[Vector]:
    """The eight corners of a box. [m]"""
    (ax, ay, az), (bx, by, bz) = box
    return [(x, y, z) for z in (az, bz) for y in (ay, by) for x in (ax, bx)]


def around(points: Sequence[Vector]) -> Box:
    """The box around some points, along the axes. [m]"""
    low, high = ([pick(p[i] for p in points) for i in range(3)] for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
