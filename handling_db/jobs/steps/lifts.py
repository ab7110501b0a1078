"""The lifts and turns of a planned job with the ties and pieces of their step, and what of them is wrong."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace

from handling_db.errors import HandlingError
from handling_db.jobs.steps.holds.chain import tops
from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.jobs.steps.weighing import some_taken
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.load.answer import Assumed
from handling_db.lifting.occurrences import sort_out
from handling_db.lifting.turn.answer import turn_answer
from handling_db.lifting.turn.figures import TurnAnswer
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job, Signed, TakenOff, TemporaryTie, TieOut
from handling_db.records.kinds.job_plan import JobPlan, PlanStep
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.workplace import Mover
from handling_db.rigging.factors import Factors

HOISTS = ("hoist", "crane", "jib", "gantry")


@dataclass(frozen=True, slots=True)
class StepsQuestion:
    """What is asked besides the plan.

    Parameters
    ----------
    as_of : date
        Past which inspections and notes are over.
    factors : Factors, optional
        Published rating rules.
    assumed : mapping of component id to (low, high), optional
        Ranges for parts without a mass. [kg]
    """

    as_of: datetime.date
    factors: Factors | None = None
    assumed: Assumed | None = None


def job_of(unit: Unit, plan: JobPlan, state: State, as_of: datetime.date, number: int) -> Job:
    """The unit as it is in a state, as a unit in hand: what lifts, turns and joints ask about it."""
    signed = Signed(on=as_of, by=f"planned by step {number}")
    # The unit itself has no way: where all of it is off, its parts are.
    off = sorted(i for i in state.aside if i and unit.pieces[i].parent not in state.aside - {0})
    return Job.model_construct(
        job=plan.id,
        unit=unit.root.id,
        serial=plan.serial,
        build=dict(unit.texts),
        shop=plan.shop,
        opened=signed,
        ties_out=tuple(TieOut(joint=j, tie=t, on=signed.on, by=signed.by) for j, t in sorted(state.out)),
        temporary_ties=tuple(
            TemporaryTie.model_construct(
                id=tie.id, joint=tie.joint, what=tie.what, count=tie.count, grade=tie.grade, hole=tie.hole,
                places=tie.places, fixture=tie.fixture, out_by="the step that takes it out",
                on=signed.on, by=signed.by,
            )
            for tie in state.temporary.values()
        ),
        off=(
            *(TakenOff(of=unit.pieces[i].lines, on=signed.on, by=signed.by) for i in off),
            *(some_taken(unit, i, many, signed.on, signed.by) for i, many in sorted(state.some.items())),
        ),
    )  # fmt: skip


def with_own_hoist(collection: Collection, plan: JobPlan) -> tuple[Collection, Mapping[str, Mover | None]]:
    """The records with the lifts of a plan on a hoist of its shop, where theirs is another shop's.

    Returns
    -------
    collection : Collection
        The same one where nothing changes.
    mapping of lift group id to Mover or None
        The lifts that were put on another hoist, and which: the strongest there; None: the shop has none.
    """
    shop = collection.shops.get(plan.shop or "")
    if shop is None:
        return collection, {}
    here = [collection.movers[code] for code in shop.movers if code in collection.movers]
    hoists = [mover for mover in here if mover.kind in HOISTS]
    best = max(hoists, key=lambda m: (m.rated is not None, m.rated.base if m.rated else 0), default=None)
    changed: dict[str, Mover | None] = {}
    groups = dict(collection.lift_groups)
    for step in plan.steps:
        group = groups.get(step.lift_group or "")
        if group is None or group.mover is None or group.mover in shop.movers:
            continue
        changed[group.id] = best
        groups[group.id] = group.model_copy(update={"mover": best.id if best else None})
    if not changed:
        return collection, {}
    return replace(collection, lift_groups=groups), changed


class Lifts:
    """Works out the lifts and turns of a plan, each with the ties and pieces of its step, and each once."""

    def __init__(self, unit: Unit, plan: JobPlan, question: StepsQuestion) -> None:
        self.unit = unit
        self.plan = plan
        self.question = question
        self._lifts: dict[tuple[object, ...], LiftAnswer] = {}

    def lift(self, state: State, step: PlanStep, number: int, events: Events) -> LiftAnswer | None:
        """The lift a step is about: the one it names, or what hangs on the hook when a joint is parted."""
        name = step.lift_group
        if name is None and step.do == "part":
            hooked = sorted(s.lift for s in state.supports if s.lift)
            name = hooked[0] if hooked else None
        if name is None or step.do in ("turn", "hook off") or name not in self.unit.collection.lift_groups:
            return None
        key = (
            name,
            state.aside,
            tuple(sorted(state.some.items())),
            state.out,
            tuple(sorted(state.temporary)),
        )
        if key not in self._lifts:
            try:
                self._lifts[key] = lift_answer(self.unit.collection, name, self._asked(state, number, name))
            except HandlingError as error:
                events.find("lift cannot be worked out", lift=name, why=str(error))
                return None
        return self._lifts[key]

    def turn(self, state: State, step: PlanStep, number: int, events: Events) -> TurnAnswer | None:
        """The turn a step is about."""
        group = self.unit.collection.lift_groups.get(step.lift_group or "")
        if step.do != "turn" or group is None or group.turn is None:
            return None
        try:
            return turn_answer(self.unit.collection, group.id, self._asked(state, number, group.id))
        except HandlingError as error:
            events.find("lift cannot be worked out", lift=group.name, why=str(error))
            return None

    def _asked(self, state: State, number: int, name: str) -> LiftQuestion:
        asked = self.question
        job = job_of(self.unit, self.plan, state, asked.as_of, number)
        group = self.unit.collection.lift_groups[name]
        inside = self._codes(group, state)
        assumed = {code: limits for code, limits in (asked.assumed or {}).items() if code in inside}
        return LiftQuestion(job=job, as_of=asked.as_of, factors=asked.factors, assumed=assumed or None)

    def _codes(self, group: LiftGroup, state: State) -> frozenset[str]:
        sides = sort_out(self.unit.collection, self.unit.ways, group)
        return frozenset(
            self.unit.component(i).id for i in self.unit.leaves - state.aside if sides[i].part > 0
        )

    def taken(self, name: str, state: State) -> frozenset[int]:
        """The parts that a recorded lift takes and that are there."""
        group = self.unit.collection.lift_groups[name]
        sides = sort_out(self.unit.collection, self.unit.ways, group)
        return frozenset(i for i in self.unit.leaves - state.aside if sides[i].part > 0)


def lift_events(
    collection: Collection, lift: LiftAnswer, step: PlanStep, share: float | None, events: Events
) -> None:
    """What of a lift is wrong: over a rating, over it where it has to break loose, no room, a point covered.

    Parameters
    ----------
    collection : Collection
    lift : LiftAnswer
    step : PlanStep
    share : float or None
        The shop's break-loose share; it counts where the lift parts a joint.
    events : Events
    """
    for row in lift.ratings:
        if row.over:
            events.find("over its rating", name=row.name, asked_kg=row.demand_kg, rated_kg=row.rating_kg)
    open_rows = tuple(row.name for row in lift.ratings if row.not_compared and row.kind != "hoist")
    if open_rows:
        events.ask("ratings not compared", names=open_rows, lift=lift.name)
    mover, expected = lift.mover, lift.reading.expected
    rated = mover.rating_kg if mover is not None else None
    if mover is not None and rated is not None and expected is not None:
        high = expected.high
        group = collection.lift_groups[lift.id]
        breaks = bool(share) and bool(group.parts_joints) and step.do in ("part", "take off", "hook on")
        if high is None:
            events.watch("no upper figure", lift=lift.name, missing=lift.missing, at_least_kg=expected.low)
        elif breaks and high <= rated < high * (1 + (share or 0.0)):
            events.find(
                "over once it has to break loose",
                name=mover.name,
                reading_kg=high,
                loose_kg=high * (1 + (share or 0.0)),
                part_share=share,
                rated_kg=rated,
            )
    elif mover is None:
        events.ask("no hoist recorded", lift=lift.name)
    elif rated is None:
        events.ask("no rating recorded", name=mover.name)
    room = lift.headroom
    if room is not None and room.left_m is not None and room.left_m < 0.0:
        events.find("no headroom", lift=lift.name, short_m=-room.left_m)
    for point in lift.points:
        if point.used and point.blocked:
            events.find("pick point covered", point=point.name, lift=lift.name, words=point.blocked_words)
    if lift.legs is not None:
        slack = tuple(leg.point for leg in lift.legs.legs if leg.slack)
        if slack:
            events.find("leg goes slack", points=slack, lift=lift.name)
        stability = lift.legs.stability
        if stability is not None and stability.turns_over:
            events.find("turns over on the hook", lift=lift.name)
        elif stability is not None and stability.may_turn_over:
            events.find("may turn over on the hook", lift=lift.name)


def matching(unit: Unit, lift_name: str, body: frozenset[int], taken: frozenset[int], events: Events) -> None:
    """Whether what came off on the hook is what the lift was worked out for."""
    leaves = body & unit.leaves
    more, less = leaves - taken, taken - leaves
    if more:
        events.find("comes along", lift=lift_name, pieces=tops(unit, more))
    if less:
        events.find("stays behind", lift=lift_name, pieces=tops(unit, less))


def turn_events(turn: TurnAnswer, step: PlanStep, rated_kg: float | None, events: Events) -> None:
    """A turn at its start, at its worst and at its end."""
    if turn.no_figures:
        events.watch("turn without figures", why=turn.no_figures)
    worst = max((s.hook_high_kg for s in turn.steps), default=None)
    if worst is not None and rated_kg is not None and worst > rated_kg:
        at = max(turn.steps, key=lambda s: s.hook_high_kg).turned
        events.find("turn over the hoist", most_kg=worst, at_deg=at, rated_kg=rated_kg)
    if turn.goes_over_range is not None:
        first = turn.goes_over_range[0]
        if turn.hold is not None:
            events.watch("goes over, held by line", first_deg=first, line=turn.hold.what)
        elif step.steadied_by is not None:
            events.watch("goes over, held back", first_deg=first, by=step.steadied_by)
        else:
            events.find("goes over by itself", first_deg=first)
    bolts = max((bolts.most_n for bolts in turn.bolts), default=None)
    if bolts is not None:
        events.watch("bolts pull in the turn", most_n=bolts)
