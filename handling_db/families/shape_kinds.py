"""The kinds of shape, each a function of its dimensions in metres.

Formulas for volumes and moments are those of any table of solids; they are derived in `solids` and checked
against meshes in the tests. Gears and bolts are approximations and say so.
"""

from __future__ import annotations

import math

from handling_db.families.shape_figures import ShapeError
from handling_db.families.shapes import Shape, ShapePiece, together, without
from handling_db.mechanics.solids import Solid, bent_round, prism, revolved

_LARGEST = 50.0  # m: anything larger was most likely written in mm
_SLACK = 1e-9

GEAR_REMARK = (
    "gear taken as a disc of its pitch diameter; teeth and gaps are taken to cancel, within about 5 %"
)
BOLT_REMARK = (
    "bolt taken as a full round of its thread size under a hexagon head; a thread cut all along is lighter"
)


def _check(**lengths: float) -> None:
    """Refuse lengths that are not above zero, or that are most likely not in metres."""
    for name, value in lengths.items():
        shown = name.replace("_", " ")
        if not math.isfinite(value) or value <= 0:
            raise ShapeError(f"{shown} is {1000 * value:g} mm; it must be more than zero")
        if value > _LARGEST:
            raise ShapeError(f"{shown} is {value:g} m; shapes go up to {_LARGEST:g} m, so check the unit")


def _check_wall(wall: float, across: float, name: str) -> None:
    if wall >= across / 2:
        raise ShapeError(
            f"the wall of {1000 * wall:g} mm is not thinner than half of the {name}, {500 * across:g} mm"
        )


def _shape(solid: Solid) -> Shape:
    return Shape((ShapePiece(solid),))


def cylinder(*, diameter: float, length: float) -> Shape:
    """A solid round bar. [m]"""
    _check(diameter=diameter, length=length)
    return _shape(revolved([diameter**2 / 4], length))


def tube(*, outside: float, length: float, inside: float | None = None, wall: float | None = None) -> Shape:
    """A round tube by its outside diameter and either its inside diameter or its wall. [m]

    Raises
    ------
    ShapeError
        Both or neither are given, or the inside is not smaller than the outside.
    """
    _check(outside=outside, length=length)
    if (inside is None) == (wall is None):
        raise ShapeError("a tube needs its inside diameter or its wall, one of the two")
    if wall is not None:
        _check(wall=wall)
        _check_wall(wall, outside, "outside")
        inside = outside - 2 * wall
    assert inside is not None
    return _bored(cylinder(diameter=outside, length=length), outside, inside, length, "inside", "outside")


def _bored(body: Shape, across: float, bore: float | None, length: float, name: str, of: str) -> Shape:
    """A body with a round hole all along its axis; `across` is what the hole must stay inside of. [m]"""
    if bore is None:
        return body
    _check(**{name: bore})
    if bore >= across:
        raise ShapeError(
            f"the {name} of {1000 * bore:g} mm is not smaller than the {of} of {1000 * across:g} mm"
        )
    return without(body, cylinder(diameter=bore, length=length))


def disc(*, diameter: float, thickness: float, bore: float | None = None) -> Shape:
    """A flat disc, with a bore if it has one. [m]"""
    _check(diameter=diameter, thickness=thickness)
    body = cylinder(diameter=diameter, length=thickness)
    return _bored(body, diameter, bore, thickness, "bore", "diameter")


def ring(*, outside: float, inside: float, thickness: float) -> Shape:
    """A flat ring. [m]"""
    _check(outside=outside, inside=inside, thickness=thickness)
    body = cylinder(diameter=outside, length=thickness)
    return _bored(body, outside, inside, thickness, "inside", "outside")


def box(*, length: float, width: float, height: float) -> Shape:
    """A solid box: length along x, width along y, height along z. [m]"""
    _check(length=length, width=width, height=height)
    area = width * height
    return _shape(prism(area, area * height**2 / 12, area * width**2 / 12, length, (width / 2, height / 2)))


def plate(*, length: float, width: float, thickness: float, bore: float | None = None) -> Shape:
    """A plate with its thickness along x, its length along z and its width along y. [m]"""
    _check(length=length, width=width, thickness=thickness)
    body = box(length=thickness, width=width, height=length)
    return _bored(body, min(length, width), bore, thickness, "bore", "smaller side")


def rectangular_tube(*, width: float, height: float, wall: float, length: float) -> Shape:
    """A hollow box open at both ends, by its outside width along y and height along z. [m]"""
    _check(width=width, height=height, wall=wall, length=length)
    _check_wall(wall, min(width, height), "smaller side")
    hole = box(length=length, width=width - 2 * wall, height=height - 2 * wall)
    return without(box(length=length, width=width, height=height), hole)


def cone_frustum(*, diameter: float, end_diameter: float, length: float, bore: float | None = None) -> Shape:
    """A cone cut off: `diameter` at x = 0, `end_diameter` (zero for a full cone) at the far end. [m]"""
    _check(diameter=diameter, length=length)
    if end_diameter:
        _check(end_diameter=end_diameter)
    a, slope = diameter / 2, (end_diameter - diameter) / 2 / length
    body = _shape(revolved([a * a, 2 * a * slope, slope * slope], length))
    return _bored(body, min(diameter, end_diameter), bore, length, "bore", "smaller end")


def hexagon_prism(*, across_flats: float, length: float, bore: float | None = None) -> Shape:
    """A hexagonal bar or nut; a corner points along y, the flats lie along z. [m]"""
    _check(across_flats=across_flats, length=length)
    area = math.sqrt(3) / 2 * across_flats**2
    second = 5 * math.sqrt(3) / 144 * across_flats**4
    half = (across_flats / math.sqrt(3), across_flats / 2)
    return _bored(
        _shape(prism(area, second, second, length, half)), across_flats, bore, length, "bore", "flats"
    )


def sphere_cap(*, base_diameter: float, height: float) -> Shape:
    """A cap of a sphere on its flat base at x = 0, half a sphere when it is half as high as wide. [m]"""
    _check(base_diameter=base_diameter, height=height)
    a2 = base_diameter**2 / 4
    radius = (a2 + height**2) / (2 * height)
    # The centre of the sphere lies at height - radius; r² = radius² - (x - centre)².
    return _shape(revolved([a2, 2 * (height - radius), -1.0], height))


def pipe_elbow(*, outside: float, wall: float, bend_radius: float, angle: float) -> Shape:
    """A bent pipe that starts along x and bends towards +y; angle of the bend in radians. [m, rad]

    Raises
    ------
    ShapeError
        The bend is tighter than the pipe is thick, or the angle is not above 0 and up to a full turn.
    """
    _check(outside=outside, wall=wall, bend_radius=bend_radius)
    _check_wall(wall, outside, "outside")
    if bend_radius < outside / 2:
        raise ShapeError(
            f"the bend radius of {1000 * bend_radius:g} mm is smaller than half of the outside, "
            f"{500 * outside:g} mm; it is measured to the middle of the pipe"
        )
    if not 0 < angle <= 2 * math.pi + _SLACK:
        raise ShapeError(f"the bend is {math.degrees(angle):g} deg; it must be above 0 and up to 360 deg")
    body = _shape(bent_round(outside / 2, bend_radius, angle))
    return without(body, _shape(bent_round(outside / 2 - wall, bend_radius, angle)))


def gear(*, teeth: int, module: float, width: float, bore: float | None = None) -> Shape:
    """A spur gear as a disc of its pitch diameter, module times teeth. [m]

    The usual approximation: what stands above the pitch circle is taken to fill what is missing below it.
    Common practice, no source; the tests compare it with involute teeth of the basic rack.
    """
    if teeth != int(teeth) or not 6 <= teeth <= 1000:
        raise ShapeError(f"{teeth:g} teeth: write a whole number from 6 to 1000")
    _check(module=module, width=width)
    pitch, root = module * teeth, module * (teeth - 2.5)
    body = cylinder(diameter=pitch, length=width)
    bored = _bored(body, root, bore, width, "bore", "foot of the teeth")
    return Shape(bored.pieces, 0.05, (GEAR_REMARK,))


def bolt(
    *,
    thread: float,
    length: float,
    across_flats: float | None = None,
    head_height: float | None = None,
) -> Shape:
    """A hexagon bolt: a round of the thread size from x = 0, its head behind it. [m]

    Parameters
    ----------
    thread : float
        Nominal diameter: 0.016 for M16. [m]
    length : float
        Under the head. [m]
    across_flats, head_height : float, optional
        Of the head; left out, 1.5 and 0.65 times the thread (common practice, no source; the standards
        round to whole millimetres, and small and large sizes differ). [m]
    """
    _check(thread=thread, length=length)
    flats = 1.5 * thread if across_flats is None else across_flats
    height = 0.65 * thread if head_height is None else head_height
    _check(across_flats=flats, head_height=height)
    if flats <= thread:
        raise ShapeError(f"the head of {1000 * flats:g} mm across flats is not wider than the thread")
    head = hexagon_prism(across_flats=flats, length=height).moved(-height)
    made = together(cylinder(diameter=thread, length=length), head)
    return Shape(made.pieces, 0.15, (BOLT_REMARK,))
