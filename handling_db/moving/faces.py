"""A set-down face laid on the floor of a room: z up, x and y along the axes of the piece."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handling_db.mechanics.tipping import Flat
from handling_db.mechanics.vectors import Matrix, PlacedFrame, Vector, apply, around, compose, transpose
from handling_db.quantities.amount import StaticsError
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.measures import Point
from handling_db.records.sides import SideNames

AROUND = 72  # corners that stand for a round face, on its rim: the polygon is never larger than the face

# Which way the face looks, and the rows of the turn that lays it on the floor: x and y are axes of the piece.
_ROOM: dict[str, Matrix] = {
    "-x": ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
    "x": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0)),
    "-y": ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    "y": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)),
    "-z": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "z": ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0)),
}


@dataclass(frozen=True, slots=True)
class Landed:
    """A face laid on the floor.

    Parameters
    ----------
    turn : Matrix
        From the root's frame into the room, z up.
    middle : Vector
        Middle of the face, in the root's frame. [m]
    outline : tuple of Flat
        Corners in the room, from the middle of the face. [m]
    radius : float or None
        Of a round face. [m]
    """

    turn: Matrix
    middle: Vector
    outline: tuple[Flat, ...]
    radius: float | None

    def place(self, point: Vector) -> Vector:
        """A point of the root's frame in the room, from the middle of the face. [m]"""
        x, y, z = (p - m for p, m in zip(point, self.middle, strict=True))
        return apply(self.turn, (x, y, z))


def land(face: SetDownFace, frame: PlacedFrame) -> Landed:
    """Lay a face of a component on the floor.

    Parameters
    ----------
    face : SetDownFace
    frame : PlacedFrame
        Where the component sits in the root. [m]

    Raises
    ------
    StaticsError
        The face has no outline, or a place in it is a formula.
    """
    if face.square_to is None or (face.circle is None and not face.touches):
        raise StaticsError(
            f"the outline of the face {face.name!r} is not recorded, so no tip angle can be given; "
            "write its 'corners', its 'circle' or its 'feet', and 'square to'."
        )
    turn = compose(_ROOM[face.square_to], transpose(frame.turn))
    if face.circle is not None:
        radius: float | None = float(face.circle.radius.base)
        middle = frame.to_parent(_literal(face.circle.at, face))
        assert radius is not None
        steps = [2.0 * math.pi * step / AROUND for step in range(AROUND)]
        outline = tuple((radius * math.cos(angle), radius * math.sin(angle)) for angle in steps)
        return Landed(turn, middle, outline, radius)
    corners = [frame.to_parent(_literal(corner, face)) for corner in face.touches]
    room = [apply(turn, corner) for corner in corners]
    low, high = around(room)
    if high[2] - low[2] > 0.001:
        raise StaticsError(
            f"the corners of the face {face.name!r} do not lie in one plane square to {face.square_to}: "
            f"they are up to {1000 * (high[2] - low[2]):.0f} mm apart; correct one of them."
        )
    centre = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2)
    return Landed(
        turn,
        apply(transpose(turn), centre),
        tuple((point[0] - centre[0], point[1] - centre[1]) for point in room),
        None,
    )


def _literal(point: Point, face: SetDownFace) -> Vector:
    if any(value.base is None for value in point):
        raise StaticsError(f"a place of the face {face.name!r} is a formula; write it in plain lengths.")
    x, y, z = (float(value.base or 0) for value in point)
    return x, y, z


@dataclass(frozen=True, slots=True)
class RoomSides:
    """What lies where around a piece on the floor, in words of the piece as it lies.

    Parameters
    ----------
    names : SideNames
        Of the root.
    turn : Matrix
        From the root's frame into the room, as it lies on its pallet.
    """

    names: SideNames
    turn: Matrix

    @property
    def upright(self) -> bool:
        """Whether what is up as installed is up here too."""
        up = self.names.up
        return up is not None and apply(self.turn, up)[2] > 0.999

    def towards(self, across: Flat) -> str:
        """The side of the piece that a direction on the floor looks to."""
        own = apply(transpose(self.turn), (across[0], across[1], 0.0))
        return self.names.towards(own, upright=self.upright)

    def ends(self, axis: int) -> tuple[str, str]:
        """The sides at the low and the high end of the room's x or y."""
        out: Flat = (1.0, 0.0) if axis == 0 else (0.0, 1.0)
        return self.towards((-out[0], -out[1])), self.towards(out)
