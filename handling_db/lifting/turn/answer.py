"""Turning a recorded lift group over an edge: hook, holding back, edge and joint by angle."""

from __future__ import annotations

import math
from dataclasses import replace

from handling_db.errors import some_of
from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Case, LiftQuestion, work
from handling_db.lifting.figures import CAUTIONS, SetDownFigure, TieFigure
from handling_db.lifting.said.notices import ordered
from handling_db.lifting.set_down import on_face, standing_notices
from handling_db.lifting.ties import joint_figures
from handling_db.lifting.turn.figures import HoldFigure, TurnAnswer, TurnStep
from handling_db.lifting.turn.joint import JointFigures, joint_in_turn
from handling_db.lifting.turn.place import back_line, edge_frame, end_of, point_of, turned_pieces
from handling_db.mechanics.turn.edge_turn import (
    EdgeStep,
    EdgeTurn,
    Turning,
    over_edge,
)
from handling_db.mechanics.turn.joint_turn import JointStep
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import Turn

STEP = math.radians(1.0)


def turn_answer(collection: Collection, name: str, question: LiftQuestion | None = None) -> TurnAnswer:
    """A turn over an edge with one hook, as the lift group records it.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of a lift group that has a `turn`.
    question : LiftQuestion, optional

    Returns
    -------
    TurnAnswer
        With `no_figures` saying why where nothing can be given.

    Raises
    ------
    StaticsError
        The lift group records no turn; or as `work`.
    """
    return turn_of(work(collection, name, question or LiftQuestion()))


def turn_of(case: Case) -> TurnAnswer:
    """The same where the lift is worked out already.

    Raises
    ------
    StaticsError
        The lift group records no turn.
    """
    collection, name, asked = case.collection, case.group.id, case.question
    turn = case.group.turn
    if turn is None:
        with_turn = [g.id for g in collection.lift_groups.values() if g.turn is not None]
        told = some_of(sorted(with_turn))
        raise StaticsError(f"lift group {name} records no turn; those that do: {told}.")
    lift = answer_of(case)
    joints = joint_figures(collection, [turn.joint] if turn.joint else [], asked.job) or lift.joints
    # Without figures nobody knows whether it goes over; only that nothing is recorded to hold it.
    unheld = [Notice("not-known-whether-held")] if turn.hold_back is None else []
    bare = TurnAnswer(
        lift=lift,
        first=ordered((*unheld, *lift.first)),
        turning=lift.lift,
        steps=(),
        worst=None,
        to_angle=None,
        goes_over=None,
        goes_over_range=None,
        hold=None,
        joint=turn.joint or "",
        side=turn.side or "",
        slack_moment_nm=None,
        slack_shear_n=None,
        bolts=(),
        standing=_standing(case, turn),
        holds=tuple(tie for joint in joints for tie in joint.ties if _carries(tie)),
        no_figures="",
        says=_open_words(turn),
        cautions=CAUTIONS,
    )
    try:
        return _with_figures(case, turn, bare)
    except StaticsError as error:
        return replace(bare, no_figures=str(error))


def hook_at_start(collection: Collection, name: str, question: LiftQuestion) -> float | None:
    """What the hook carries at the start of a turn alone, as `turn_answer` has it: for lists. [kg]

    Returns
    -------
    float or None
        None where there are no figures.

    Raises
    ------
    StaticsError
        As `work`.
    """
    case = work(collection, name, question)
    if case.group.turn is None:
        return None
    try:
        turning, joint, (to_angle, _) = _turning(case, case.group.turn)
        edge = over_edge(turning, to_angle=min(to_angle, STEP), step=STEP)
        joint.over(turning, [step.turned for step in edge.steps])  # where it has none the turn has none
        return edge.steps[0].hook[1]
    except StaticsError:
        return None


def _with_figures(case: Case, turn: Turn, bare: TurnAnswer) -> TurnAnswer:
    turning, joint, (to_angle, ends) = _turning(case, turn)
    edge = over_edge(turning, to_angle=to_angle, step=STEP)
    forces = joint.over(turning, [step.turned for step in edge.steps])
    load = turning.mass()
    hold = _hold(case, turn, edge)
    steps = tuple(_step(step, joint_step) for step, joint_step in zip(edge.steps, forces.steps, strict=True))
    says = [*ends, *_goes_over_words(edge), *bare.says, *_oil_words(case), *forces.says]
    stands = standing_notices(bare.standing) if bare.standing else ()
    return replace(
        bare,
        first=ordered((*_announced(turning, edge, hold), *stands, *bare.lift.first)),
        turning=Amount.enclosing(*load),
        steps=steps,
        worst=_step(edge.worst, None),
        to_angle=math.degrees(to_angle),
        goes_over=None if edge.goes_over is None else math.degrees(edge.goes_over),
        goes_over_range=_range(edge, to_angle),
        hold=hold,
        slack_moment_nm=forces.slack_moment_nm,
        slack_shear_n=forces.slack_shear_n,
        bolts=forces.bolts,
        says=tuple(says),
    )


def _turning(case: Case, turn: Turn) -> tuple[Turning, JointFigures, tuple[float, tuple[Notice, ...]]]:
    """What is turned, the joint in it; the angle at which it ends, and why."""
    frame = edge_frame(case, turn)
    joint = joint_in_turn(case, turn, frame)
    pieces = turned_pieces(case, frame, joint.side)
    hook = frame.point(point_of(case, turn.hook))
    turning = Turning(pieces, hook, frame.edge_m, back_line(case, turn, frame))
    return turning, joint, end_of(case, turn, frame)


def _range(edge: EdgeTurn, to_angle: float) -> tuple[float, float] | None:
    """Earliest and latest angle from which it goes over; the end of the turn where the latest lies beyond."""
    if edge.goes_over_first is None:
        return None
    last = to_angle if edge.goes_over_last is None else edge.goes_over_last
    return math.degrees(edge.goes_over_first), math.degrees(last)


def _announced(turning: Turning, edge: EdgeTurn, hold: HoldFigure | None) -> tuple[Notice, ...]:
    """What it does by itself, the gravest first."""
    said: list[Notice] = []
    if edge.goes_over_first is not None:
        first = math.degrees(edge.goes_over_first)
        if turning.line is None:
            most = max(step.over[2] for step in edge.steps)
            said.append(Notice("nothing-holds-back", {"first_deg": first, "hold_kg": most}))
        elif edge.line_fails is not None:
            said.append(Notice("line-cannot-hold", {"turned_deg": math.degrees(edge.line_fails)}))
        if edge.goes_over_first <= 0.0:
            said.append(Notice("goes-over-at-once"))
    off = [(*edge.surely_off, True)] if edge.surely_off is not None else []
    if edge.comes_off is not None and not edge.comes_off[2]:
        off.insert(0, edge.comes_off)
    for turned, end, certain in off:
        kind = f"{'comes' if certain else 'may-come'}-off-{'edge' if end == 2 else 'end'}"
        said.append(Notice(kind, {"turned_deg": math.degrees(turned), "end": ("first", "second", "")[end]}))
    if hold is not None and hold.most_kg is not None:
        if hold.rated_kg is None:
            said.append(Notice("line-no-rating", {"most_kg": hold.most_kg}))
        elif hold.most_kg > hold.rated_kg:
            said.append(Notice("line-over-rating", {"most_kg": hold.most_kg, "rated_kg": hold.rated_kg}))
        if hold.sideways:
            said.append(Notice("line-pulls-sideways", {"part_share": hold.sideways}))
        if edge.goes_over_first is not None:
            said.append(Notice("line-slack-before", {"first_deg": math.degrees(edge.goes_over_first)}))
    return tuple(said)


def _goes_over_words(edge: EdgeTurn) -> tuple[Notice, ...]:
    if edge.goes_over_first is None or edge.goes_over is None:
        return ()
    return (
        Notice(
            "hook-goes-slack",
            {
                "over_deg": math.degrees(edge.goes_over),
                "first_deg": math.degrees(edge.goes_over_first),
                "last_deg": None if edge.goes_over_last is None else math.degrees(edge.goes_over_last),
            },
        ),
    )


def _oil_words(case: Case) -> tuple[Notice, ...]:
    """Where fluid inside is taken while it runs."""
    kinds: dict[str, list[str]] = {}
    for extra in case.mass.extras:
        if extra.kind == "fluid" and extra.amount is not None and extra.amount.high != 0.0:
            kind = "oil-settles" if extra.within else "oil-runs" if case.mass.outline else "oil-stays"
            kinds.setdefault(kind, []).append(extra.name)
    return tuple(Notice(kind, {"names": tuple(names)}) for kind, names in kinds.items())


def _hold(case: Case, turn: Turn, edge: EdgeTurn) -> HoldFigure | None:
    held = turn.hold_back
    if held is None:
        return None
    worst = edge.worst_line
    rated = held.rated
    mover = case.collection.movers.get(held.mover or "")
    if rated is None and mover is not None:
        rated = mover.rated
    anchor = held.to or (mover.name if mover is not None else "its anchor, not described")
    sideways = [step.sideways for step in edge.steps if step.sideways is not None]
    return HoldFigure(
        what=held.what or "a line, not described",
        anchor_words=f"to {anchor}",
        rated_kg=None if rated is None else float(rated.base),
        most_kg=None if worst is None or worst.line is None else worst.line[2],
        most_at=None if worst is None else math.degrees(worst.turned),
        sideways=max(sideways) if sideways else None,
    )


def _step(step: EdgeStep, joint: JointStep | None) -> TurnStep:
    return TurnStep(
        turned=math.degrees(step.turned),
        hook_low_kg=step.hook[0],
        hook_kg=step.hook[1],
        hook_high_kg=step.hook[2],
        hold_kg=step.over[1],
        hold_high_kg=step.over[2],
        line_kg=None if step.line is None else step.line[1],
        line_high_kg=None if step.line is None else step.line[2],
        ends_low_kg=None if step.ends is None else (step.ends[0][0], step.ends[1][0]),
        moment_nm=None if joint is None else joint.moment_nm[1],
        shear_n=None if joint is None else joint.shear_n[1],
        axial_n=None if joint is None else joint.axial_n[1],
        twist_nm=None if joint is None else joint.most_twist_nm,
        sideways_nm=None if joint is None else joint.most_sideways_nm,
    )


def _open_words(turn: Turn) -> tuple[Notice, ...]:
    """What the record of the turn leaves open."""
    said = [] if turn.hook_on else [Notice("hook-on-not-recorded")]
    said.append(Notice("turns-on", {"on": turn.on}) if turn.on else Notice("turns-on-not-recorded"))
    return tuple(said)


def _standing(case: Case, turn: Turn) -> SetDownFigure | None:
    if turn.rests_on is None:
        return None
    return on_face(case.collection, case.mass, turn.rests_on, on=turn.on or "nobody looked")


def _carries(tie: TieFigure) -> bool:
    return tie.open and (tie.temporary or tie.carries_in_turn == "yes")
