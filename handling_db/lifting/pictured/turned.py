"""A load on its turning edge, to be drawn at any angle: shapes, hook and centre in the frame of the edge."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.lifting.case import Case
from handling_db.lifting.pictured.outlines import OutlineFigure, outlines
from handling_db.lifting.turn.place import edge_frame, point_of
from handling_db.mechanics.vectors import Vector, apply, transpose
from handling_db.quantities.amount import StaticsError


@dataclass(frozen=True, slots=True)
class OnEdge:
    """What is drawn of a turn at its start: x across the edge towards the load, y along it, z up. [m]

    Parameters
    ----------
    pieces : tuple of OutlineFigure
    hook : Vector
    centre : Vector or None
        Centre of gravity; None where it is not known.
    """

    pieces: tuple[OutlineFigure, ...]
    hook: Vector
    centre: Vector | None


def on_edge(case: Case) -> OnEdge | None:
    """The load of a lift group that is turned over an edge; None where it cannot be placed on it."""
    turn = case.group.turn
    if turn is None:
        return None
    try:
        frame = edge_frame(case, turn)
        hook = frame.point(point_of(case, turn.hook))
    except StaticsError:
        return None
    back = transpose(case.turn)  # outlines stand in the room of the attitude

    def placed(point: Vector) -> Vector:
        return frame.point(apply(back, point))

    pieces = tuple(
        OutlineFigure(piece.name, tuple(map(placed, piece.corners))) for piece in outlines(case).pieces
    )
    centre = None if case.patch is None else frame.point(case.patch.at)
    return OnEdge(pieces, hook, centre)
