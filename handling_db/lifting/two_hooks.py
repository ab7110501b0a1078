"""A lift group raised at its head between two plumb hooks: what each carries, angle by angle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.lifting.answer import answer_of
from handling_db.lifting.case import Case, Question, work
from handling_db.lifting.figures import CAUTIONS, LiftAnswer, Load
from handling_db.lifting.points import point_named, points_of
from handling_db.mechanics.two_hooks import HooksTurn, two_hooks
from handling_db.mechanics.vectors import Vector, apply, dot, subtract
from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Notice

_STEP = math.radians(1.0)
_ASIDE = 0.01  # how far the centre may lie beside the plane of the two picks before it is said [m]


@dataclass(frozen=True, slots=True)
class HookStep:
    """One angle: what head and tail hook carry with the heaviest load. [deg, kg]"""

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
        Angle from which the tail hook carries nothing. [deg]
    no_figures : str
        Why there are none; empty where there are.
    """

    lift: LiftAnswer
    first: tuple[Notice, ...]
    head: str
    tail: str
    turning: Load | None
    steps: tuple[HookStep, ...]
    worst_head: HookStep | None
    worst_tail: HookStep | None
    tail_slack_at: float | None
    no_figures: str
    says: tuple[str, ...]
    cautions: tuple[str, ...]


def two_hook_answer(
    collection: object, name: str, head: str, tail: str, question: Question | None = None
) -> TwoHookAnswer:
    """Raise the head of a lift group with one hook while a second one holds its tail.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the lift group; its attitude is how it lies at the start.
    head, tail : str
        Ids of two pick points of pieces in it.
    question : Question, optional

    Raises
    ------
    StaticsError
        A pick point that there is not, or whose place nobody recorded.
    UnknownNameError
        No such lift group.
    """
    from handling_db.records.collection import Collection

    assert isinstance(collection, Collection)
    case = work(collection, name, question or Question())
    lift = answer_of(case)
    picks = [_room(case, collection, point) for point in (head, tail)]
    try:
        turn, aside = _turn(case, picks)
    except StaticsError as error:
        return TwoHookAnswer(
            lift, lift.first, head, tail, lift.lift, (), None, None, None, str(error), (), CAUTIONS
        )
    says = [*turn.says]
    if aside > _ASIDE:
        says.append(
            f"the centre of gravity lies {aside * 1000:.0f} mm beside the line of the two picks: "
            "it rolls about that line until it hangs under it."
        )
    slack = turn.tail_slack_at
    steps = [
        HookStep(math.degrees(s.turned), s.head_kg, s.tail_kg)
        for s in turn.steps
        if slack is None or s.turned < slack
    ]
    worst_head, worst_tail = (
        HookStep(math.degrees(s.turned), s.head_kg, s.tail_kg) for s in (turn.worst_head, turn.worst_tail)
    )
    if slack is not None:
        # From there it hangs from the head alone: the formula's pull on a slack hook is no figure.
        worst_head = HookStep(math.degrees(slack), turn.head_size_kg, 0.0)
        steps.append(worst_head)
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
    )


def _room(case: Case, collection: object, name: str) -> Vector:
    """Where a pick point lies with z up, as the load lies at the start. [m]"""
    from handling_db.records.collection import Collection

    assert isinstance(collection, Collection)
    found = point_named(points_of(collection, case.mass), name)
    if found.at is None:
        raise StaticsError(f"where the pick point {name!r} lies is not recorded.")
    return apply(case.turn, found.at)


def _turn(case: Case, picks: Sequence[Vector]) -> tuple[HooksTurn, float]:
    """The statics in the upright plane of the two picks, and how far the centre lies beside it. [m]"""
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
    turn = two_hooks(case.load, spots[0], spots[1], spots[2], step=_STEP)
    return turn, abs(dot(subtract(centre, head), sideways))
