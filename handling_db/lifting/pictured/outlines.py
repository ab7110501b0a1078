"""Shapes, faces and joint planes of a lift in the room, as far as place and direction are recorded."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handling_db.lifting.case import Case
from handling_db.lifting.extras import plain_place
from handling_db.mechanics.vectors import PlacedFrame, Vector, add, any_across, apply, cross, scale, unit
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.pick_point import vector_of
from handling_db.records.parts.three_valued import listed
from handling_db.weights.own_centre import shape_boxes

RIM = 24  # points that stand for a round edge in a drawing


@dataclass(frozen=True, slots=True)
class OutlineFigure:
    """One shape of a piece: the eight corners of the box around it, z up. [m]"""

    name: str
    corners: tuple[Vector, ...]


@dataclass(frozen=True, slots=True)
class FaceFigure:
    """A set-down face or a joint plane: points around it, z up. [m]

    Parameters
    ----------
    name : str
    points : tuple of Vector
    may_rest : bool or None
        None: nobody said; always None for a joint.
    """

    name: str
    points: tuple[Vector, ...]
    may_rest: bool | None = None


@dataclass(frozen=True, slots=True)
class Outlines:
    """What can be drawn of a lift besides points, legs and centre."""

    pieces: tuple[OutlineFigure, ...]
    faces: tuple[FaceFigure, ...]
    joints: tuple[FaceFigure, ...]


def outlines(case: Case) -> Outlines:
    """Everything of the load whose place and direction are recorded, in its attitude.

    Parameters
    ----------
    case : Case
        A lift worked out.

    Notes
    -----
    A shape that says only where its middle is has no direction, and is left out; so is a piece of which
    there are several at one place, and a face without an outline.
    """
    pieces: list[OutlineFigure] = []
    faces: list[FaceFigure] = []
    mass, collection = case.mass, case.collection
    for index, occurrence in enumerate(mass.ways.found):
        if mass.sides[index].part != 1 or len(occurrence.frames) != 1:
            continue
        code, build = mass.ways.tree.nodes[occurrence.node]
        component, frame = collection.components[code], occurrence.frames[0]
        if occurrence.pieces == 1:
            pieces += [
                OutlineFigure(component.name, _in_room(case, frame, corners))
                for corners in shape_boxes(component, build, collection.materials)
            ]
        for face in listed(component.set_down_faces):
            points = _around(face, frame)
            if points:
                may = None if face.may_rest is None else face.may_rest == "yes"
                faces.append(FaceFigure(face.name, _in_room(case, PlacedFrame(), points), may))
    return Outlines(tuple(pieces), tuple(faces), _joints(case))


def _in_room(case: Case, frame: PlacedFrame, points: tuple[Vector, ...]) -> tuple[Vector, ...]:
    return tuple(apply(case.turn, frame.to_parent(point)) for point in points)


def _around(face: SetDownFace, frame: PlacedFrame) -> tuple[Vector, ...]:
    """Points around a face in the root's frame; none where its outline is not recorded. [m]"""
    if face.circle is not None and face.square_to is not None:
        middle = plain_place(face.circle.at)
        ring = () if middle is None else _ring(middle, face.square_to, float(face.circle.radius.base))
        return tuple(map(frame.to_parent, ring))
    corners = [plain_place(corner) for corner in face.touches]
    return tuple(frame.to_parent(corner) for corner in corners if corner is not None)


def _ring(middle: Vector, square_to: str, radius: float) -> tuple[Vector, ...]:
    """Points on a circle square to an axis. [m]"""
    away = unit(vector_of(square_to))
    first = unit(any_across(away))
    second = cross(away, first)
    turns = [2 * math.pi * step / RIM for step in range(RIM)]
    return tuple(
        add(middle, scale(first, radius * math.cos(turn)), scale(second, radius * math.sin(turn)))
        for turn in turns
    )


def _joints(case: Case) -> tuple[FaceFigure, ...]:
    """Planes of the joints that the lift parts, each as its round edge, or a cross of its size."""
    found = []
    for name in case.group.parts_joints or ():
        joint = case.collection.joints.get(name)
        if joint is None or joint.plane is None or joint.plane.radius is None:
            continue
        frame = _frame_of(case, joint.within)
        middle = plain_place(joint.plane.at)
        if frame is None or middle is None:
            continue
        points = _ring(middle, joint.plane.square_to, float(joint.plane.radius.base))
        found.append(FaceFigure(joint.name or joint.id, _in_room(case, frame, points)))
    return tuple(found)


def _frame_of(case: Case, code: str) -> PlacedFrame | None:
    """Where the one occurrence of a component lies in the root."""
    if code == case.group.root:
        return PlacedFrame()
    named = [one for one in case.mass.ways.found if one.id == code]
    return named[0].frames[0] if len(named) == 1 and len(named[0].frames) == 1 else None
