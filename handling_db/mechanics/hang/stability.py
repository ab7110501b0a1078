"""Whether a hanging load stays the right way up: heights of carrying points over the centre, and shifts.

A load on one point, or on a line of points, hangs like a pendulum: it stays as it is only while the point or
the line is above the centre of gravity. On three and more tight legs it cannot swing at all until the centre
lies beyond the plane of two neighbouring legs; then the others slacken, and the same holds for the two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from handling_db.mechanics.hang.columns import (
    Bools,
    Columns,
    Floats,
    Rows,
    columns,
    crosses,
    dots,
    less,
    over,
    picked,
    sizes,
    times,
)
from handling_db.mechanics.hang.poses import Poses

# Below this a direction is square to another, or points lie in one line.
SQUARE = 1e-9


@dataclass(frozen=True, slots=True)
class Margins:
    """How far each load is from turning over. An array with a row per load each. [m, rad]

    Parameters
    ----------
    height : array (n,)
        Of the point or line that carries, or that carries once the first leg slackens, over the centre.
    shift : array (n,)
        Sideways way of the centre until a leg slackens; infinite for one or two carrying legs.
    shift_tilt : array (n,)
        The same as an angle at the hook.
    pair : array (n, 2) of int
        The two that carry then; -1 where there is no second.
    margin : array (n,)
        Nothing or less where it turns over: the least over every way in which legs can slacken of the larger
        of shift and height.
    """

    height: Floats
    shift: Floats
    shift_tilt: Floats
    pair: Rows
    margin: Floats


def margins(
    points: Floats, reach: Floats, centres: Floats, up: Floats, poses: Poses, give: Floats
) -> Margins:
    """Heights and shifts of loads in their resting poses.

    Parameters
    ----------
    points, reach, centres, up
        As in `poses.candidates`.
    poses : Poses
        Their resting poses.
    give : array (legs,)
        A leg with no more than this to spare counts as tight: it takes over at once. [m]

    References
    ----------
    .. [1] P11.3, closed form: one point, or a line of points, at a height d over the centre is stable for
       d > 0; derived (a pendulum).
    """
    number, legs = reach.shape
    hook, middle = columns(poses.hook), columns(centres)
    ways, tight = [], []
    for leg, point in enumerate(points):
        way = less(point, hook)
        size = sizes(way)
        tight.append((poses.pulls[:, leg] > 0.0) | (reach[:, leg] - size <= give[leg]))
        ways.append((way, size))
    height, pair = _line_height(points, middle, up, np.column_stack(tight), poses)
    shift = np.full(number, np.inf)
    lean = np.full(number, np.inf)
    margin = height.copy()
    found_any = np.zeros(number, dtype=bool)
    down = less(middle, hook)
    depth = sizes(down)
    with np.errstate(invalid="ignore", divide="ignore"):
        plumb = over((-down[0], -down[1], -down[2]), depth)
        units = [over(way, size) for way, size in ways]
        for i, j in combinations(range(legs), 2):
            normal = crosses(units[i], units[j])
            size = sizes(normal)
            normal = over(normal, size)
            sides = np.array([np.where(tight[k], dots(units[k], normal), 0.0) for k in range(legs)])
            inward = np.where(sides.max(axis=0) > SQUARE, 1.0, -1.0)
            one_side = (sides * inward).min(axis=0) >= -SQUARE
            proper = np.abs(sides).max(axis=0) > SQUARE
            face = np.flatnonzero(tight[i] & tight[j] & one_side & proper & (size > SQUARE))
            if not len(face):
                continue
            normal = times(picked(normal, face), inward[face])
            off = dots(normal, picked(down, face))
            across = picked(plumb, face)
            inside = less(normal, times(across, dots(normal, across)))
            level = sizes(inside)
            own = off / level
            # The centre is carried level to the plane of the two legs: there they hold it alone.
            there = less(picked(middle, face), times(inside, own / level))
            line = _over_line(points[i], points[j], there, across)
            worst = np.maximum(own, line)
            proved = np.isfinite(own)
            new = proved & (~found_any[face] | (worst < margin[face]))
            margin[face[new]] = worst[new]
            new = proved & (own < shift[face])
            rows = face[new]
            shift[rows] = own[new]
            height[rows] = line[new]
            lean[rows] = np.arcsin(np.clip(off[new] / depth[rows], -1.0, 1.0))
            pair[rows] = (i, j)
            found_any[face[proved]] = True
    return Margins(height, shift, lean, pair, margin)


def _line_height(
    points: Floats, centres: Columns, up: Floats, tight: Bools, poses: Poses
) -> tuple[Floats, Rows]:
    """Height over the centre, in the attitude asked about, of the point or line that carries now."""
    number, legs = tight.shape
    height = np.full(number, np.nan)
    pair = np.full((number, 2), -1)
    pulls = np.where(poses.pulls > 0.0, poses.pulls, np.where(tight, 0.0, -1.0))
    order = np.argsort(-pulls, axis=1, kind="stable")
    second = order[:, 1] if legs > 1 else np.full(number, -1)
    several = ((pulls > 0.0).sum(axis=1) > 1) & (legs > 1)
    # one number for who carries: the first, and the second where there is one
    carry = order[:, 0] * (legs + 1) + np.where(several, second + 1, 0)
    for found in np.unique(carry):
        rows = np.flatnonzero(carry == found)
        one, two = divmod(int(found), legs + 1)
        own = picked(centres, rows)
        if two:
            height[rows] = _over_line(points[one], points[two - 1], own, up)
            pair[rows] = (one, two - 1)
        else:
            height[rows] = dots(less(points[one], own), up)
            pair[rows, 0] = one
    return height, pair


def _over_line(first: Floats, second: Floats, centres: Columns, up: Columns | Floats) -> Floats:
    """How far the line of two points runs above centres, square to it. [m]"""
    axis = second - first
    size = math.sqrt(axis.dot(axis))
    below = less(first, centres)
    if size == 0.0:
        return dots(below, up)
    axis = axis / size
    along = dots(up, axis)
    x, y, z = (part - along * one for part, one in zip(up, axis, strict=True))
    steep = sizes((x, y, z))
    with np.errstate(invalid="ignore", divide="ignore"):
        line = dots(below, (x / steep, y / steep, z / steep))
    if (steep > 1e-6).all():
        return line
    # Points above one another: the load hangs from the upper one and cannot go over about their line.
    upper = np.maximum(dots(below, up), dots(less(second, centres), up))
    return np.asarray(np.where(steep > 1e-6, line, upper))
