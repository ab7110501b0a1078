"""Volume, first and second moments of plain solids in closed form, and their sums and differences.

Every solid lies along the x axis and starts at x = 0, its axis through y = z = 0. The second moments are the
integrals of x², y² and z² over the volume, so adding and taking away are plain sums. They weigh nothing; they
show where more was cut away than there is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

Vector: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Solid:
    """What integrals over a volume say about it.

    Parameters
    ----------
    volume : float
        Negative for something taken away. [m³]
    first : tuple of 3 floats
        Integrals of x, y and z. [m⁴]
    second : tuple of 3 floats
        Integrals of x², y², z² about the origin. [m⁵]
    low, high : tuple of 3 floats
        Opposite corners of the box that encloses it. [m]
    """

    volume: float
    first: Vector
    second: Vector
    low: Vector
    high: Vector

    @property
    def centre(self) -> Vector:
        """Centre of the volume. [m]"""
        x, y, z = self.first
        return (x / self.volume, y / self.volume, z / self.volume)

    def central(self) -> Vector:
        """Second moments about the centre of the volume. [m⁵]"""
        x, y, z = self.centre
        return self.moved((-x, -y, -z)).second

    def moved(self, at: Vector) -> Solid:
        """The same solid with its origin at `at`. [m]"""
        v = self.volume
        return Solid(
            v,
            _vector(f + a * v for f, a in zip(self.first, at, strict=True)),
            _vector(s + 2 * a * f + a * a * v for s, f, a in zip(self.second, self.first, at, strict=True)),
            _vector(low + a for low, a in zip(self.low, at, strict=True)),
            _vector(high + a for high, a in zip(self.high, at, strict=True)),
        )

    def scaled(self, factor: float) -> Solid:
        """All integrals times a factor: a density, a fill factor, or -1 for what is taken away."""
        first, second = (_vector(factor * value for value in of) for of in (self.first, self.second))
        return Solid(factor * self.volume, first, second, self.low, self.high)


def add_solids(solids: Iterable[Solid]) -> Solid:
    """Add up solids that do not overlap; the enclosing box is that of all that is not taken away."""
    all_of = tuple(solids)
    kept = [solid for solid in all_of if solid.volume > 0] or list(all_of)
    return Solid(
        math.fsum(solid.volume for solid in all_of),
        _vector(math.fsum(solid.first[i] for solid in all_of) for i in range(3)),
        _vector(math.fsum(solid.second[i] for solid in all_of) for i in range(3)),
        _vector(min(solid.low[i] for solid in kept) for i in range(3)),
        _vector(max(solid.high[i] for solid in kept) for i in range(3)),
    )


def _vector(values: Iterable[float]) -> Vector:
    x, y, z = values
    return (x, y, z)


def revolved(square_radius: Sequence[float], length: float) -> Solid:
    """A solid of revolution about x whose squared radius is a polynomial of x.

    Parameters
    ----------
    square_radius : sequence of float
        Coefficients of 1, x, x² of the squared radius. [m², m, 1]
    length : float
        From x = 0. [m]

    Returns
    -------
    Solid
        Discs of area pi r², with second moments pi r⁴ / 4 about a diameter, integrated term by term.
    """
    square = list(square_radius)
    fourth = [0.0] * (2 * len(square) - 1)
    for i, a in enumerate(square):
        for j, b in enumerate(square):
            fourth[i + j] += a * b

    def integral(coefficients: Sequence[float], moment: int) -> float:
        return math.fsum(
            c * length ** (i + moment + 1) / (i + moment + 1) for i, c in enumerate(coefficients)
        )

    cross = math.pi / 4 * integral(fourth, 0)
    radius = math.sqrt(max(_value(square, x) for x in _turning_points(square, length)))
    return Solid(
        math.pi * integral(square, 0),
        (math.pi * integral(square, 1), 0.0, 0.0),
        (math.pi * integral(square, 2), cross, cross),
        (0.0, -radius, -radius),
        (length, radius, radius),
    )


def _value(coefficients: Sequence[float], x: float) -> float:
    return math.fsum(c * x**i for i, c in enumerate(coefficients))


def _turning_points(square: Sequence[float], length: float) -> list[float]:
    """Where the radius may be largest: the ends, and the top of the parabola if it lies between."""
    points = [0.0, length]
    if len(square) == 3 and square[2] != 0:
        top = -square[1] / (2 * square[2])
        if 0 < top < length:
            points.append(top)
    return points


def prism(area: float, about_y: float, about_z: float, length: float, half: tuple[float, float]) -> Solid:
    """A prism along x of a cross-section that is symmetric about y and z.

    Parameters
    ----------
    area : float
        Of the cross-section. [m²]
    about_y, about_z : float
        Integrals of z² and of y² over the cross-section. [m⁴]
    length : float
        From x = 0. [m]
    half : tuple of 2 floats
        Half of the width along y and of the height along z. [m]
    """
    return Solid(
        area * length,
        (area * length**2 / 2, 0.0, 0.0),
        (area * length**3 / 3, about_z * length, about_y * length),
        (0.0, -half[0], -half[1]),
        (length, half[0], half[1]),
    )


def bent_round(radius: float, bend: float, angle: float) -> Solid:
    """A round bar bent along an arc that starts at the origin along x and bends towards +y.

    Parameters
    ----------
    radius : float
        Of the bar. [m]
    bend : float
        Radius of the arc through its centre line, not less than `radius`. [m]
    angle : float
        Of the arc, up to a full turn. [rad]

    Returns
    -------
    Solid
        With r the distance from the centre of the bend, the integrals of r, r² and r³ over the round
        section are A R, A (R² + k²) and A (R³ + 3 R k²), where k² is a quarter of the squared radius.
    """
    area, k2 = math.pi * radius**2, radius**2 / 4
    one, two, three = area * bend, area * (bend**2 + k2), area * (bend**3 + 3 * bend * k2)
    sin, cos = math.sin(angle), math.cos(angle)
    # With phi the turn along the arc, x = r sin phi and y = bend - r cos phi.
    sin2, cos2 = angle / 2 - sin * cos / 2, angle / 2 + sin * cos / 2
    corners = [0.0, angle, *(turn for turn in (math.pi / 2, math.pi, 1.5 * math.pi) if turn < angle)]
    rims = [
        (r * math.sin(p), bend - r * math.cos(p)) for p in corners for r in (bend - radius, bend + radius)
    ]
    return Solid(
        one * angle,
        (two * (1 - cos), bend * one * angle - two * sin, 0.0),
        (
            three * sin2,
            bend**2 * one * angle - 2 * bend * two * sin + three * cos2,
            area * bend * k2 * angle,
        ),
        (min(x for x, _ in rims), min(y for _, y in rims), -radius),
        (max(x for x, _ in rims), max(y for _, y in rims), radius),
    )
