"""Vectors of three floats, rotations as tuples of rows, and small linear systems, in plain Python.

A placement reads `p_parent = at + Rz(yaw) Ry(pitch) Rx(roll) p_child`: right-handed, about the parent's
fixed axes, roll first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]

IDENTITY: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
UP: Vector = (0.0, 0.0, 1.0)


def add(*vectors: Vector) -> Vector:
    """Sum of any number of vectors."""
    return (
        math.fsum(v[0] for v in vectors),
        math.fsum(v[1] for v in vectors),
        math.fsum(v[2] for v in vectors),
    )


def subtract(a: Vector, b: Vector) -> Vector:
    """Vector from `b` to `a`."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(vector: Vector, factor: float) -> Vector:
    """`vector` times a number."""
    return (vector[0] * factor, vector[1] * factor, vector[2] * factor)


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product, right-handed."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def length(vector: Vector) -> float:
    """Euclidean length."""
    return math.hypot(*vector)


def distance(a: Vector, b: Vector) -> float:
    """Length of the way from `a` to `b`."""
    return math.dist(a, b)


def unit(vector: Vector) -> Vector:
    """`vector` made one long.

    Raises
    ------
    ValueError
        The vector has no length, so it points nowhere.
    """
    size = length(vector)
    if size == 0.0:
        raise ValueError("a vector without length has no direction")
    return (vector[0] / size, vector[1] / size, vector[2] / size)


def angle_between(a: Vector, b: Vector) -> float:
    """Angle between two directions, 0 to pi; exact for small angles too. [rad]"""
    return math.atan2(length(cross(a, b)), dot(a, b))


def any_across(direction: Vector) -> Vector:
    """Some unit vector square to `direction`."""
    least = min(range(3), key=lambda i: abs(direction[i]))
    axis: Vector = (float(least == 0), float(least == 1), float(least == 2))
    return unit(cross(direction, axis))


def apply(matrix: Matrix, vector: Vector) -> Vector:
    """`matrix` times `vector`."""
    return (dot(matrix[0], vector), dot(matrix[1], vector), dot(matrix[2], vector))


def transpose(matrix: Matrix) -> Matrix:
    """Rows and columns exchanged; for a rotation, the rotation back."""
    (a, b, c), (d, e, f), (g, h, i) = matrix
    return ((a, d, g), (b, e, h), (c, f, i))


def compose(second: Matrix, first: Matrix) -> Matrix:
    """The rotation that does `first` and then `second` (matrix product second x first)."""
    columns = transpose(first)
    a, b, c = second
    return (
        (dot(a, columns[0]), dot(a, columns[1]), dot(a, columns[2])),
        (dot(b, columns[0]), dot(b, columns[1]), dot(b, columns[2])),
        (dot(c, columns[0]), dot(c, columns[1]), dot(c, columns[2])),
    )


def rotation(roll: float, pitch: float, yaw: float) -> Matrix:
    """`Rz(yaw) Ry(pitch) Rx(roll)`: about fixed axes, roll first. Arguments in rad."""
    cr, sr = math.cos(roll), math.sin(roll)
    cp, sp = math.cos(pitch), math.sin(pitch)
    cy, sy = math.cos(yaw), math.sin(yaw)
    return (
        (cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr),
        (sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr),
        (-sp, cp * sr, cp * cr),
    )


def rotation_about(axis: Vector, angle: float) -> Matrix:
    """Right-handed turn by `angle` [rad] about `axis` through the origin (Rodrigues)."""
    x, y, z = unit(axis)
    c, s = math.cos(angle), math.sin(angle)
    t = 1.0 - c
    return (
        (t * x * x + c, t * x * y - s * z, t * x * z + s * y),
        (t * x * y + s * z, t * y * y + c, t * y * z - s * x),
        (t * x * z - s * y, t * y * z + s * x, t * z * z + c),
    )


def rotation_onto(source: Vector, target: Vector) -> Matrix:
    """The shortest rotation that lays direction `source` on direction `target`."""
    angle = angle_between(source, target)
    axis = cross(source, target)
    if length(axis) == 0.0:
        # Along each other, or exactly opposite: any axis across will do.
        axis = any_across(source)
    return rotation_about(axis, angle)


@dataclass(frozen=True, slots=True)
class PlacedFrame:
    """Where a child's datum sits in its parent's frame, and how it is turned there."""

    at: Vector = (0.0, 0.0, 0.0)
    turn: Matrix = IDENTITY

    def to_parent(self, point: Vector) -> Vector:
        """A point of the child, in the parent's frame."""
        return add(self.at, apply(self.turn, point))

    def then(self, outer: PlacedFrame) -> PlacedFrame:
        """This placement seen from the parent of `outer`, where `outer` places our parent."""
        return PlacedFrame(outer.to_parent(self.at), compose(outer.turn, self.turn))


Box = tuple[Vector, Vector]  # lowest corner and highest, along the axes


def corners_of(box: Box) -> list[Vector]:
    """The eight corners of a box, counted in binary: x first."""
    (ax, ay, az), (bx, by, bz) = box
    return [(x, y, z) for z in (az, bz) for y in (ay, by) for x in (ax, bx)]


def around(points: Iterable[Vector]) -> Box:
    """The box around some points, along the axes."""
    columns = list(zip(*points, strict=True))
    low, high = ([pick(column) for column in columns] for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def solve(columns: Sequence[Sequence[float]], right: Sequence[float]) -> tuple[list[float], float] | None:
    """Combine `columns` so that they come as near to `right` as they can (least squares).

    Parameters
    ----------
    columns : sequence of sequence of float
        The columns of the system, each as long as `right`; not more than rows.
    right : sequence of float
        The right-hand side.

    Returns
    -------
    tuple of (list of float, float), or None
        One factor per column and the length of what remains; None where the columns depend on one
        another, so that there is no single answer.

    References
    ----------
    .. [1] Golub and Van Loan, "Matrix Computations", modified Gram-Schmidt, done twice per column. From
       memory.
    """
    basis: list[list[float]] = []
    upper: list[list[float]] = []
    for column in columns:
        rest = list(column)
        size = math.hypot(*rest)
        row = [0.0] * len(basis)
        for _ in range(2):
            for k, direction in enumerate(basis):
                part = math.fsum(a * b for a, b in zip(direction, rest, strict=True))
                row[k] += part
                rest = [a - part * b for a, b in zip(rest, direction, strict=True)]
        left = math.hypot(*rest)
        if left <= 1e-10 * size or size == 0.0:
            return None
        basis.append([a / left for a in rest])
        upper.append([*row, left])
    remainder = list(right)
    along = []
    for direction in basis:
        part = math.fsum(a * b for a, b in zip(direction, remainder, strict=True))
        along.append(part)
        remainder = [a - part * b for a, b in zip(remainder, direction, strict=True)]
    factors = [0.0] * len(basis)
    for k in reversed(range(len(basis))):
        known = math.fsum(upper[j][k] * factors[j] for j in range(k + 1, len(basis)))
        factors[k] = (along[k] - known) / upper[k][k]
    return factors, math.hypot(*remainder)
