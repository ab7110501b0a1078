"""A planned job as pictures: after every step the recorded shapes of each body, the way they lie."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.jobs.steps.holds.chain import ChainStep, links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.mechanics.vectors import Matrix, Vector, apply, compose, rotation_about, rotation_onto
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, Resting
from handling_db.weights.own_centre import shape_boxes

UPWARD: Vector = (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class BodyPicture:
    """One body after a step, z up. [m]

    Parameters
    ----------
    shapes : tuple of tuple of Vector
        The corners of the box around each recorded shape of its pieces.
    not_drawn : int
        Pieces whose shape, place or direction nobody recorded.
    turn : Matrix
        From the frame of the unit into the room.
    floor : float or None
        Height of the face that it stands on, in its own room; None: nobody recorded one. [m]
    stand_m : float or None
        Height of what it stands on; None: not recorded. [m]
    carried : tuple of str
        ``hook``, ``hands``, ``machine``, ``not recorded``, or the kind of place it rests on.
    temporary : tuple of Vector
        Places of temporary ties that are in.
    """

    shapes: tuple[tuple[Vector, ...], ...]
    not_drawn: int
    turn: Matrix
    floor: float | None
    stand_m: float | None
    carried: tuple[str, ...]
    temporary: tuple[Vector, ...]


@dataclass(frozen=True, slots=True)
class StepPicture:
    """The bodies after one step, the one that the step is about first; their order is that of the figures."""

    number: int
    bodies: tuple[BodyPicture, ...]


def step_pictures(collection: Collection, plan: JobPlan) -> tuple[StepPicture, ...]:
    """Every state of a planned job, the start as number 0.

    Parameters
    ----------
    collection : Collection
    plan : JobPlan

    Notes
    -----
    A shape without a recorded place or direction is left out and counted, and so are several alike at one
    place; a body is left out where nobody recorded which way up it is.

    Raises
    ------
    PlanError, WayError, BuildError
        As `handling_db.jobs.steps.figures.steps_answer`.
    """
    unit = Unit(collection, plan)
    drawing = _Drawing(unit, UnitPlaces(unit))
    return tuple(drawing.of(link) for link in links(collection, plan, unit, drawing.places))


class _Drawing:
    def __init__(self, unit: Unit, places: UnitPlaces) -> None:
        self.unit = unit
        self.places = places
        self._boxes: Mapping[int, tuple[tuple[Vector, ...], ...]] = {
            leaf: self._shapes(leaf) for leaf in unit.leaves
        }

    def _shapes(self, leaf: int) -> tuple[tuple[Vector, ...], ...]:
        """The boxes of one piece in the frame of the unit; empty where it cannot be drawn."""
        piece = self.unit.pieces[leaf]
        if len(piece.frames) != 1 or piece.pieces != 1:
            return ()
        build = self.unit.tree.nodes[piece.node][1]
        boxes = shape_boxes(self.unit.component(leaf), build, self.unit.collection.materials)
        return tuple(tuple(piece.frames[0].to_parent(corner) for corner in box) for box in boxes)

    def of(self, link: ChainStep) -> StepPicture:
        """The bodies after a step, in the order of its figures."""
        unit, state = self.unit, link.after
        found = sorted(
            state.bodies(unit),
            key=lambda body: (link.about not in body, -sum(unit.known_kg(i) for i in body & unit.leaves)),
        )
        return StepPicture(link.number, tuple(self._body(state, body) for body in found))

    def _body(self, state: State, body: frozenset[int]) -> BodyPicture:
        up = next((state.up[i] for i in sorted(body) if i in state.up), UPWARD)
        turn = _upright(up)
        supports = state.carriers(body)
        rests = next((support.rests for support in supports if support.rests is not None), None)
        floor = None
        if rests is not None and rests.face is not None:
            face = self.places.face(rests.face, body)
            floor = None if face is None or face.at is None else apply(turn, face.at)[2]
        leaves = sorted(body & self.unit.leaves)
        return BodyPicture(
            shapes=tuple(
                tuple(apply(turn, corner) for corner in box) for leaf in leaves for box in self._boxes[leaf]
            ),
            not_drawn=sum(1 for leaf in leaves if not self._boxes[leaf]),
            turn=turn,
            floor=floor,
            stand_m=None if rests is None else self._height(rests),
            carried=tuple(dict.fromkeys("hook" if s.lift else s.kind for s in supports)),
            temporary=tuple(apply(turn, at) for at in self._temporary(state, body)),
        )

    def _height(self, rests: Resting) -> float | None:
        """How high the recorded stand or pallet is."""
        fixture = self.unit.collection.fixtures.get(rests.fixture or "")
        pallet = self.unit.collection.pallets.get(rests.pallet or "")
        height = fixture.height if fixture is not None else pallet.deck_height if pallet is not None else None
        return None if height is None else float(height.base)

    def _temporary(self, state: State, body: frozenset[int]) -> list[Vector]:
        """Places of temporary ties at joints of this body, as far as they are plain figures."""
        found = []
        for tie in state.temporary.values():
            seams = self.unit.seams.get(tie.joint, ())
            if not any({seam.first, seam.second} <= body for seam in seams):
                continue
            for point in tie.places:
                values = [value.base for value in point]
                if None not in values:
                    x, y, z = (float(value or 0) for value in values)
                    found.append((x, y, z))
        return found


def _upright(up: Vector) -> Matrix:
    """The shortest turn that lays up on up; then x looks to the right, as far as it lies level."""
    turn = rotation_onto(up, UPWARD)
    x, y, _ = apply(turn, (1.0, 0.0, 0.0))
    if math.hypot(x, y) < 1e-3:  # x is upright itself: the shortest turn is as good as any
        return turn
    return compose(rotation_about(UPWARD, -math.atan2(y, x)), turn)
