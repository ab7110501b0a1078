"""Standing on a face: support polygon, tip angle over every edge, push that tips, and tip or slide.

Static figures on a flat surface: braking, bumps, soft ground and sloshing oil come on top and are not in
them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from handling_db.quantities.amount import StaticsError, needed_mass, newtons
from handling_db.quantities.amount import reading as reading_of

# A face with less area than this part of its length squared is a line that rounding made wide.
THINNEST = 1e-9

Flat = tuple[float, float]  # a point on the floor [m]


class NotStandingError(StaticsError):
    """The centre of gravity is outside the resting face, or may be; `surely` tells which.

    Parameters
    ----------
    outside_m : float
        By how much. [m]
    surely : bool
    """

    def __init__(self, outside_m: float, *, surely: bool) -> None:
        self.outside_m = outside_m
        self.surely = surely
        super().__init__(
            f"the centre of gravity is {outside_m * 1000:.0f} mm outside the face: it does not stand there."
            if surely
            else f"the centre of gravity may be {outside_m * 1000:.0f} mm outside the face, within what is "
            "known of it: it may not stand there."
        )


def support_polygon(points: Sequence[Flat]) -> tuple[Flat, ...]:
    """Convex hull of the points that touch the floor, against the clock, without points along an edge.

    Raises
    ------
    StaticsError
        Fewer than three points that span an area: nothing can stand on a line.

    References
    ----------
    .. [1] Andrew's monotone chain (1979). From memory.
    """
    return _hull(tuple(points))


@lru_cache(maxsize=64)  # the same round face is asked about again and again
def _hull(points: tuple[Flat, ...]) -> tuple[Flat, ...]:
    held = sorted(set(points))
    size = max((math.dist(held[0], p) for p in held), default=0.0) if held else 0.0

    def chain(run: Sequence[Flat]) -> list[Flat]:
        out: list[Flat] = []
        for point in run:
            while len(out) >= 2 and _turn(out[-2], out[-1], point) <= 0:
                out.pop()
            out.append(point)
        return out[:-1]

    hull = chain(held) + chain(held[::-1])
    area = sum(float(_turn(hull[0], a, b)) for a, b in pairwise(hull[1:])) / 2.0
    if len(hull) < 3 or area <= THINNEST * size * size:
        raise StaticsError("a resting face needs at least three points that are not in one line.")
    return tuple(hull)


def _turn(a: Flat, b: Flat, c: Flat) -> Fraction:
    """More than nothing for a turn against the clock; exact, so that no corner is lost to rounding."""
    ax, ay = Fraction(a[0]), Fraction(a[1])
    return (Fraction(b[0]) - ax) * (Fraction(c[1]) - ay) - (Fraction(b[1]) - ay) * (Fraction(c[0]) - ax)


@dataclass(frozen=True, slots=True)
class EdgeOfFace:
    """One edge of the support polygon and what it takes to go over it."""

    start: Flat
    end: Flat
    base_m: float  # level distance from the centre of gravity to the edge, its doubt taken off [m]
    best_base_m: float  # the same without the doubt [m]
    tips_at: float  # tilt of the floor, or of the load, at which it goes over, slope taken off [rad]
    best_tips_at: float  # the same without doubt and slope [rad]


@dataclass(frozen=True, slots=True)
class FaceStanding:
    """A load on one of its faces."""

    polygon: tuple[Flat, ...]
    edges: tuple[EdgeOfFace, ...]
    height_m: float  # of the centre of gravity, upper [m]

    @property
    def weakest(self) -> EdgeOfFace:
        """The edge it goes over first."""
        return min(self.edges, key=lambda edge: edge.tips_at)


def stand(
    face: Sequence[Flat],
    centre: Flat | None,
    height_m: float | None,
    *,
    patch: tuple[float, float, float] = (0.0, 0.0, 0.0),
    slope: float = 0.0,
) -> FaceStanding:
    """Base distance and static tip angle over every edge of a resting face.

    Parameters
    ----------
    face : sequence of Flat
        Points that touch the floor. [m]
    centre : Flat or None
        Centre of gravity over the floor; None where it is not known. [m]
    height_m : float or None
        Height of the centre of gravity over the face. [m]
    patch : tuple of float
        Half-widths of its doubt: both floor directions and height. [m]
    slope : float
        Slope of the floor, in whatever direction; it is taken off every edge. [rad]

    Returns
    -------
    FaceStanding
        Edge by edge; the weakest is named.

    Raises
    ------
    StaticsError
        No place of the centre of gravity, or it is, or may be, outside the face: then it does not stand
        there.

    References
    ----------
    .. [1] Static tipping: the plumb line through the centre of gravity passes the edge; tilt = atan(base /
       height) (any statics text).
    """
    if centre is None or height_m is None:
        raise StaticsError(
            "the place of the centre of gravity is not known, so no tip angle can be given: a part without "
            "a mass or "
            "a place may sit anywhere on it."
        )
    if height_m < 0.0 or min(patch) < 0.0 or not 0.0 <= slope < math.pi / 2:
        raise StaticsError("height, doubt and slope must be 0 or more, and the slope less than 90°.")
    polygon = support_polygon(face)
    upper = height_m + patch[2]
    edges = []
    for start, end in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        size = math.dist(start, end)
        outward = ((end[1] - start[1]) / size, (start[0] - end[0]) / size)
        best = (start[0] - centre[0]) * outward[0] + (start[1] - centre[1]) * outward[1]
        base = best - abs(outward[0]) * patch[0] - abs(outward[1]) * patch[1]
        edges.append(
            EdgeOfFace(
                start,
                end,
                base,
                best,
                math.atan2(base, upper) - slope,
                math.atan2(best, height_m),
            )
        )
    least = min(edges, key=lambda edge: edge.base_m)
    # The one whose best place is farthest outside tells whether it is outside for certain.
    if (most := min(edge.best_base_m for edge in edges)) <= 0.0:
        raise NotStandingError(-most, surely=True)
    if least.base_m <= 0.0:
        raise NotStandingError(-least.base_m, surely=False)
    return FaceStanding(polygon, tuple(edges), upper)


def tipping_push_n(mass_kg: float | None, base_m: float, height_m: float) -> float:
    """Level push at a height that starts to tip a load over an edge: P = W x base / height. [N]

    Raises
    ------
    UnknownMassError
        The mass is not known.
    StaticsError
        A base or height that is not positive.
    """
    mass = needed_mass(mass_kg, "push that tips it")
    if not (base_m > 0.0 and height_m > 0.0):
        raise StaticsError("base and height of the push must be more than 0.")
    return newtons(mass) * base_m / height_m


@dataclass(frozen=True, slots=True)
class TipOrSlide:
    """What a growing level push does first."""

    first: str  # "tips", "slides", "either"
    tips_at_n: float
    slides_at_n: float

    @property
    def at_kg(self) -> float:
        """The smaller of the two, as a pull cell would show it. [kg]"""
        return reading_of(min(self.tips_at_n, self.slides_at_n))


def tip_or_slide(mass_kg: float | None, base_m: float, height_m: float, friction: float) -> TipOrSlide:
    """Whether a level push tips a load or slides it first: base / height against the friction coefficient.

    Parameters
    ----------
    mass_kg : float or None
        [kg]
    base_m : float
        Centre of gravity to the edge away from the push. [m]
    height_m : float
        Of the push over the floor. [m]
    friction : float
        Coefficient between load and floor.

    Raises
    ------
    UnknownMassError
        The mass is not known.
    StaticsError
        A base or height that is not positive, or a negative coefficient.
    """
    if not (math.isfinite(friction) and friction >= 0.0):
        raise StaticsError(f"a friction coefficient is 0 or more, not {friction!r}.")
    tips = tipping_push_n(mass_kg, base_m, height_m)
    slides = newtons(needed_mass(mass_kg, "push that slides it")) * friction
    if math.isclose(tips, slides, rel_tol=1e-12):
        first = "either"
    else:
        first = "tips" if tips < slides else "slides"
    return TipOrSlide(first, tips, slides)
