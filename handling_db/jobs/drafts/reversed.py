"""The way back: a planned job done backwards as a draft, with what does not reverse listed for a person."""

from __future__ import annotations

from collections.abc import Iterator

from handling_db.jobs.steps.holds.chain import ChainStep, links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, PlanStep, Resting, TemporaryPlanned
from handling_db.records.kinds.lift_group import Mention

STICKS = ("seal", "sealant", "paint", "rust")
TORQUE = ("bolts", "studs")


def reversed_plan(collection: Collection, plan: JobPlan, name: str) -> JobPlan:
    """The steps of a planned job from the last to the first, each done the other way round.

    Parameters
    ----------
    collection : Collection
    plan : JobPlan
    name : str
        Id of the new record.

    Raises
    ------
    PlanError, WayError, BuildError
        The unit cannot be followed.
    """
    unit = Unit(collection, plan)
    chain = list(links(collection, plan, unit, UnitPlaces(unit)))
    steps = [step for link in reversed(chain[1:]) for step in _back(link, plan, unit)]
    listed = tuple(dict.fromkeys((*plan.does_not_reverse, *_for_a_person(collection, chain))))
    look = PlanStep.model_construct(do="look", what="Nothing of this job can be done backwards")
    return plan.model_copy(
        update={
            "job_plan": name,
            "name": f"{plan.name}, the way back",
            "starts": type(plan.starts)(),
            "steps": tuple(steps) or (look,),
            "back_together": "yes",
            "reverse_of": plan.id,
            "does_not_reverse": listed,
            "remark": None,
        }
    )


def _back(link: ChainStep, plan: JobPlan, unit: Unit) -> Iterator[PlanStep]:
    """One step the other way round; nothing for what is only looked at or weighed."""
    step = link.step
    assert step is not None  # the start is left out
    own = f"back: {step.what[:1].lower()}{step.what[1:]}"
    if step.do in ("drain", "fill"):
        yield _made("fill" if step.do == "drain" else "drain", own, of=step.of)
    elif step.do == "tie out":
        put = _defined(plan, step.temporary_out)
        if step.ties or put:
            yield _made("tie in", own, ties=step.ties, temporary=put, by=step.by)
    elif step.do == "tie in":
        out = tuple(tie.id for tie in step.temporary)
        yield _made("tie out", own, ties=step.ties, temporary_out=out, by=step.by)
    elif step.do == "take off" or (step.do == "put on" and step.joint is None):
        do = "put on" if step.do == "take off" else "take off"
        yield _made(do, own, ties=step.ties, pieces=step.pieces, by=step.by, lift_group=step.lift_group)
    elif step.do == "hook on":
        yield _made("hook off", own, lift_group=step.lift_group)
    elif step.do == "part":
        hooks = sorted(s.lift for s in link.before.supports if s.lift)
        sides = [s.piece for s in link.before.supports if s.lift]
        way = (Mention(of=unit.pieces[sides[0]].way),) if sides else ()
        yield _made(
            "put on",
            own,
            joint=step.joint,
            pieces=way,
            lift_group=hooks[0] if hooks else None,
            ties=step.ties,
        )
    elif step.do == "set down":
        hooks = sorted(s.lift for s in link.before.supports if s.lift and s not in link.after.supports)
        if hooks:
            yield _made("hook on", own, lift_group=hooks[0])
    elif step.do == "turn":
        yield from _turned_back(link, own, unit)
    elif step.do == "carry":
        yield _made("carry", own, mover=step.mover, route=step.route, of=step.of)


def _turned_back(link: ChainStep, own: str, unit: Unit) -> Iterator[PlanStep]:
    """Standing as before the turn; the turn itself has no record the other way."""
    before = next((s for s in link.before.supports if s.rests is not None), None)
    rests = before.rests if before is not None and before.rests is not None else Resting(on="floor")
    step = link.step
    assert step is not None
    of = step.of or Mention(of=(unit.root.id,))
    piece = unit.follow(of.of)
    was = link.before.up.get(piece)
    attitude = next((a.id for a in unit.root.attitudes if was is not None and unit.up_in(a.id) == was), None)
    yield _made("set down", own, of=of, rests=rests, attitude=attitude, remark=NO_TURN)


NO_TURN = "The turn the other way is not recorded: record a lift group with its own 'turn', and name it here."


def _defined(plan: JobPlan, ids: tuple[str, ...]) -> tuple[TemporaryPlanned, ...]:
    """The temporary ties of some ids, as the plan puts them in."""
    every = {tie.id: tie for step in plan.steps for tie in step.temporary}
    return tuple(every[name] for name in ids if name in every)


def _made(do: str, what: str, **fields: object) -> PlanStep:
    given = {name: value for name, value in fields.items() if value not in (None, ())}
    return PlanStep.model_construct(do=do, what=f"{what[:1].upper()}{what[1:]}"[:200], **given)  # type: ignore[arg-type]


def _for_a_person(collection: Collection, chain: list[ChainStep]) -> Iterator[str]:
    """What is not simply done backwards, in the order of the way back."""
    for link in reversed(chain[1:]):
        step = link.step
        assert step is not None
        if step.does_not_reverse:
            yield f"{step.what}: {step.does_not_reverse}"
        if step.do == "turn":
            yield f"{step.what}: {NO_TURN}"
        for need in step.needs:
            fixture = collection.fixtures.get(need.fixture or "")
            if fixture is not None and fixture.kind == "parting aid":
                yield f"{fixture.name}: in before the halves go together, out when their bolts are in."
        for named in step.ties:
            joint = collection.joints.get(named.joint)
            tie = next((t for t in joint.tie_list if t.key(joint.id) == named.tie), None) if joint else None
            if tie is not None and tie.kind in TORQUE:
                yield f"{tie.what}: torque and order of tightening stand in no record here."
        if step.joint is not None and step.joint in collection.joints:
            joint = collection.joints[step.joint]
            for tie in joint.tie_list:
                if tie.kind in STICKS and tie.there != "none":
                    yield f"{tie.what}: cleaned off and new."
        for put in step.temporary:
            yield f"{put.what}: drafted in on the way back, too; whether that is right a person decides."
