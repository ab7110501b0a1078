"""A planned job worked out: the state after every step with weights, standing, lifts, hands and notes."""

from __future__ import annotations

from handling_db.jobs.steps.answer import StepFigure, StepsAnswer
from handling_db.jobs.steps.body_figures import body_figures
from handling_db.jobs.steps.carried import carried
from handling_db.jobs.steps.hands import in_hands
from handling_db.jobs.steps.headline import heaviest, lacks, narrowest, not_looked_at, steadied_before
from handling_db.jobs.steps.holds.chain import ChainStep, links
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.judged import (
    landing_events,
    lift_told,
    loosened,
    match_events,
    standing_events,
    temporary_events,
    weigh_fallen,
)
from handling_db.jobs.steps.lifts import StepsQuestion, job_of, turn_events, with_own_hoist
from handling_db.jobs.steps.means import Means
from handling_db.jobs.steps.notes import notes_at
from handling_db.lifting.figures import PRACTICE, NamedThing, TieFigure
from handling_db.lifting.ties import joint_figures
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, PlanStep
from handling_db.shop.figures import HandLine

CAUTIONS = (
    "Figures, not permission. Data plates, tags and local rules come first; "
    "a competent person plans the job.",
    "Worked out from what is recorded: what nobody recorded is in none of these figures.",
    f"Static figures: pulling, hammering, swing and oil that runs come on top. [{PRACTICE}]",
    f"Nobody under or inside a load; look at every step whether it is as it was planned. [{PRACTICE}]",
)


def steps_answer(collection: Collection, plan: JobPlan, question: StepsQuestion) -> StepsAnswer:
    """Work a planned job out step by step.

    Parameters
    ----------
    collection : Collection
    plan : JobPlan
        As recorded, or changed for a question.
    question : StepsQuestion

    Raises
    ------
    PlanError, WayError, BuildError
        The unit cannot be followed, or has no such build or attitude.
    """
    records, moved = with_own_hoist(collection, plan)
    means = Means(records, plan, question)
    chain = list(links(means.collection, means.plan, means.unit, means.places))
    found: list[StepFigure] = []
    for link in chain:
        found.append(_step(means, link, found[-1] if found else None))
    found = steadied_before(found)
    return StepsAnswer(
        id=means.plan.id,
        name=means.plan.name,
        unit=means.unit.root.id,
        unit_name=means.unit.root.name,
        build=means.unit.build,
        serial="" if means.plan.serial is None else str(means.plan.serial),
        shop=means.shop.id if means.shop else "",
        shop_name=means.shop.name if means.shop else "",
        as_of=means.question.as_of.isoformat(),
        start=found[0],
        steps=tuple(found[1:]),
        heaviest=heaviest(found),
        narrowest=narrowest(found),
        not_looked_at=not_looked_at(means, chain),
        held_unrecorded=means.unit.unrecorded,
        lacks=lacks(means, moved, found),
        not_reversed=tuple(
            Notice("does not reverse", {"what": what}) for what in means.plan.does_not_reverse
        ),
        cautions=CAUTIONS,
        limits=means.limits,
    )


def _step(means: Means, link: ChainStep, last: StepFigure | None) -> StepFigure:
    step, events = link.step, link.events
    before, after = link.before, link.after
    bodies = body_figures(means, link, last)
    if step is None:
        standing_events(means, bodies, link, None)
        weigh_fallen(means, link)
        return StepFigure(
            0,
            "0",
            "start",
            "At the start",
            bodies,
            findings=tuple(events.findings),
            cautions=tuple(events.cautions),
            asked=tuple(events.asked),
        )
    lift = means.lifts.lift(before, step, link.number, events)
    turn = means.lifts.turn(before, step, link.number, events)
    if lift is not None:
        lift_told(means, lift, step, events)
        match_events(means, link, lift)
    if turn is not None:
        mover = means.collection.movers.get(means.collection.lift_groups[step.lift_group or ""].mover or "")
        rated = float(mover.rated.base) if mover is not None and mover.rated is not None else None
        turn_events(turn, step, rated, events)
    standing_events(means, bodies, link, step)
    temporary_events(means, link, step)
    landing_events(means, link)
    move = carried(means, link, step)
    weigh_fallen(means, link)
    freed = after.aside - before.aside
    some = [(i, many) for i in sorted(after.some) if (many := after.some[i] - before.some.get(i, 0)) > 0]
    changed = freed | (before.aside - after.aside) | loosened(before, after)
    return StepFigure(
        number=link.number,
        id=step.id or str(link.number),
        do=step.do,
        what=step.what,
        bodies=bodies,
        aside=(*_named(means, freed), *(_some_named(means, i, many) for i, many in some)),
        ties_out=_ties(means, before, after, link.number),
        ties_in=_ties(means, after, before, link.number),
        lift=lift,
        turn=turn,
        move=move,
        hands=_hands(means, step, freed | {i for i, _ in some}),
        findings=tuple(events.findings),
        cautions=tuple(events.cautions),
        notes=notes_at(
            means.unit, step, changed & means.unit.leaves, means.plan.serial, means.question.as_of
        ),
        asked=tuple(events.asked),
    )


def _named(means: Means, pieces: frozenset[int]) -> tuple[NamedThing, ...]:
    highest = [i for i in sorted(pieces) if means.unit.pieces[i].parent not in pieces]
    return tuple(NamedThing(means.unit.component(i).id, means.unit.name(i)) for i in highest)


def _some_named(means: Means, piece: int, many: int) -> NamedThing:
    return NamedThing(means.unit.component(piece).id, f"{many} x {means.unit.name(piece)}")


def _ties(means: Means, one: State, other: State, number: int) -> tuple[TieFigure, ...]:
    """Ties that are in by one state and not in by the other."""
    gone = other.out - one.out
    temporary = [tie for tie in one.temporary if tie not in other.temporary]
    joints = sorted({j for j, _ in gone} | {one.temporary[t].joint for t in temporary})
    job = job_of(means.unit, means.plan, one, means.question.as_of, number)
    return tuple(
        tie
        for figure in joint_figures(means.collection, joints, job)
        for tie in figure.ties
        if (tie.joint, tie.id) in gone or (tie.temporary and tie.id in temporary)
    )


def _hands(means: Means, step: PlanStep, freed: frozenset[int]) -> tuple[HandLine, ...]:
    if not freed or (step.do == "take off" and step.lift_group is not None):
        return ()
    highest = [i for i in sorted(freed) if means.unit.pieces[i].parent not in freed]
    return in_hands(means.scales, highest, means.shop)
