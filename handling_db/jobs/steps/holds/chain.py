"""The chain of states of a planned job: what holds and what carries after every step, without any weights."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from handling_db.errors import HandlingError
from handling_db.jobs.steps.holds import oil
from handling_db.jobs.steps.holds.acts import Acts
from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.resources import lacking, used_twice
from handling_db.jobs.steps.holds.state import State, Support
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.quantities.display import without_count
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, PlanStep


@dataclass(frozen=True, slots=True)
class ChainStep:
    """One step with the states before and after it.

    Parameters
    ----------
    number : int
        From 1; 0 is the start, which has no step.
    step : PlanStep or None
    about : int or None
        The piece that the step is about.
    """

    number: int
    step: PlanStep | None
    before: State
    after: State
    events: Events
    about: int | None


def starting(unit: Unit, plan: JobPlan, places: UnitPlaces, events: Events) -> State:
    """The state before the first step: everything on and in, filled, as it is said to stand.

    A plan that takes another one back starts where that one ends.
    """
    other = unit.collection.job_plans.get(plan.reverse_of or "")
    if other is not None and other.reverse_of is None and plan.starts.rests is None:
        return list(links(unit.collection, other, unit, places))[-1].after
    state = State(oil=oil.listed(unit, "filled"))
    up = unit.up_in(plan.starts.attitude)
    rests = plan.starts.rests
    face = None if rests is None or rests.face is None else places.face(rests.face, unit.solid)
    if rests is not None and rests.face is not None and face is None:
        events.find("no such face", face=rests.face, pieces=(unit.root.name,))
    if face is not None and face.looks is not None:
        x, y, z = face.looks
        up = (-x, -y, -z)
    if up is None:
        events.ask("which way up", pieces=(unit.root.name,))
    state = state.turned(unit.solid, up)
    if rests is None:
        events.ask("how it stands", pieces=(unit.root.name,))
        return replace(state, supports=frozenset({Support("not recorded", 0)}))
    down = 0 if rests.on == "machine" else places.lowest(unit.solid, up, face)
    return replace(state, supports=frozenset({Support(rests.on, down, rests)}))


def links(collection: Collection, plan: JobPlan, unit: Unit, places: UnitPlaces) -> Iterator[ChainStep]:
    """The start, then every step, each with what is wrong in it or open as far as ties and carriers go."""
    events = Events()
    state = starting(unit, plan, places, events)
    _fallen(unit, None, state, events)
    yield ChainStep(0, None, state, state, events, 0)
    acts = Acts(unit, places)
    for number, step in enumerate(plan.steps, 1):
        events = Events()
        about = _about(unit, places, state, step, events)
        after = acts.done(state, step, events)
        _fallen(unit, state, after, events)
        used_twice(collection, state, after, step, events)
        lacking(collection, plan.shop, step, events)
        if number == len(plan.steps):
            _at_the_end(unit, plan, after, events)
        yield ChainStep(number, step, state, after, events, about)
        state = after


def _about(unit: Unit, places: UnitPlaces, state: State, step: PlanStep, events: Events) -> int | None:
    """The piece that a step is about, so that its body stands first."""
    try:
        if step.of is not None:
            return unit.follow(step.of.of)
        group = unit.collection.lift_groups.get(step.lift_group or "")
        if group is not None and group.root == unit.root.id:
            return places.hooked_at(group, state)
        hooks = [s.piece for s in state.supports if s.lift]
        if step.do in ("part", "set down", "carry", "weigh") and hooks:
            return hooks[0]
        joint = step.joint or next((tie.joint for tie in step.ties), None)
        if joint is not None and joint in unit.seams:
            return unit.seams[joint][0].second
    except HandlingError as error:
        events.find("cannot be done", why=str(error))
    return None


def held_by_nothing(unit: Unit, state: State) -> tuple[frozenset[int], ...]:
    """Pieces that nothing carries, gathered into what would fall together."""
    gone = state.pieces(unit) - state.held(unit)
    if not gone & unit.leaves:
        return ()
    return tuple(body & gone for body in state.bodies(unit) if body & gone & unit.leaves)


def perhaps_held(unit: Unit, state: State) -> tuple[tuple[frozenset[int], tuple[str, ...]], ...]:
    """Pieces that are carried only if ties hold that nobody looked at, each with these ties."""
    sure, maybe = state.held(unit, count="certain"), state.held(unit)
    hanging = (maybe - sure) & unit.leaves
    if not hanging:
        return ()
    found = []
    for body in state.bodies(unit):
        pieces = body & hanging
        ties = tuple(
            dict.fromkeys(
                bond.what
                for bond in state.bonds(unit)
                if bond.what
                and (bond.first in sure) != (bond.second in sure)
                and {bond.first, bond.second} & (body - sure)
            )
        )
        if pieces:
            found.append((pieces, ties))
    return tuple(found)


def on_temporary_alone(unit: Unit, state: State) -> tuple[frozenset[int], tuple[str, ...]]:
    """Pieces that only temporary ties keep from falling, and these ties."""
    if not state.temporary:
        return frozenset(), ()
    hanging = (state.held(unit) - state.held(unit, count="lasting")) & unit.leaves
    ties = tuple(f"{t.count} x {without_count(str(t.count), t.what)}" for t in state.temporary.values())
    return (hanging, ties) if hanging else (frozenset(), ())


def _fallen(unit: Unit, before: State | None, after: State, events: Events) -> None:
    """What a step leaves with nothing to carry it, surely or perhaps; said once, when it comes to be so."""
    fallen = held_by_nothing(unit, after)
    was = set(held_by_nothing(unit, before)) if fallen and before is not None else set()
    for pieces in fallen:
        if pieces not in was:
            events.find("held by nothing", pieces=tops(unit, pieces), leaves=_kept(pieces & unit.leaves))
    hanging = perhaps_held(unit, after)
    known = {pieces for pieces, _ in perhaps_held(unit, before)} if hanging and before is not None else set()
    for pieces, ties in hanging:
        if pieces not in known:
            events.watch("perhaps held by nothing", pieces=tops(unit, pieces), ties=ties)


def _kept(pieces: frozenset[int]) -> tuple[str, ...]:
    """Piece numbers as facts, for the weight that is worked out later."""
    return tuple(str(piece) for piece in sorted(pieces))


def tops(unit: Unit, pieces: frozenset[int]) -> tuple[str, ...]:
    """Names of the highest occurrences that are wholly among some parts, the heaviest first."""
    whole = [i for i in sorted(unit.solid) if (under := unit.under(i) & unit.leaves) and under <= pieces]
    highest = [i for i in whole if unit.pieces[i].parent not in whole or i == 0]
    ordered = sorted(highest, key=lambda i: -unit.known_kg(i))
    return tuple(dict.fromkeys(unit.name(i) for i in ordered))


def _at_the_end(unit: Unit, plan: JobPlan, state: State, events: Events) -> None:
    for tie in state.temporary.values():
        told = f"{tie.count} x {without_count(str(tie.count), tie.what)}"
        events.find("temporary tie left in", tie=told, joint=_joint_name(unit.collection, tie.joint))
    if plan.back_together == "yes":
        off = tuple(tops(unit, state.aside & unit.leaves)) + tuple(
            f"{many} x {unit.name(piece)}" for piece, many in sorted(state.some.items())
        )
        off += tuple(name for gone in state.loose for name in tops(unit, gone & unit.leaves))
        if off:
            events.find("not on again", pieces=off)
        for joint in sorted(state.parted):
            events.find("not closed again", joint=_joint_name(unit.collection, joint))
        open_ties = tuple(
            dict.fromkeys(
                seam.ties[key].what
                for joint, key in sorted(state.out)
                for seam in unit.seams.get(joint, ())
                if key in seam.ties
            )
        )
        if open_ties:
            events.find("ties not in again", ties=open_ties)


def _joint_name(collection: Collection, joint: str) -> str:
    record = collection.joints.get(joint)
    return record.name if record else joint
