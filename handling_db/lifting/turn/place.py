"""A recorded turn in the frame of its edge: places, pieces with their doubt, and where the turn ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.families.build import BuildError, worked_measure
from handling_db.lifting.case import Case
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.set_down import faces_of
from handling_db.mechanics.turn.edge_turn import BackLine, TurnedPiece
from handling_db.mechanics.vectors import (
    Matrix,
    Vector,
    add,
    apply,
    compose,
    corners_of,
    cross,
    dot,
    length,
    scale,
    subtract,
    transpose,
    unit,
)
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError
from handling_db.quantities.notice import Notice
from handling_db.records.kinds.lift_group import Turn
from handling_db.records.parts.measures import Point
from handling_db.weights.centre import rotation

SQUARE = 1e-6  # how far from square two directions may be
APART = math.radians(1.0)  # two recorded ends of a turn that differ by more are told


@dataclass(frozen=True, slots=True)
class EdgeFrame:
    """The edge's own frame: x across, y along the edge, z up as it lies at the start.

    Parameters
    ----------
    rows : Matrix
        From the root's frame.
    first : Vector
        First end of the edge, in the root's frame. [m]
    edge_m : float
    """

    rows: Matrix
    first: Vector
    edge_m: float

    def point(self, point: Vector) -> Vector:
        """A point of the root's frame. [m]"""
        return apply(self.rows, subtract(point, self.first))


def point_of(case: Case, text: Point) -> Vector:
    """A recorded point in this build, in the root's frame. [m]

    Raises
    ------
    StaticsError
        A formula that cannot be worked out.
    """
    code, build = case.mass.ways.tree.nodes[case.mass.ways.found[0].node]
    parameters = case.collection.components[code].parameters
    try:
        x, y, z = (float(worked_measure(value, build, parameters)) for value in text)
    except BuildError as error:
        raise StaticsError(f"a place of the turn cannot be worked out: {error}") from None
    return x, y, z


def edge_frame(case: Case, turn: Turn) -> EdgeFrame:
    """The frame of the recorded edge; y runs so that the load lies on the side of positive x.

    Raises
    ------
    StaticsError
        No attitude, an edge without length or not level, or no place of the load at all.
    """
    if case.attitude is None:
        raise StaticsError("the attitude at the start is not recorded, so which way is up is not known.")
    ends = [point_of(case, point) for point in turn.edge]
    along = apply(case.turn, subtract(ends[1], ends[0]))
    if length(along) == 0.0:
        raise StaticsError("the turning edge needs two different points.")
    size, along = length(along), unit(along)
    if abs(along[2]) > SQUARE:
        raise StaticsError("the turning edge must lie level at the start.")
    # Across, along, up must be right-handed, and the load on the side of positive across.
    across = unit(cross(along, (0.0, 0.0, 1.0)))
    middle = apply(case.turn, subtract(_middle(case), ends[0]))
    first = ends[0]
    if dot(middle, across) < 0.0:
        across, along, first = scale(across, -1.0), scale(along, -1.0), ends[1]
    rows: Matrix = (across, along, (0.0, 0.0, 1.0))
    return EdgeFrame(compose(rows, case.turn), first, size)


def _middle(case: Case) -> Vector:
    """Middle of what has a mass and a place: enough to know on which side of the edge the load lies."""
    known = [
        (float(carried.mass.best), carried.at)
        for carried in case.mass.carried
        if carried.mass is not None and carried.at is not None
    ]
    mass = math.fsum(kg for kg, _ in known)
    if mass <= 0.0:
        raise StaticsError(case.no_centre or "no mass with a place is known, so no turn can be worked out.")
    return scale(add(*(scale(at, kg) for kg, at in known)), 1.0 / mass)


def turned_pieces(case: Case, frame: EdgeFrame, side: GroupMass | None) -> tuple[TurnedPiece, ...]:
    """Everything that turns, in the frame of the edge, with which of it lies beyond the joint.

    A fluid runs: it lies anywhere in its recorded space, else in the recorded outline of the unit; the place
    that is recorded is only where it starts. Without either it is taken where it starts, and that is said.

    Parameters
    ----------
    case : Case
    frame : EdgeFrame
    side : GroupMass or None
        What lies beyond the joint, of the same root.

    Raises
    ------
    UnknownMassError, StaticsError
        A mass without an upper limit, or a piece that may lie anywhere.
    """
    beyond: dict[int, bool | None] = {}
    if side is not None:
        pieces = {carried.index: carried.pieces for carried in case.mass.carried}
        for carried in side.carried:
            same = pieces.get(carried.index) == carried.pieces
            beyond[carried.index] = True if same else None
    found = []
    unknown = list(case.mass.missing)
    nowhere = []
    for carried in case.mass.carried:
        if carried.mass is None or not carried.mass.complete:
            continue  # named among the missing
        if carried.at is None and carried.within is None:
            nowhere.append(carried.name)
            continue
        found.append(
            TurnedPiece(
                carried.name,
                Amount(float(carried.mass.low), float(carried.mass.best), float(carried.mass.high)),
                None if carried.at is None else frame.point(carried.at),
                () if carried.within is None else _corners(frame, carried.within),
                beyond=beyond.get(carried.index, False),
            )
        )
    for extra in case.mass.extras:
        if extra.amount is None or extra.amount.high is None:
            unknown.append(extra.name)
            continue
        if extra.amount.high == 0.0:
            continue
        corners: tuple[Vector, ...] = ()
        if extra.kind == "fluid":
            space = extra.within or case.mass.outline
            corners = () if space is None else _corners(frame, space)
        if extra.at is None and not corners:
            nowhere.append(extra.name)
            continue
        litres = extra.litres if extra.within is not None else None
        found.append(
            TurnedPiece(
                extra.name,
                extra.amount,
                None if extra.at is None else frame.point(extra.at),
                corners,
                litres,
                beyond=None if side is not None else False,
            )
        )
    if unknown:
        raise UnknownMassError(
            f"centre of gravity not given: no mass for {', '.join(dict.fromkeys(unknown))}, which could "
            f"move it "
            "without bound. Weigh it, or give it a range."
        )
    if nowhere:
        raise StaticsError(
            f"centre of gravity not given: no place is recorded for {', '.join(nowhere)}. Write 'at' into "
            f"its "
            f"part "
            "line, or the 'outline' of what holds it."
        )
    return tuple(found)


def _corners(frame: EdgeFrame, box: tuple[Vector, Vector]) -> tuple[Vector, ...]:
    """The eight corners of a box of the root's frame, counted in binary. [m]"""
    return tuple(map(frame.point, corners_of(box)))


def back_line(case: Case, turn: Turn, frame: EdgeFrame) -> BackLine | None:
    """The recorded holding-back line; None where none is recorded."""
    held = turn.hold_back
    if held is None:
        return None
    anchor = None if held.anchor is None else frame.point(point_of(case, held.anchor))
    return BackLine(frame.point(point_of(case, held.at)), anchor)


def end_of(case: Case, turn: Turn, frame: EdgeFrame) -> tuple[float, tuple[Notice, ...]]:
    """Where the turn ends [rad], by face and attitude at its end; else a right angle.

    Raises
    ------
    StaticsError
        The attitude it ends in is not recorded on the root.
    """
    said: list[Notice] = []
    ends: list[float] = []
    if turn.rests_on is not None:
        named = [face for face in faces_of(case.collection, case.mass) if face.face.id == turn.rests_on]
        if named and named[0].looks is not None:
            looks = apply(frame.rows, named[0].looks)
            ends += _end(-looks[0], -looks[2], looks[1], f"the face {named[0].face.name}", said)
    if turn.to is not None:
        root = case.collection.components[case.group.root]
        attitude = next((one for one in root.attitudes if one.id == turn.to), None)
        if attitude is None:
            known = ", ".join(one.id for one in root.attitudes) or "none"
            raise StaticsError(f"{root.name} has no attitude {turn.to!r}; it has: {known}.")
        up = apply(frame.rows, apply(transpose(rotation(attitude.turned)), (0.0, 0.0, 1.0)))
        ends += _end(up[0], up[2], up[1], f"the attitude {attitude.name}", said)
    if len(ends) == 2 and abs(ends[0] - ends[1]) > APART:
        said.append(
            Notice(
                "turn-ends-apart",
                {"face_deg": math.degrees(ends[0]), "attitude_deg": math.degrees(ends[1])},
            )
        )
    if not ends:
        said.append(Notice("turn-end-not-recorded", {"taken_deg": 90.0}))
        return math.pi / 2, tuple(said)
    return max(ends), tuple(said)


def _end(sine: float, cosine: float, along: float, what: str, said: list[Notice]) -> Sequence[float]:
    """Angle from its sine and cosine; nothing where it is not reached by a turn over this edge."""
    angle = math.atan2(sine, cosine)
    if abs(along) > 0.02 or not angle > 1e-6:
        said.append(Notice("turn-end-not-reached", {"what": what}))
        return []
    return [angle]
