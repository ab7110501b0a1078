"""A planned job worked out: the state after every step with weights, standing, lifts, hands and notes."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from handling_db.carrying.hands import HandLine, hand_limit
from handling_db.jobs.steps.answer import StepFigure, StepsAnswer
from handling_db.jobs.steps.body_figures import body_figures
from handling_db.jobs.steps.carried import carried
from handling_db.jobs.steps.headline import heaviest, lacks, narrowest, not_looked_at, steadied_before
from handling_db.jobs.steps.holds.chain import ChainStep, links
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.holds.unit import Unit
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
from handling_db.jobs.steps.weighing import Scales
from handling_db.lifting.figures import PRACTICE, NamedThing, NoteFigure, TieFigure
from handling_db.lifting.said.notes import notes_about
from handling_db.lifting.ties import joint_figures
from handling_db.quantities.amount import Amount
from handling_db.quantities.mass import add_masses
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, PlanStep
from handling_db.records.kinds.workplace import Shop

# Pieces that come free into somebody's hands, beside the shop's limit for one person.


def in_hands(scales: Scales, freed: Sequence[int], shop: Shop | None) -> tuple[HandLine, ...]:
    """What of some pieces is above the shop's limit, may be, or nobody knows; each by itself, heaviest first.

    Parameters
    ----------
    scales : Scales
    freed : sequence of pieces
        Each as it comes free: an assembly in one piece.
    shop : Shop or None
        Without one, or without a limit, nothing can be said: the list is empty and the answer says so once.
    """
    limit = float(shop.hand_limit.base) if shop is not None and shop.hand_limit is not None else None
    if limit is None:
        return ()
    lines = []
    for piece in freed:
        load, many = _one(scales, piece)
        lines.append(HandLine(scales.unit.component(piece).id, scales.unit.name(piece), f"{many:g}", load))
    found = hand_limit(lines, limit_kg=limit, rule=None, call=None)
    return (*found.above, *found.may_be_above, *found.not_known)


def _one(scales: Scales, piece: int) -> tuple[Amount | None, float]:
    """One of a piece with everything below it, and how many there are. [kg]"""
    unit: Unit = scales.unit
    many = unit.pieces[piece].pieces
    mass = scales.dry(unit.under(piece))
    known = [carried.mass for carried in mass.carried if carried.mass is not None]
    if not known:
        return None, float(many)
    total = add_masses(known)
    complete = total.complete and not mass.missing
    low, best, high = (float(value / many) for value in (total.low, total.best, total.high))
    return Amount(low, best, high if complete else None), float(many)


# Notes at the step they belong to: stored energy first, then what is found to differ, ties, turns.

# What is read before the step is done; the rest is for the bench, the lift sheet and the card.
AT_A_STEP = frozenset({"stored energy", "difference", "temporary tie", "tie", "order", "stick", "turn"})
_ABOUT_PIECES = frozenset({"stored energy", "difference", "order"})


def notes_at(
    unit: Unit, step: PlanStep, freed: frozenset[int], serial: int | None, as_of: datetime.date
) -> tuple[NoteFigure, ...]:
    """Notes about what a step takes out, takes off, lifts or turns, and those that it names itself.

    Parameters
    ----------
    unit : Unit
    step : PlanStep
    freed : frozenset of pieces
        What comes off or goes on in the step.
    serial : int or None
        A note for other serial numbers is left out where the unit has one.
    as_of : date
    """
    things: dict[tuple[str, str], str] = {}
    for tie in step.ties:
        things[("tie", tie.tie)] = "a tie of this step"
        joint = unit.collection.joints.get(tie.joint)
        record = next((t for t in joint.tie_list if t.key(joint.id) == tie.tie), None) if joint else None
        if record is not None and record.part is not None:
            # Notes about bolts are often kept at the set they are counted in.
            things |= {("component", code): "a tie of this step" for code in record.part[-2:]}
    if step.joint is not None:
        things[("joint", step.joint)] = "the joint of this step"
        for seam in unit.seams.get(step.joint, ()):
            things |= {("tie", key): "a tie of the joint" for key in seam.ties}
    if step.lift_group is not None:
        things[("lift group", step.lift_group)] = "the lift of this step"
    found = list(notes_about(unit.collection, things, AT_A_STEP, serial=serial, as_of=as_of))
    pieces = {("component", unit.component(i).id): "comes off or goes on in this step" for i in freed}
    if step.do == "turn":
        pieces[("component", unit.root.id)] = "the unit that is turned"
        found += notes_about(
            unit.collection, pieces, frozenset({"turn", "temporary tie"}), serial=serial, as_of=as_of
        )
    found += notes_about(unit.collection, pieces, _ABOUT_PIECES, serial=serial, as_of=as_of)
    every = frozenset(note.kind for note in unit.collection.notes.values())
    own = {
        (note.about.kind, note.about.id): "named by the step"
        for code in step.notes
        if (note := unit.collection.notes.get(code)) is not None
    }
    named = notes_about(unit.collection, own, every, serial=serial, as_of=as_of)
    found += [note for note in named if note.id in step.notes]
    once = {note.id: note for note in reversed(found)}  # one reason is enough for one note
    return tuple(sorted(once.values(), key=lambda note: (note.kind != "stored energy", note.id)))


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
