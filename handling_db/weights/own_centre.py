"""Where the centre of a single piece lies in its own frame: as stated, by its shape, or at its datum."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.errors import HandlingError
from handling_db.families.build import Build, BuildError, worked_measure
from handling_db.mechanics.vectors import Placement, Vector
from handling_db.mechanics.vectors import rotation as turned_by
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.material import Material
from handling_db.records.parts.common import Turned
from handling_db.records.parts.texts import Point

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
    return Placement(_point(component, lies.at, build), _turn(lies.turned)).to_parent(extent.centre)


def shape_extent(component: Component, build: Build, materials: Mapping[str, Material]) -> ShapeExtent | None:
    """The first shape that gives the mass of a piece; None where there is none that can be worked out."""
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
            solid = shape.solid
            return ShapeExtent(weigh(shape).centre, solid.low, solid.high)
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
