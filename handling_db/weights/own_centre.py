"""Where the centre of a single piece lies in its own frame: as stated, by its shape, or at its datum."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.errors import HandlingError
from handling_db.families.build import Build, BuildError, worked_measure
from handling_db.mechanics.vectors import PlacedFrame, Vector
from handling_db.mechanics.vectors import rotation as turned_by
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.material import Material
from handling_db.records.parts.common import Turned
from handling_db.records.parts.measures import Point

if TYPE_CHECKING:
    from handling_db.families.shapes import Shape

NOWHERE: Vector = (math.nan, math.nan, math.nan)


@dataclass(frozen=True, slots=True)
class ShapeExtent:
    """The shape of a piece in the frame it is written in: its centre, and the box around it. [m]"""

    centre: Vector
    low: Vector
    high: Vector

    @property
    def size(self) -> Vector:
        """Along the shape's own x, y and z. [m]"""
        x, y, z = (b - a for a, b in zip(self.low, self.high, strict=True))
        return x, y, z


def at_datum(component: Component) -> bool:
    """Whether nothing says where the centre of a piece lies, so that it is taken at the datum."""
    return component.centre is None and component.shape_lies is None and not component.parts


def own_centre(component: Component, build: Build, materials: Mapping[str, Material]) -> Vector:
    """Centre of a piece without parts in one build; not-a-number where it cannot be worked out. [m]"""
    if component.centre is not None:
        return _point(component, component.centre, build)
    lies = component.shape_lies
    if lies is None:
        return (0.0, 0.0, 0.0)
    if lies.middle is not None:
        return _point(component, lies.middle, build)
    if lies.at is None:  # the record is refused without one of the two
        return NOWHERE
    extent = shape_extent(component, build, materials)
    if extent is None:
        return NOWHERE
    return PlacedFrame(_point(component, lies.at, build), _turn(lies.turned)).to_parent(extent.centre)


def shape_extent(component: Component, build: Build, materials: Mapping[str, Material]) -> ShapeExtent | None:
    """The first shape that gives the mass of a piece; None where there is none that can be worked out."""
    from handling_db.families.shapes import weigh

    shape = _first_shape(component, build, materials)
    if shape is None:
        return None
    solid = shape.solid
    return ShapeExtent(weigh(shape).centre, solid.low, solid.high)


def shape_boxes(
    component: Component, build: Build, materials: Mapping[str, Material]
) -> tuple[tuple[Vector, ...], ...]:
    """The boxes around the solids of a piece's shape, eight corners each, in the piece's own frame. [m]

    None where nobody recorded from where and in which direction the shape lies ('shape lies' with 'at').
    """
    lies = component.shape_lies
    if lies is None or lies.at is None:
        return ()
    shape = _first_shape(component, build, materials)
    start = _point(component, lies.at, build)
    if shape is None or any(math.isnan(value) for value in start):
        return ()
    placed = PlacedFrame(start, _turn(lies.turned))
    return tuple(
        tuple(
            placed.to_parent((x, y, z))
            for x in (one.solid.low[0], one.solid.high[0])
            for y in (one.solid.low[1], one.solid.high[1])
            for z in (one.solid.low[2], one.solid.high[2])
        )
        for one in shape.pieces
        if one.solid.volume > 0.0  # what is taken away is inside of what is there
    )


def _first_shape(component: Component, build: Build, materials: Mapping[str, Material]) -> Shape | None:
    from handling_db.families.shape_specs import shape_from
    from handling_db.families.shape_text import convert_shape, figures_in_build
    from handling_db.families.shapes import weigh

    for statement in component.masses:
        if statement.shape is None:
            continue
        try:
            figures = convert_shape(
                statement.shape, figures_in_build(component.parameters, dict(build), materials)
            )
            shape = shape_from(figures)
            weigh(shape)  # refuses one without a density
            return shape
        except HandlingError:
            continue  # the checker says why the shape cannot be worked out
    return None


def _point(component: Component, point: Point, build: Build) -> Vector:
    try:
        x, y, z = (float(worked_measure(value, build, component.parameters)) for value in point)
    except BuildError:
        return NOWHERE
    return x, y, z


def _turn(turned: Turned | None) -> tuple[Vector, Vector, Vector]:
    angles = (turned.roll, turned.pitch, turned.yaw) if turned else (None, None, None)
    roll, pitch, yaw = (math.radians(float(a.base)) if a and a.base is not None else 0.0 for a in angles)
    return turned_by(roll, pitch, yaw)


ALIKE = 0.02  # part of a length: a face that differs by no more is taken as that side of the shape
ALIKE_M = 0.002


def over_face(extent: ShapeExtent, face: tuple[float, float]) -> tuple[Vector, Vector, Vector]:
    """Where the centre of a shape may lie over a face that it stands on, by its size alone.

    The face is the side of the shape's box that is as large; the length that is left stands upright.

    Parameters
    ----------
    extent : ShapeExtent
    face : (length, width)
        Of the face, along the two directions of the floor. [m]

    Returns
    -------
    best, low, high : Vector
        From the middle of the face; z over it. Where no side is as large as the face, the height is anything
        from the flattest to the tallest that the shape can stand. [m]
    """
    size = extent.size
    below = [c - a for c, a in zip(extent.centre, extent.low, strict=True)]
    above = [b - c for c, b in zip(extent.centre, extent.high, strict=True)]
    found: list[tuple[float, float, float, float]] = []  # half of the play along x and y, lowest and highest
    for x, y, up in ((0, 1, 2), (1, 0, 2), (0, 2, 1), (2, 0, 1), (1, 2, 0), (2, 1, 0)):
        if _alike(size[x], face[0]) and _alike(size[y], face[1]):
            play = [abs(above[axis] - below[axis]) / 2 for axis in (x, y)]
            found.append((play[0], play[1], min(below[up], above[up]), max(below[up], above[up])))
    if not found:
        far = math.hypot(*(max(a, b) for a, b in zip(below, above, strict=True)))
        found = [(0.0, 0.0, min(*below, *above), far)]
    play_x, play_y = max(one[0] for one in found), max(one[1] for one in found)
    low, high = min(one[2] for one in found), max(one[3] for one in found)
    return (0.0, 0.0, (low + high) / 2), (-play_x, -play_y, low), (play_x, play_y, high)


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= max(ALIKE * other, ALIKE_M)
