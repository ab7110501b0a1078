"""Turning a recorded lift group over an edge: hook load by angle, where it goes over, the joint."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.families.build import BuildError, worked_measure
from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Case, Question, work
from handling_db.lifting.figures import (
    CAUTIONS,
    BoltFigure,
    LiftAnswer,
    Load,
    SetDownFigure,
    TieFigure,
    TurnAnswer,
    TurnStep,
)
from handling_db.lifting.load import group_mass
from handling_db.lifting.set_down import faces_of, on_face
from handling_db.lifting.ties import joint_figures
from handling_db.mechanics.centre_patch import centre_patch
from handling_db.mechanics.joint_load import BoltShare, JointForces, hook_slack_case, joint_over_turn
from handling_db.mechanics.turning import EdgeTurn, Spot, over_edge, spot_in_plane
from handling_db.mechanics.vectors import Matrix, Vector, apply, compose, cross, dot, scale, subtract, unit
from handling_db.quantities.amount import Amount, StaticsError, total
from handling_db.records.collection import Collection
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.lift_group import Turn
from handling_db.records.parts.texts import Point

STEP = math.radians(1.0)
SQUARE = 1e-6  # how far from square two directions may be


@dataclass(frozen=True, slots=True)
class _Plane:
    """The upright plane square to the edge: its directions in the root's frame, and the edge in it."""

    turn: Matrix  # rows: across, along the edge, up
    pivot: Spot
    across: Vector
    up: Vector

    def spot(self, point: Vector) -> Spot:
        """A point of the root's frame in the plane. [m]"""
        return spot_in_plane(point, self.across, self.up)


def turn_answer(collection: Collection, name: str, question: Question | None = None) -> TurnAnswer:
    """A turn over an edge with one hook, as the lift group records it.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of a lift group that has a `turn`.
    question : Question, optional

    Returns
    -------
    TurnAnswer
        With `no_figures` saying why where nothing can be given.

    Raises
    ------
    StaticsError
        The lift group records no turn; or as `work`.
    """
    asked = question or Question()
    case = work(collection, name, asked)
    turn = case.group.turn
    if turn is None:
        with_turn = [g.id for g in collection.lift_groups.values() if g.turn is not None]
        known = ", ".join(sorted(with_turn)) or "none"
        raise StaticsError(f"lift group {name} records no turn; those that do: {known}.")
    lift = answer_of(case)
    holds = tuple(tie for tie in _all_ties(collection, turn, asked, lift) if _carries(tie))
    standing = _standing(case, turn)
    joint_id, side_id = turn.joint or "", turn.side or ""
    try:
        plane = _plane(case, turn)
        load = case.load
        patch = centre_patch(case.mass.weighted(), plane.turn)
        half = patch.half_widths
        edge = over_edge(
            load,
            (patch.at[0], patch.at[2]),
            plane.spot(_point(case, turn.hook)),
            plane.pivot,
            patch=(half[0], half[2]),
            step=STEP,
        )
    except StaticsError as error:
        return TurnAnswer(
            lift,
            lift.first,
            lift.lift,
            (),
            None,
            None,
            None,
            joint_id,
            side_id,
            None,
            None,
            (),
            standing,
            holds,
            str(error),
            _open_words(turn),
            CAUTIONS,
        )
    says = [*edge.says, *_open_words(turn)]
    carried, slack, bolts, more = _joint(case, turn, plane, edge, load, asked)
    says += more
    return TurnAnswer(
        lift=lift,
        first=lift.first,
        turning=Load(load.low, load.best, load.high),
        steps=_steps(edge, carried),
        worst=_steps(_only(edge), ())[0],
        goes_over=None if edge.goes_over is None else math.degrees(edge.goes_over),
        goes_over_range=None
        if edge.goes_over_range is None
        else (math.degrees(edge.goes_over_range[0]), math.degrees(edge.goes_over_range[1])),
        joint=joint_id,
        side=side_id,
        slack_moment_nm=slack.moment_nm if slack else None,
        slack_shear_n=slack.shear_n if slack else None,
        bolts=tuple(BoltFigure(bolt.bolt, bolt.pull_n, bolt.shear_n) for bolt in bolts),
        standing=standing,
        holds=holds,
        no_figures="",
        says=tuple(says),
        cautions=CAUTIONS,
    )


def _only(edge: EdgeTurn) -> EdgeTurn:
    return EdgeTurn((edge.worst,), edge.goes_over, edge.goes_over_range, edge.worst, ())


def _steps(edge: EdgeTurn, carried: Sequence[JointForces]) -> tuple[TurnStep, ...]:
    found = []
    for i, step in enumerate(edge.steps):
        joint = carried[i] if i < len(carried) else None
        found.append(
            TurnStep(
                math.degrees(step.turned),
                step.hook_kg[1],
                step.hook_kg[2],
                joint.moment_nm if joint else None,
                joint.shear_n if joint else None,
                joint.axial_n if joint else None,
            )
        )
    return tuple(found)


def _open_words(turn: Turn) -> tuple[str, ...]:
    """What the record of the turn leaves open."""
    said = [] if turn.hook_on else ["what the hook is on is not recorded."]
    if turn.on:
        said.append(f"turns on {turn.on}.")
    else:
        said.append("what it turns on is not recorded.")
    return tuple(said)


def _point(case: Case, text: Point) -> Vector:
    code, build = case.mass.ways.tree.nodes[case.mass.ways.found[0].node]
    parameters = case.collection.components[code].parameters
    try:
        x, y, z = (float(worked_measure(value, build, parameters)) for value in text)
    except BuildError as error:
        raise StaticsError(f"a place of the turn cannot be worked out: {error}") from None
    return x, y, z


def _plane(case: Case, turn: Turn) -> _Plane:
    """Directions across the edge, along it and up, in the root's frame as it lies at the start."""
    if case.attitude is None:
        raise StaticsError("the attitude at the start is not recorded, so which way is up is not known.")
    if case.patch is None:
        raise StaticsError(case.no_centre)
    first, second = (apply(case.turn, _point(case, point)) for point in turn.edge)
    along = subtract(second, first)
    if dot(along, along) == 0.0:
        raise StaticsError("the turning edge needs two different points.")
    along = unit(along)
    if abs(along[2]) > SQUARE:
        raise StaticsError("the turning edge must lie level at the start.")
    across = unit(cross(along, (0.0, 0.0, 1.0)))
    centre = apply(case.turn, case.patch.at)
    if dot(subtract(centre, first), across) < 0.0:
        across = scale(across, -1.0)
    rows: Matrix = (across, cross((0.0, 0.0, 1.0), across), (0.0, 0.0, 1.0))
    own = compose(rows, case.turn)
    plane = _Plane(own, (0.0, 0.0), own[0], own[2])
    return _Plane(own, plane.spot(_point(case, turn.edge[0])), own[0], own[2])


def _standing(case: Case, turn: Turn) -> SetDownFigure | None:
    if turn.rests_on is None:
        return None
    faces = faces_of(case.collection, case.mass)
    on = turn.on or "nobody looked"
    return on_face(case.collection, faces, turn.rests_on, case.mass.weighted(), case.group.root, on=on)


def _all_ties(
    collection: Collection, turn: Turn, question: Question, lift: LiftAnswer
) -> tuple[TieFigure, ...]:
    listed = joint_figures(collection, [turn.joint] if turn.joint else [], question.job)
    return tuple(tie for joint in (listed or lift.joints) for tie in joint.ties)


def _carries(tie: TieFigure) -> bool:
    return tie.open and (tie.temporary or tie.carries_in_turn == "yes")


def _joint(
    case: Case, turn: Turn, plane: _Plane, edge: EdgeTurn, load: Amount, question: Question
) -> tuple[tuple[JointForces, ...], JointForces | None, tuple[BoltShare, ...], list[str]]:
    """What the joint carries over the turn and with the hook slack, as far as it is recorded."""
    joint = case.collection.joints.get(turn.joint or "")
    side = case.collection.lift_groups.get(turn.side or "")
    if joint is None or side is None:
        return (), None, (), ["what a joint carries in the turn: no joint, or no side of it, is recorded."]
    if joint.plane is None:
        return (), None, (), [f"{joint.name}: its plane is not recorded, so nothing is given for it."]
    normal = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}[joint.plane.square_to]
    if abs(abs(dot(normal, plane.across)) - 1.0) > SQUARE:
        return (), None, (), [f"{joint.name} does not stand square to the turn: nothing is given for it."]
    try:
        held = group_mass(case.collection, side, job=question.job, assumed=question.assumed)
        weight = total(held.parts()).amount
        centre = centre_patch(held.weighted()).at
        heavy = weight.upper(side.name)
    except StaticsError as error:
        return (), None, (), [f"{joint.name}: {error}"]
    middle = _point(case, joint.plane.at)
    spot, own, hook = plane.spot(middle), plane.spot(centre), plane.spot(_point(case, turn.hook))
    if own[0] <= spot[0]:
        return (), None, (), [f"{side.name} is not the side of {joint.name} away from the edge."]
    carried = joint_over_turn(
        spot, weight.best, own, hook if hook[0] > spot[0] else None, edge, mass_kg=load.best
    )
    says = [
        f"joint figures are for the best masses; with the heaviest believable side they are up to "
        f"{heavy / weight.best - 1:.1%} more. Grade, fit and snatch are for a person to judge."
    ]
    bolts, words = _bolts(case, joint, plane, middle, question)
    says += words
    if not bolts:
        slack, _ = hook_slack_case(spot, weight.best, own, {"all": 1.0})
        return carried, slack, (), says
    slack, shares = hook_slack_case(spot, weight.best, own, bolts)
    return carried, slack, shares, says


def _bolts(
    case: Case, joint: Joint, plane: _Plane, middle: Vector, question: Question
) -> tuple[dict[str, float], list[str]]:
    """Distance of each holding bolt from the lowest edge of the flange: temporary, or left in. [m]"""
    assert joint.plane is not None
    if joint.plane.radius is None:
        return {}, [f"{joint.name}: how far its flange reaches is not recorded, so no bolt figures."]
    radius = float(joint.plane.radius.base)
    places: list[tuple[str, Point]] = []
    for temporary in question.job.open_temporary_ties if question.job else ():
        if temporary.joint == joint.id:
            places += [(f"{temporary.id} {i}", point) for i, point in enumerate(temporary.places, 1)]
    if not places:
        for tie in joint.tie_list:
            out = question.job is not None and question.job.is_out(joint.id, tie.key(joint.id))
            if tie.carries_in_turn == "yes" and not out:
                places += [(f"{tie.key(joint.id)} {i}", point) for i, point in enumerate(tie.places, 1)]
    if not places:
        return {}, [f"{joint.name}: no places of the ties that hold it in the turn are recorded."]
    heights = {name: dot(subtract(_point(case, point), middle), plane.up) for name, point in places}
    return {name: radius + height for name, height in heights.items()}, []
