"""Places of the hook, seen from the load, at which a given choice of up to three legs is tight."""

from __future__ import annotations

import math
from itertools import combinations

from handling_db.mechanics.vectors import (
    Vector,
    add,
    any_across,
    cross,
    distance,
    dot,
    length,
    scale,
    subtract,
    unit,
)
from handling_db.quantities.amount import StaticsError

# Parts of the longest leg: closer than this two places are one, and a leg is tight.
SAME = 1e-9


class ImpossibleLegsError(StaticsError):
    """Legs of these lengths cannot meet at one hook."""


def places(points: list[Vector], reach: list[float], centre: Vector, up: Vector) -> list[Vector]:
    """Places of the hook with exactly these legs tight that could be farthest from the centre of gravity."""
    if len(points) == 1:
        away = subtract(points[0], centre)
        direction = up if length(away) == 0.0 else unit(away)
        return [add(points[0], scale(direction, reach[0]))]
    span = subtract(points[1], points[0])
    size = length(span)
    if size == 0.0:
        return []
    axis = scale(span, 1.0 / size)
    along = (size * size + reach[0] ** 2 - reach[1] ** 2) / (2.0 * size)
    radius2 = reach[0] ** 2 - along**2
    if radius2 < -SAME * reach[0] ** 2:
        return []
    radius = math.sqrt(max(0.0, radius2))
    middle = add(points[0], scale(axis, along))
    if len(points) == 2:
        # The hook runs on a circle about the line of the two points; its far side is the deepest.
        aside = subtract(centre, points[0])
        aside = subtract(aside, scale(axis, dot(aside, axis)))
        if length(aside) <= SAME * size:
            aside = scale(subtract(up, scale(axis, dot(up, axis))), -1.0)
            aside = any_across(axis) if length(aside) <= SAME else aside
        return [subtract(middle, scale(unit(aside), radius))]
    third = subtract(points[2], points[0])
    across = subtract(third, scale(axis, dot(third, axis)))
    if length(across) <= SAME * size:
        return []  # three points in one line leave the hook free to turn about it: two of them decide
    across_size = length(across)
    across = scale(across, 1.0 / across_size)
    onto = dot(third, axis)
    side = (onto**2 + across_size**2 + reach[0] ** 2 - reach[2] ** 2 - 2.0 * onto * along) / (
        2.0 * across_size
    )
    height2 = reach[0] ** 2 - along**2 - side**2
    if height2 < -SAME * reach[0] ** 2:
        return []
    height = math.sqrt(max(0.0, height2))
    foot = add(middle, scale(across, side))
    out = cross(axis, across)
    return [add(foot, scale(out, height)), subtract(foot, scale(out, height))]


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
