"""Where faces, pick points and the lowest pieces of a unit are: what a hook or a stand really holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.families.build import BuildError, worked_measure
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.lifting.occurrences import sort_out
from handling_db.mechanics.vectors import Vector, add, apply, dot, scale, subtract
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.measures import Point
from handling_db.records.parts.pick_point import vector_of
from handling_db.records.parts.three_valued import listed


@dataclass(frozen=True, slots=True)
class FaceAt:
    """A set-down face at one piece: which way it looks, and a point of it, in the frame of the unit. [m]"""

    face: SetDownFace
    piece: int
    looks: Vector | None
    at: Vector | None


class UnitPlaces:
    """Looks up where things are on one unit."""

    def __init__(self, unit: Unit) -> None:
        self.unit = unit

    def face(self, face_id: str, body: frozenset[int]) -> FaceAt | None:
        """A face of a piece in the body, or of an assembly that some of it belongs to; the deepest wins."""
        found = None
        for index in sorted(self.unit.solid):
            piece = self.unit.pieces[index]
            if len(piece.frames) != 1 or not self.unit.under(index) & body & self.unit.leaves:
                continue
            frame = piece.frames[0]
            for face in listed(self.unit.component(index).set_down_faces):
                if face.id != face_id:
                    continue
                looks = apply(frame.turn, vector_of(face.square_to)) if face.square_to else None
                at = self._point(index, face.touches[0] if face.touches else None)
                if face.circle is not None:
                    at = self._point(index, face.circle.at)
                found = FaceAt(face, index, looks, None if at is None else frame.to_parent(at))
        return found

    def _point(self, piece: int, point: Point | None) -> Vector | None:
        if point is None:
            return None
        build = self.unit.tree.nodes[self.unit.pieces[piece].node][1]
        try:
            x, y, z = (
                float(worked_measure(value, build, self.unit.component(piece).parameters)) for value in point
            )
        except BuildError:
            return None
        return x, y, z

    def middle(self, piece: int) -> Vector | None:
        """Where a part sits, in the frame of the unit; None without a recorded place. [m]"""
        frames = self.unit.pieces[piece].frames
        return scale(add(*(frame.at for frame in frames)), 1.0 / len(frames)) if frames else None

    def lowest(self, body: frozenset[int], up: Vector | None, face: FaceAt | None) -> int:
        """The piece of a body that is down: the part nearest to the face, else the one that sits lowest.

        A face is often recorded on the assembly, and what stands there is one of its halves.
        """
        placed = [(i, at) for i in sorted(body & self.unit.leaves) if (at := self.middle(i)) is not None]
        if face is not None and face.piece in body and self._in_one(face.piece):
            return face.piece
        if face is not None and face.at is not None and face.looks is not None and placed:
            looks, on = face.looks, face.at
            return min(placed, key=lambda entry: abs(dot(looks, subtract(entry[1], on))))[0]
        if up is not None and placed:
            return min(placed, key=lambda entry: dot(up, entry[1]))[0]
        return min(body & self.unit.leaves, default=min(body))

    def _in_one(self, piece: int) -> bool:
        """Whether no recorded joint parts what belongs to a piece: then the face is on all of it."""
        inside = self.unit.under(piece)
        return not any(
            seam.first in inside and seam.second in inside
            for seams in self.unit.seams.values()
            for seam in seams
        )

    def taken(self, group: LiftGroup, state: State) -> frozenset[int]:
        """The pieces of a recorded lift that are there.

        Raises
        ------
        WayError
            A way of the lift leads nowhere.
        """
        sides = sort_out(self.unit.collection, self.unit.ways, group)
        taken = {i for i in self.unit.solid if sides[i].part > 0} - state.aside
        return frozenset(taken)

    def hooked_at(self, group: LiftGroup, state: State) -> int:
        """The piece that a lift pulls at: one with a pick point that is used, else the highest it takes."""
        points = {pick.point for pick in listed(group.picks)}
        taken = self.taken(group, state)
        for index in sorted(taken) if points else ():
            own = listed(self.unit.component(index).pick_points)
            if any(point.id in points for point in own):
                return index
        return self._held_side(taken) if taken else 0

    def _held_side(self, taken: frozenset[int]) -> int:
        """Of what a lift takes, the highest piece; below a unit that is parted, its heaviest side."""
        tops: Sequence[int] = [i for i in sorted(taken) if self.unit.pieces[i].parent not in taken or i == 0]
        return max(tops, key=self.unit.known_kg)
