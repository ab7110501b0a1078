"""Where a liquid lies in a closed box that is tilted: all of it at the lowest side, its surface level.

The box is cut into six tetrahedra around one diagonal; what lies below a level plane of each is a small
tetrahedron, a wedge, or the whole less a small one at the top.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from handling_db.mechanics.vectors import Vector, dot
from handling_db.quantities.amount import StaticsError

# Corners count in binary; each row goes from corner 0 to corner 7 along one edge of the box after the other.
_TETRAHEDRA = ((0, 1, 3, 7), (0, 1, 5, 7), (0, 2, 3, 7), (0, 2, 6, 7), (0, 4, 5, 7), (0, 4, 6, 7))
_Tetrahedron = tuple[Vector, Vector, Vector, Vector]


def settled(corners: Sequence[Vector], volume: float, up: Vector) -> Vector:
    """Centre of a liquid at rest in a box.

    Parameters
    ----------
    corners : sequence of eight Vector
        Of the box (any parallelepiped), counted in binary: first edge, second edge, third edge. [m]
    volume : float
        Of the liquid; more than the box holds: the middle of the box. [m³]
    up : Vector
        Which way is up, in the frame of the corners.

    Returns
    -------
    Vector
        Centre of the liquid, in the frame of the corners. [m]

    Raises
    ------
    StaticsError
        No liquid, or not eight corners.

    References
    ----------
    .. [1] Hydrostatics: a liquid at rest has a level surface and lies below it (any text).
    """
    if len(corners) != 8 or not volume > 0.0:
        raise StaticsError("a liquid that settles needs a volume above 0 and the eight corners of its box.")
    pieces = [_by_height(tuple(corners[i] for i in row), up) for row in _TETRAHEDRA]
    whole = math.fsum(piece.volume for piece in pieces)
    heights = [dot(corner, up) for corner in corners]
    low, high = min(heights), max(heights)
    if volume >= whole or high - low <= 0.0:
        return _centre([(piece.volume, piece.corners) for piece in pieces if piece.volume > 0.0], corners)
    # The volume below a plane grows with its height: halve the way until nothing is left of it.
    for _ in range(40):
        level = (low + high) / 2
        if math.fsum([part for piece in pieces for part, _ in _below(piece, level)]) < volume:
            low = level
        else:
            high = level
    return _centre([found for piece in pieces for found in _below(piece, high)], corners)


class _Piece(NamedTuple):
    """One tetrahedron, its corners from the lowest to the highest, with their heights."""

    corners: _Tetrahedron
    heights: tuple[float, float, float, float]
    volume: float


def _by_height(corners: Sequence[Vector], up: Vector) -> _Piece:
    a, b, c, d = sorted(corners, key=lambda corner: dot(corner, up))
    return _Piece((a, b, c, d), (dot(a, up), dot(b, up), dot(c, up), dot(d, up)), _volume((a, b, c, d)))


def _volume(corners: _Tetrahedron) -> float:
    (x, y, z), b, c, d = corners
    x1, y1, z1 = b[0] - x, b[1] - y, b[2] - z
    x2, y2, z2 = c[0] - x, c[1] - y, c[2] - z
    x3, y3, z3 = d[0] - x, d[1] - y, d[2] - z
    six = x1 * (y2 * z3 - z2 * y3) - y1 * (x2 * z3 - z2 * x3) + z1 * (x2 * y3 - y2 * x3)
    return abs(six) / 6.0


def _middle(corners: _Tetrahedron) -> Vector:
    (x1, y1, z1), (x2, y2, z2), (x3, y3, z3), (x4, y4, z4) = corners
    return (
        math.fsum((x1, x2, x3, x4)) / 4,
        math.fsum((y1, y2, y3, y4)) / 4,
        math.fsum((z1, z2, z3, z4)) / 4,
    )


def _below(piece: _Piece, level: float) -> list[tuple[float, _Tetrahedron]]:
    """What of a tetrahedron lies below a level: volumes, less than nothing for what is taken away,
    with their corners. [m³, m]"""
    a, b, c, d = piece.corners
    ha, hb, hc, hd = piece.heights
    if level <= ha:
        return []
    if level >= hd:
        return [(piece.volume, piece.corners)]

    def cut(p: Vector, hp: float, q: Vector, hq: float) -> Vector:
        t = (level - hp) / (hq - hp)
        return (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]), p[2] + t * (q[2] - p[2]))

    if level <= hb:
        small = (a, cut(a, ha, b, hb), cut(a, ha, c, hc), cut(a, ha, d, hd))
        return [(_volume(small), small)]
    if level >= hc:
        top = (d, cut(d, hd, a, ha), cut(d, hd, b, hb), cut(d, hd, c, hc))
        return [(piece.volume, piece.corners), (-_volume(top), top)]
    ac, ad = cut(a, ha, c, hc), cut(a, ha, d, hd)
    bc, bd = cut(b, hb, c, hc), cut(b, hb, d, hd)
    wedge = ((a, b, bc, bd), (a, ac, ad, bd), (a, ac, bc, bd))
    return [(_volume(part), part) for part in wedge]


def _centre(found: Sequence[tuple[float, _Tetrahedron]], corners: Sequence[Vector]) -> Vector:
    volume = math.fsum(part for part, _ in found)
    if volume <= 0.0:  # a drop: the lowest corner holds it, to rounding
        return corners[0] if not found else _middle(found[0][1])
    placed = [(part, _middle(of)) for part, of in found]
    return (
        math.fsum(part * at[0] for part, at in placed) / volume,
        math.fsum(part * at[1] for part, at in placed) / volume,
        math.fsum(part * at[2] for part, at in placed) / volume,
    )
