"""A set-down face laid on the floor of a room: z up, x and y along the axes of the piece."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handling_db.mechanics.tipping import Flat
from handling_db.mechanics.vectors import Matrix, Placement, Vector, apply, compose, transpose
from handling_db.quantities.amount import StaticsError
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.common import Datum, opposite_direction
from handling_db.records.parts.texts import Point

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


def land(face: SetDownFace, frame: Placement) -> Landed:
    """Lay a face of a component on the floor.

    Parameters
    ----------
    face : SetDownFace
    frame : Placement
        Where the component sits in the root. [m]

    Raises
    ------
    StaticsError
        The face has no outline, or a place in it is a formula.
    """
    if face.square_to is None or (face.circle is None and not face.corners):
        raise StaticsError(
            f"the outline of the face {face.name!r} is not recorded, so no tip angle can be given; "
            "write its 'corners' or its 'circle', and 'square to'."
        )
    turn = compose(_ROOM[face.square_to], transpose(frame.turn))
    if face.circle is not None:
        radius: float | None = float(face.circle.radius.base)
        middle = frame.to_parent(_literal(face.circle.at, face))
        assert radius is not None
        steps = [2.0 * math.pi * step / AROUND for step in range(AROUND)]
        outline = tuple((radius * math.cos(angle), radius * math.sin(angle)) for angle in steps)
        return Landed(turn, middle, outline, radius)
    corners = [frame.to_parent(_literal(corner, face)) for corner in face.corners]
    room = [apply(turn, corner) for corner in corners]
    low = [min(point[axis] for point in room) for axis in range(3)]
    high = [max(point[axis] for point in room) for axis in range(3)]
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


def room_words(turn: Matrix, datum: Datum | None) -> tuple[str, str, str]:
    """What the room's x, y and z are on the piece itself, as installed: ``right``, ``up``, ``rearward``."""
    found = []
    for row in turn:
        axis = max(range(3), key=lambda i: abs(row[i]))
        if abs(row[axis]) < 0.999:
            found.append("across")
            continue
        word = "xyz"[axis] if datum is None else (datum.x, datum.y, datum.z)[axis]
        found.append(word if row[axis] > 0 else opposite(word))
    return found[0], found[1], found[2]


def opposite(word: str) -> str:
    """The other way: ``left`` for ``right``; ``away from`` what has no opposite word."""
    if word in ("x", "y", "z"):
        return f"-{word}"
    return opposite_direction(word)


def towards(across: Flat, x_word: str, y_word: str) -> str:
    """A direction on the floor in words: ``right``, or ``right and up`` between two."""
    words = []
    for value, word in zip(across, (x_word, y_word), strict=True):
        if abs(value) > 0.3826834:  # sine of 22.5 degrees: half of an eighth of a turn
            words.append(word if value > 0 else opposite(word))
    return " and ".join(words)
