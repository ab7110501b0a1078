"""A lift group raised at its head between two plumb hooks: what each carries, angle by angle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Case, LiftQuestion, work
from handling_db.lifting.figures import CAUTIONS, LiftAnswer
from handling_db.lifting.hanging.hang import turning_notices
from handling_db.lifting.points import point_named, points_of
from handling_db.mechanics.body import Body
from handling_db.mechanics.centre_patch import centre_patch
from handling_db.mechanics.turn.two_hooks import HooksStep, HooksTurn, two_hooks
from handling_db.mechanics.vectors import Matrix, Vector, apply, compose, cross, dot, scale, subtract, unit
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection

_STEP = math.radians(1.0)
_ASIDE = 0.01  # how far the centre may lie beside the plane of the two picks before it is said [m]


@dataclass(frozen=True, slots=True)
class HookStep:
    """One angle: the most head and tail hook carry over masses and places together. [deg, kg]"""

    turned: float
    head_kg: float
    tail_kg: float


@dataclass(frozen=True, slots=True)
class TwoHookAnswer:
    """What two hooks carry while the head is raised.

    Parameters
    ----------
    steps : tuple of HookStep
    worst_head, worst_tail : HookStep or None
    tail_slack_at : float or None
        Angle from which the tail hook carries nothing, by the best figures. [deg]
    tail_slack_range : tuple or None
        The first angle at which that may be, and the last, None where it may carry to the end. [deg]
    head_slack_at, head_slack_range
        The same for the head hook: from there it would have to push, and the load swings over the tail hook.
    under_m, under_least_m : float or None
        Height of the line of the two picks over the centre, square to it, with the best figures and the least
        over their doubt. Nothing or less: it turns over about that line. [m]
    no_figures : str
        Why there are none; empty where there are.
    """

    lift: LiftAnswer
    first: tuple[Notice, ...]
    head: str
    tail: str
    turning: Amount | None
    steps: tuple[HookStep, ...]
    worst_head: HookStep | None
    worst_tail: HookStep | None
    tail_slack_at: float | None
    no_figures: str
    says: tuple[Notice, ...]
    cautions: tuple[str, ...]
    tail_slack_range: tuple[float, float | None] | None = None
    head_slack_at: float | None = None
    head_slack_range: tuple[float, float | None] | None = None
    under_m: float | None = None
    under_least_m: float | None = None


def two_hook_answer(
    collection: Collection, name: str, head: str, tail: str, question: LiftQuestion | None = None
) -> TwoHookAnswer:
    """Raise the head of a lift group with one hook while a second one holds its tail.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the lift group; its attitude is how it lies at the start.
    head, tail : str
        Ids of two pick points of pieces in it.
    question : LiftQuestion, optional

    Raises
    ------
    StaticsError
        A pick point that there is not, or whose place nobody recorded.
    UnknownNameError
        No such lift group.
    """
    case = work(collection, name, question or LiftQuestion())
    picks = [_room(case, point) for point in (head, tail)]
    try:
        turn, aside, heights = _turn(case, picks)
    except StaticsError as error:
        lift = answer_of(case)
        return TwoHookAnswer(
            lift, lift.first, head, tail, lift.lift, (), None, None, None, str(error), (), CAUTIONS
        )
    lift = answer_of(case, turning_notices(*heights, f"the line of {head} and {tail}"))
    says = [*turn.says]
    if aside > _ASIDE:
        says.append(Notice("centre aside", {"aside_m": aside}))
    slack, span = turn.tail_slack_at, turn.tail_slack_range
    end = None if span is None else span[1]
    swings = None if turn.head_slack_range is None else turn.head_slack_range[1]
    if span is not None and (end is None or end - span[0] > math.radians(1.0)):
        begins = {"from_deg": math.degrees(span[0])}
        says.append(
            Notice("tail may carry to the end", begins)
            if end is None
            else Notice("tail may go slack", {**begins, "until_deg": math.degrees(end)})
        )
    steps = [
        _carried(s, turn)
        for s in turn.steps
        if (end is None or s.turned < end) and (swings is None or s.turned < swings)
    ]
    worst_head, worst_tail = _carried(turn.worst_head, turn), _carried(turn.worst_tail, turn)
    if slack is not None:
        # From there it hangs from the head alone: the formula's pull on a slack hook is no figure.
        worst_head = HookStep(math.degrees(slack), turn.head_size_kg, 0.0)
        if end is not None:
            steps.append(HookStep(math.degrees(end), turn.head_size_kg, 0.0))
    return TwoHookAnswer(
        lift,
        lift.first,
        head,
        tail,
        lift.lift,
        tuple(steps),
        worst_head,
        worst_tail,
        None if slack is None else math.degrees(slack),
        "",
        tuple(says),
        CAUTIONS,
        _degrees(span),
        None if turn.head_slack_at is None else math.degrees(turn.head_slack_at),
        _degrees(turn.head_slack_range),
        *heights,
    )


def _carried(step: HooksStep, turn: HooksTurn) -> HookStep:
    """What the hooks carry at one angle: none less than nothing, and none more than the whole load."""
    head, tail = (min(max(0.0, kg), turn.head_size_kg) for kg in (step.head_kg, step.tail_kg))
    return HookStep(math.degrees(step.turned), head, tail)


def _degrees(span: tuple[float, float | None] | None) -> tuple[float, float | None] | None:
    if span is None:
        return None
    first, last = span
    return math.degrees(first), None if last is None else math.degrees(last)


def _room(case: Case, name: str) -> Vector:
    """Where a pick point lies with z up, as the load lies at the start. [m]"""
    found = point_named(points_of(case.collection, case.mass), name)
    if found.at is None:
        raise StaticsError(f"where the pick point {name!r} lies is not recorded.")
    return apply(case.turn, found.at)


def _turn(case: Case, picks: Sequence[Vector]) -> tuple[HooksTurn, float, tuple[float, float]]:
    """The statics in the upright plane of the two picks, how far the centre lies beside it, and how far their
    line runs over it: with the best figures and the least. [m]
    """
    if case.attitude is None:
        raise StaticsError("the attitude at the start is not recorded, so which way is up is not known.")
    if case.patch is None:
        raise StaticsError(case.no_centre)
    head, tail = picks
    level = (tail[0] - head[0], tail[1] - head[1])
    length = math.hypot(*level)
    if length == 0.0:
        raise StaticsError("the two picks are plumb over one another: two hooks cannot share the load there.")
    across: Vector = (level[0] / length, level[1] / length, 0.0)
    sideways: Vector = (-across[1], across[0], 0.0)
    centre = apply(case.turn, case.patch.at)
    spots = [(dot(place, across), place[2]) for place in (centre, head, tail)]
    rows: Matrix = (across, sideways, (0.0, 0.0, 1.0))
    pieces, sums = case.mass.by_parts()
    body = Body.of_pieces(pieces, compose(rows, case.turn), most=case.mass.most, sums=sums)
    turn = two_hooks(case.load, spots[0], spots[1], spots[2], body=body, step=_STEP)
    # Square to the line of the picks, in their upright plane: a load turns over about that line.
    line = unit(subtract(tail, head))
    square = unit(subtract((0.0, 0.0, 1.0), scale(line, line[2])))
    lines: Matrix = (line, cross(square, line), square)
    patch = centre_patch(pieces, compose(lines, case.turn), sums)
    height = dot(head, square)
    return turn, abs(dot(subtract(centre, head), sideways)), (height - patch.at[2], height - patch.high[2])
