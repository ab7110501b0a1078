"""Whether a hanging load stays the right way up: heights of carrying points over the centre, and shifts.

A load on one point, or on a line of points, hangs like a pendulum: it stays as it is only while the point or
the line is above the centre of gravity. On three and more tight legs it cannot swing at all until the centre
lies beyond the plane of two neighbouring legs; then the others slacken, and the same holds for the two.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from handling_db.mechanics.hang.poses import Bools, Floats, Poses

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
    pair: Floats
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
    ways = points - poses.hook[:, None, :]
    spare = reach - np.linalg.norm(ways, axis=2)
    tight = (poses.pulls > 0.0) | (spare <= give)
    height, pair = _line_height(points, centres, up, tight, poses)
    shift = np.full(number, np.inf)
    lean = np.full(number, np.inf)
    margin = height.copy()
    found_any = np.zeros(number, dtype=bool)
    down = centres - poses.hook
    depth = np.linalg.norm(down, axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        plumb = -down / depth[:, None]
        ways = ways / np.linalg.norm(ways, axis=2, keepdims=True)
        for i, j in combinations(range(legs), 2):
            normal = np.cross(ways[:, i], ways[:, j])
            size = np.linalg.norm(normal, axis=1)
            normal = normal / size[:, None]
            sides = np.where(tight, np.einsum("nkj,nj->nk", ways, normal), 0.0)
            inward = np.where(sides.max(axis=1) > SQUARE, 1.0, -1.0)
            one_side = (sides * inward[:, None]).min(axis=1) >= -SQUARE
            proper = np.abs(sides).max(axis=1) > SQUARE
            face = tight[:, i] & tight[:, j] & one_side & proper & (size > SQUARE)
            if not face.any():
                continue
            normal = normal * inward[:, None]
            off = np.einsum("nj,nj->n", normal, down)
            level = np.linalg.norm(normal - np.einsum("nj,nj->n", normal, plumb)[:, None] * plumb, axis=1)
            own = off / level
            # The centre is carried level to the plane of the two legs: there they hold it alone.
            inside = normal - np.einsum("nj,nj->n", normal, plumb)[:, None] * plumb
            there = centres - (own / level)[:, None] * inside
            over = _over_line(points[i], points[j], there, plumb)
            face &= np.isfinite(own)
            worst = np.maximum(own, over)
            new = face & (~found_any | (worst < margin))
            margin = np.where(new, worst, margin)
            new = face & (own < shift)
            shift = np.where(new, own, shift)
            height = np.where(new, over, height)
            lean = np.where(new, np.arcsin(np.clip(off / depth, -1.0, 1.0)), lean)
            pair[new] = (i, j)
            found_any |= face
    return Margins(height, shift, lean, pair, margin)


def _line_height(
    points: Floats, centres: Floats, up: Floats, tight: Bools, poses: Poses
) -> tuple[Floats, Floats]:
    """Height over the centre, in the attitude asked about, of the point or line that carries now."""
    number = len(centres)
    height = np.full(number, np.nan)
    pair = np.full((number, 2), -1)
    pulls = np.where(poses.pulls > 0.0, poses.pulls, np.where(tight, 0.0, -1.0))
    order = np.argsort(-pulls, axis=1, kind="stable")
    for row in np.unique(np.column_stack([order[:, :2], (pulls > 0.0).sum(axis=1) > 1]), axis=0):
        first = int(row[0])
        two = points.shape[0] > 1 and bool(row[-1])
        own = (order[:, 0] == first) & (((pulls > 0.0).sum(axis=1) > 1) == two)
        if two:
            second = int(row[1])
            own &= order[:, 1] == second
            height[own] = _over_line(points[first], points[second], centres[own], up)
            pair[own] = (first, second)
        else:
            height[own] = (points[first] - centres[own]) @ up
            pair[own, 0] = first
    return height, pair


def _over_line(first: Floats, second: Floats, centres: Floats, up: Floats) -> Floats:
    """How far the line of two points runs above centres, square to it. [m]"""
    axis = second - first
    size = float(np.linalg.norm(axis))
    rows = np.broadcast_to(up, centres.shape)
    if size == 0.0:
        return np.asarray(np.einsum("nj,nj->n", first - centres, rows))
    axis = axis / size
    square = rows - (rows @ axis)[:, None] * axis
    steep = np.linalg.norm(square, axis=1)
    # Points above one another: the load hangs from the upper one and cannot go over about their line.
    upper = np.maximum(
        np.einsum("nj,nj->n", first - centres, rows), np.einsum("nj,nj->n", second - centres, rows)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        over = np.einsum("nj,nj->n", first - centres, square / steep[:, None])
    return np.asarray(np.where(steep > 1e-6, over, upper))
