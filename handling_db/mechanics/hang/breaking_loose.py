"""Breaking loose: where the hook stands while a load is still held, and how it swings when it lets go.

While a load is still bolted down it cannot turn to suit the legs. A hook drawn up until it stops has pulled
as many legs straight as their lengths allow: it stands at the highest place that every leg reaches. If that
place is not plumb over the centre of gravity, the load swings under it in the moment it lets go.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from handling_db.mechanics.hang.hanging import ImpossibleLegsError, why_impossible
from handling_db.mechanics.hang.poses import highest_places
from handling_db.mechanics.vectors import (
    UP,
    Matrix,
    Vector,
    add,
    apply,
    dot,
    length,
    scale,
    subtract,
    unit,
)
from handling_db.quantities.amount import StaticsError


def highest_hook(picks: Mapping[str, Vector], lengths_m: Mapping[str, float], *, up: Vector = UP) -> Vector:
    """The highest place of a hook that every leg still reaches, with the load held still.

    Parameters
    ----------
    picks : mapping of str to Vector
        Pick points by name, in any frame. [m]
    lengths_m : mapping of str to float
        Length of each leg. [m]
    up : Vector
        Against gravity in that frame.

    Raises
    ------
    StaticsError
        No legs, or one without a length.
    ImpossibleLegsError
        The legs cannot meet at one hook.

    References
    ----------
    .. [1] Highest point of the common part of balls: it lies on the surface of at most three of them, with
       the vertical a sum of their outward normals with factors of zero or more (Karush-Kuhn-Tucker
       conditions).
    """
    if not picks:
        raise StaticsError("no pick points: name at least one, with its place.")
    names = list(picks)
    points = [picks[name] for name in names]
    reach = [lengths_m[name] for name in names]
    if not all(math.isfinite(size) and size > 0.0 for size in reach):
        raise StaticsError("every leg needs a length of more than 0 m.")
    (place,) = highest_hooks(picks, [lengths_m], up=up)
    if place is None:
        raise ImpossibleLegsError(why_impossible(names, points, reach))
    return place


def highest_hooks(
    picks: Mapping[str, Vector], lengths_m: Sequence[Mapping[str, float]], *, up: Vector = UP
) -> list[Vector | None]:
    """The highest places of a hook for several choices of leg lengths, asked at once.

    Parameters
    ----------
    picks : mapping of str to Vector
        One at least. [m]
    lengths_m : sequence of mapping of str to float
        [m]
    up : Vector

    Returns
    -------
    list of Vector or None
        None where a leg has no length, or the legs cannot meet.
    """
    reach = np.array([[lengths[name] for name in picks] for lengths in lengths_m]).reshape(-1, len(picks))
    usable = np.flatnonzero((np.isfinite(reach) & (reach > 0.0)).all(axis=1))
    found: list[Vector | None] = [None] * len(lengths_m)
    if len(usable):
        places = highest_places(np.array(list(picks.values())), reach[usable], np.array(unit(up)))
        for number, place in zip(usable.tolist(), places, strict=True):
            if np.isfinite(place).all():
                found[number] = (float(place[0]), float(place[1]), float(place[2]))
    return found


@dataclass(frozen=True, slots=True)
class Jump:
    """How the centre of gravity swings when the load lets go under a hook that stays where it is.

    Parameters
    ----------
    off_m : float
        Level distance of the hook from plumb over the centre of gravity: the level way of the centre until it
        hangs still. Without damping it swings up to about twice as far before it comes back. [m]
    off_high_m : float
        The largest over the doubt of the centre. [m]
    towards : Vector or None
        Level direction of the swing, in the frame of the points; None where there is none.
    """

    off_m: float
    off_high_m: float
    towards: Vector | None


def jump(hook: Vector, centre: Vector, *, patch: Vector = (0.0, 0.0, 0.0), up: Vector = UP) -> Jump:
    """The swing of a load that lets go under a hook.

    Parameters
    ----------
    hook, centre : Vector
        While it is still held. [m]
    patch : Vector
        Half-widths of the doubt of the centre, along the axes of the frame. [m]
    up : Vector
        Against gravity.

    References
    ----------
    .. [1] A body let go hangs with its centre plumb under the hook, whatever its legs; let go from rest, a
       swing without loss goes as far to the other side (any text on mechanics).
    """
    up = unit(up)

    def aside(line: Vector) -> Vector:
        return subtract(line, scale(up, dot(line, up)))

    line = subtract(hook, centre)
    off = length(aside(line))
    # The distance is convex in the place of the centre, so a corner of the patch is farthest.
    most = max(
        length(aside(subtract(line, (x * patch[0], y * patch[1], z * patch[2]))))
        for x in (-1.0, 1.0)
        for y in (-1.0, 1.0)
        for z in (-1.0, 1.0)
    )
    return Jump(off, max(off, most), unit(aside(line)) if off > 0.0 else None)


def way_of(point: Vector, held_hook: Vector, rest_hook: Vector, turn: Matrix) -> Vector:
    """How far a point of the load moves from where it is held to where it hangs still. [m]

    Parameters
    ----------
    point : Vector
        In the load's frame, which is the room's while it is held. [m]
    held_hook : Vector
        Where the hook stands in the room. [m]
    rest_hook : Vector
        Where the hook is seen from the load at rest, in the load's frame. [m]
    turn : Matrix
        From the load's frame to the room at rest.
    """
    return subtract(add(held_hook, apply(turn, subtract(point, rest_hook))), point)
