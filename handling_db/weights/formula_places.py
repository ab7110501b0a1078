"""Places of part lines that are written as formulas, worked out in the parent's build."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.families.build import Build, worked_measure
from handling_db.records.kinds.component import Component, PartLine
from handling_db.records.parts.common import Placement
from handling_db.records.parts.texts import Measure


@dataclass(frozen=True, slots=True)
class WorkedPlace:
    """A place with formulas, worked out in the parent's build.

    Parameters
    ----------
    at : (x, y, z)
        The child's datum in the parent's frame. [m]
    turned : (roll, pitch, yaw)
        About the parent's fixed axes, roll first. [deg]
    """

    at: tuple[float, float, float]
    turned: tuple[float, float, float]


def _placements(line: PartLine) -> tuple[Placement, ...]:
    if line.places is not None:
        return line.places
    return (Placement.model_construct(at=line.at, turned=line.turned),) if line.at is not None else ()


def has_formula(line: PartLine) -> bool:
    """Whether any coordinate or angle of a line is a formula."""
    if line.at is not None and line.turned is None:
        return any(value.is_formula for value in line.at)
    return any(
        value is not None and value.is_formula
        for place in _placements(line)
        for value in (*place.at, *_angles(place))
    )


def _angles(place: Placement) -> tuple[Measure | None, ...]:
    turned = place.turned
    return (turned.roll, turned.pitch, turned.yaw) if turned is not None else ()


def worked_places(line: PartLine, parent: Component, build: Build) -> tuple[WorkedPlace, ...]:
    """The places of a line in a build.

    Raises
    ------
    BuildError
        A formula cannot be worked out: then the place is not known, and never the origin.
    """

    def figure(value: Measure | None) -> float:
        return 0.0 if value is None else float(worked_measure(value, build, parent.parameters))

    found: list[WorkedPlace] = []
    for place in _placements(line):
        x, y, z = (figure(value) for value in place.at)
        roll, pitch, yaw = (figure(value) for value in _angles(place) or (None, None, None))
        found.append(WorkedPlace((x, y, z), (roll, pitch, yaw)))
    return tuple(found)
