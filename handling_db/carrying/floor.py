"""What a floor, shelf or scale gets: shares per foot, point loads, load per area.

Statics alone does not say how four or more feet share a rigid body: one may hang free on an uneven floor.
So two things are given: the share on evenly stiff feet on a flat floor, and the lowest and highest share that
each foot can have at all.

References
----------
.. [1] Statics: sum of forces and of moments about two axes; feet push and cannot pull.
.. [2] Evenly stiff feet under a rigid body: least strain energy, so the shares lie on a plane over the floor.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from handling_db.carrying.checks import (
    GRAVITY,
    KG_PER_LB,
    M_PER_FT,
    MovingInputError,
    given,
    optional,
    plain,
)
from handling_db.carrying.demand import Demand, RatingBeside, against_rating
from handling_db.quantities.notice import Notice

MOST_FEET = 10  # the search below goes through every set of feet
Point = tuple[float, float]
AreaUnit = Literal["kg/m2", "kN/m2", "lb/ft2"]


class CentreOutsideFeetError(MovingInputError):
    """The centre of gravity is not over the area between the feet: it does not stand there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FootShares:
    """How the feet share what stands on them, as parts of one."""

    even: tuple[float, ...]  # evenly stiff feet, flat floor, best centre of gravity
    lowest: tuple[float, ...]  # lowest share each foot can have at all, patch included
    highest: tuple[float, ...]  # highest share each foot can have at all, patch included
    cautions: tuple[Notice, ...]


def foot_shares(feet: Sequence[Point], centre: Point, *, patch: Point | None = None) -> FootShares:
    """Share a load among feet with the centre of gravity off the middle.

    Parameters
    ----------
    feet : sequence of (x, y)
        Three to ten feet, not all in one line. [m]
    centre : (x, y)
        Centre of gravity seen from above, in the same frame. [m]
    patch : (dx, dy) or None
        Half-widths of its doubt; None: not recorded, which is said. [m]

    Returns
    -------
    FootShares
        Even shares, and the lowest and highest share of each foot over the whole patch.

    Raises
    ------
    CentreOutsideFeetError
        The best centre is outside the area between the feet.
    MovingInputError
        Too few or too many feet, all in one line, or a figure cannot be one.

    Examples
    --------
    >>> shares = foot_shares([(0, 0), (1, 0), (1, 1), (0, 1)], (0.5, 0.5), patch=(0.0, 0.0))
    >>> shares.even, shares.highest
    ((0.25, 0.25, 0.25, 0.25), (0.5, 0.5, 0.5, 0.5))
    """
    spots = _checked(feet)
    at = _point("the centre of gravity", centre)
    doubt = (0.0, 0.0) if patch is None else patch
    for axis, half in zip("xy", doubt, strict=True):
        given(f"the doubt of the centre along {axis}", half, "a half-width in metres, or 0", zero=True)
    even = _even(spots, at)
    if even is None:
        raise CentreOutsideFeetError(
            f"The centre of gravity at x {plain(at[0])} m, y {plain(at[1])} m is outside the area between "
            "the feet: it does not stand on them. Check the feet and the centre, or give other feet."
        )
    lowest, highest = [math.inf] * len(spots), [-math.inf] * len(spots)
    outside = False
    for spot in _patch_points(spots, at, doubt):
        found = False
        for shares in _three_at_a_time(spots, spot):
            found = True
            for foot, share in enumerate(shares):
                lowest[foot] = min(lowest[foot], share)
                highest[foot] = max(highest[foot], share)
        outside = outside or not found
    cautions = [Notice("feet for one point")] if patch is None else []
    if outside:
        cautions.append(Notice("patch outside the feet"))
    if len(spots) > 3:
        cautions.append(Notice("more than three feet"))
    return FootShares(
        even=even,
        lowest=tuple(lowest),
        highest=tuple(highest),
        cautions=tuple(cautions),
    )


def _point(name: str, point: Point) -> Point:
    x, y = point
    where = "it in metres"
    return given(f"x of {name}", x, where, signed=True), given(f"y of {name}", y, where, signed=True)


def _checked(feet: Sequence[Point]) -> list[Point]:
    """Check the feet and return them as a list."""
    if not 3 <= len(feet) <= MOST_FEET:
        raise MovingInputError(
            f"{len(feet)} feet given; give 3 to {MOST_FEET}. For a body on two runners give their four ends."
        )
    spots = [_point(f"foot {number}", foot) for number, foot in enumerate(feet, start=1)]
    if not any(_turn(*three) for three in itertools.combinations(spots, 3)):
        raise MovingInputError("All feet are in one line (or in one place): give feet that span an area.")
    return spots


def _turn(a: Point, b: Point, c: Point) -> float:
    """Twice the area of a triangle; zero where the three are in one line as far as figures can tell."""
    area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
    size = max(math.dist(a, b), math.dist(b, c), math.dist(a, c))
    return area if abs(area) > 1e-9 * size * size else 0.0


def _three_at_a_time(feet: Sequence[Point], at: Point) -> Iterator[tuple[float, ...]]:
    """Go through every way in which three of the feet carry all [1]; every extreme share is among them."""
    for chosen in itertools.combinations(range(len(feet)), 3):
        a, b, c = (feet[foot] for foot in chosen)
        area = _turn(a, b, c)
        if area == 0.0:
            continue
        parts = (_cross(b, c, at) / area, _cross(c, a, at) / area, _cross(a, b, at) / area)
        if min(parts) < -1e-9:
            continue  # a foot would have to pull
        shares = [0.0] * len(feet)
        for foot, part in zip(chosen, parts, strict=True):
            shares[foot] = min(1.0, max(0.0, part))
        yield tuple(shares)


def _cross(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])


def _patch_points(feet: Sequence[Point], at: Point, doubt: Point) -> list[Point]:
    """List the places of the patch where a share can be at its lowest or highest.

    Corners; where the line between two feet cuts an edge of the patch; feet inside the patch. (The
    vertices of the linear programme in the shares and the place together.)
    """
    xs, ys = (at[0] - doubt[0], at[0] + doubt[0]), (at[1] - doubt[1], at[1] + doubt[1])
    points = [at, *itertools.product(xs, ys)]
    points += [foot for foot in feet if xs[0] <= foot[0] <= xs[1] and ys[0] <= foot[1] <= ys[1]]
    for a, b in itertools.combinations(feet, 2):
        for axis, edges, across in ((0, xs, ys), (1, ys, xs)):
            run = b[axis] - a[axis]
            for edge in edges:
                if run == 0.0:
                    continue
                along = (edge - a[axis]) / run
                other = a[1 - axis] + along * (b[1 - axis] - a[1 - axis])
                if 0.0 <= along <= 1.0 and across[0] <= other <= across[1]:
                    points.append((edge, other) if axis == 0 else (other, edge))
    return list(dict.fromkeys(points))


def _even(feet: Sequence[Point], at: Point) -> tuple[float, ...] | None:
    """Shares on evenly stiff feet that cannot pull: the possible set with the least sum of squares [2]."""
    best: tuple[float, tuple[float, ...]] | None = None
    for count in range(3, len(feet) + 1):
        for chosen in itertools.combinations(range(len(feet)), count):
            parts = _plane_shares([feet[foot] for foot in chosen], at)
            if parts is None or min(parts) < -1e-9:
                continue
            strain = math.fsum(part * part for part in parts)
            if best is None or strain < best[0] - 1e-12:
                shares = [0.0] * len(feet)
                for foot, part in zip(chosen, parts, strict=True):
                    shares[foot] = max(0.0, part)
                best = (strain, tuple(shares))
    return None if best is None else best[1]


def _plane_shares(feet: Sequence[Point], at: Point) -> list[float] | None:
    """Shares that lie on a plane over the feet and balance the load; None where the feet are in one line."""
    count = len(feet)
    middle_x = math.fsum(x for x, _ in feet) / count
    middle_y = math.fsum(y for _, y in feet) / count
    around = [(x - middle_x, y - middle_y) for x, y in feet]
    xx = math.fsum(x * x for x, _ in around)
    yy = math.fsum(y * y for _, y in around)
    xy = math.fsum(x * y for x, y in around)
    determinant = xx * yy - xy * xy
    if determinant <= 1e-15 * (xx + yy) ** 2:
        return None
    off_x, off_y = at[0] - middle_x, at[1] - middle_y
    slope_x = (off_x * yy - off_y * xy) / determinant
    slope_y = (off_y * xx - off_x * xy) / determinant
    return [1.0 / count + slope_x * x + slope_y * y for x, y in around]


@dataclass(frozen=True, slots=True)
class FootFigure:
    """What one foot puts on the floor. [m, kg, kPa]

    Parameters
    ----------
    even_kg, highest_kg : float or None
        Even and highest share of the high figure; None while there is none.
    at_least_kg : float
        Lowest share of the low figure.
    pressure_kpa : float or None
        The highest over the area of the foot; None where either is not known.
    """

    at: Point
    even_kg: float | None
    highest_kg: float | None
    at_least_kg: float
    pressure_kpa: float | None


def point_loads(
    feet: Sequence[Point], shares: FootShares, load: Demand, foot_area: float | None
) -> tuple[FootFigure, ...]:
    """Turn shares into loads per foot.

    Parameters
    ----------
    feet : sequence of (x, y)
        As given to `foot_shares`. [m]
    shares : FootShares
        From `foot_shares`.
    load : Demand
        What stands there: piece, oil, packing, pallet or stand. [kg]
    foot_area : float or None
        Area of one foot on the floor; None: not recorded. [m2]

    Raises
    ------
    MovingInputError
        The area cannot be one.
    """
    area = optional("the area of a foot", foot_area, "it in square metres")
    low_kg, high_kg = load.low_kg or 0.0, load.high_kg
    loads = []
    for at, even, low, high in zip(feet, shares.even, shares.lowest, shares.highest, strict=True):
        if high_kg is None:
            loads.append(FootFigure(at, None, None, low * low_kg, None))
            continue
        pressure = None if area is None else high * high_kg * GRAVITY / area / 1000.0
        loads.append(FootFigure(at, even * high_kg, high * high_kg, low * low_kg, pressure))
    return tuple(loads)


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaLoad:
    """Load per area under a footprint, three ways of writing it, beside a stated limit."""

    kg_per_m2: float
    kn_per_m2: float
    lb_per_ft2: float
    beside: RatingBeside  # all in kg on this footprint
    cautions: tuple[Notice, ...]


def area_load(
    load: Demand,
    *,
    area: float | None,
    limit: float | None,
    limit_unit: AreaUnit | None,
    limit_name: str = "floor",
) -> AreaLoad:
    """Work out the load per area, and what the stated limit allows on this footprint.

    Parameters
    ----------
    load : Demand
        What stands there. [kg]
    area : float or None
        Footprint that really bears on the floor. [m2]
    limit : float or None
        Stated limit of the floor; None: not stated. [limit_unit]
    limit_unit : str or None
        "kg/m2", "kN/m2" or "lb/ft2"; needed with a limit.
    limit_name : str
        Which floor, lift, scale or shelf.

    Returns
    -------
    AreaLoad
        kg/m2, kN/m2 (with g = 9.80665 m/s2), lb/ft2; comparison with the limit; cautions.

    Raises
    ------
    MovingInputError
        The area or every mass is missing, the limit has no unit, or a figure cannot be one.

    Examples
    --------
    >>> load = Demand(name="unit on pallet", low_kg=1275, high_kg=1275)
    >>> floor = area_load(load, area=0.96, limit=None, limit_unit=None)
    >>> round(floor.kg_per_m2), round(floor.kn_per_m2, 1), round(floor.lb_per_ft2)
    (1328, 13.0, 272)
    """
    footprint = given("the footprint", area, "the area that bears on the floor, in square metres")
    at_least = load.high_kg is None
    mass = given(f"the mass of {load.name}", load.low_kg if at_least else load.high_kg, "it in kg", zero=True)
    per_area = mass / footprint
    allowed: float | None = None
    if limit is not None:
        stated = given(f"the limit of {limit_name}", limit, "it with its unit")
        per_unit: dict[str | None, float] = {
            "kg/m2": 1.0,
            "kN/m2": 1000.0 / GRAVITY,
            "lb/ft2": KG_PER_LB / M_PER_FT**2,
        }
        if limit_unit not in per_unit:
            raise MovingInputError(
                f"the limit of {limit_name}, {plain(stated)}, has no unit that is known here: "
                "write kg/m2, kN/m2 or lb/ft2."
            )
        allowed = stated * per_unit[limit_unit] * footprint
    beside = against_rating(load, limit_name, allowed, Notice("by the area"))
    return AreaLoad(
        kg_per_m2=per_area,
        kn_per_m2=per_area * GRAVITY / 1000.0,
        lb_per_ft2=per_area / KG_PER_LB * M_PER_FT**2,
        beside=beside,
        cautions=(Notice("area says nothing of feet"), Notice("mover not counted"), *beside.cautions),
    )
