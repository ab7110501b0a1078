"""Where a unit in hand is in its planned job: the steps done, what differs, and what comes next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from handling_db.errors import HandlingError, UnknownNameError, not_there, some_of
from handling_db.families.build import worked_measure
from handling_db.jobs.steps.holds.chain import ChainStep, links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.lifting.occurrences import WayError
from handling_db.quantities.display import without_count
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job, Signed
from handling_db.records.kinds.job_plan import JobPlan
from handling_db.records.written import written


@dataclass(frozen=True, slots=True)
class StepInHand:
    """One step of a plan as it stands with a unit in hand.

    Parameters
    ----------
    number : int
    id, do, what : str
    by, on, differs : str
        By whose role and when it was done, and what was found other than planned; empty where it is not done.
    """

    number: int
    id: str
    do: str
    what: str
    by: str = ""
    on: str = ""
    differs: str = ""


@dataclass(frozen=True, slots=True)
class ProgressAnswer:
    """A unit in hand beside its planned job.

    Parameters
    ----------
    temporary : tuple of str
        Temporary ties that are in by the job's own record: they stand first.
    done, left : tuple of StepInHand
        In the order of the plan.
    skipped : tuple of StepInHand
        Not done although a later one is.
    differs : tuple of Notice
        What is out, in or off by the job's record and not by the steps done, or the other way round.
    """

    job: str
    serial: str
    unit: str
    unit_name: str
    plan: str
    plan_name: str
    temporary: tuple[str, ...]
    done: tuple[StepInHand, ...]
    left: tuple[StepInHand, ...]
    skipped: tuple[StepInHand, ...]
    differs: tuple[Notice, ...]
    cautions: tuple[str, ...]

    @property
    def following(self) -> StepInHand | None:
        """The step that comes next."""
        return self.left[0] if self.left else None

    def of(self, number: int) -> tuple[str, StepInHand | None]:
        """How a step stands: ``done``, ``not done`` though a later one is, ``next`` or ``left``."""
        for word, steps in (("done", self.done), ("not done", self.skipped), ("left", self.left)):
            for step in steps:
                if step.number == number:
                    return ("next" if step == self.following else word), step
        return "left", None


LOOK = "Look at the unit itself: what was done and not written down is in none of this."


def progress_answer(collection: Collection, job: Job) -> ProgressAnswer:
    """Lay a unit in hand beside the plan that it follows.

    Raises
    ------
    HandlingError
        The job follows no plan, or the plan cannot be followed.
    """
    plan = plan_of(collection, job)
    own = _own_plan(plan, job)
    unit = Unit(collection, own)
    chain = list(links(collection, own, unit, UnitPlaces(unit)))
    signed = {plan.place_of(done.step): done for done in job.steps_done}
    steps = []
    for place, step in enumerate(plan.steps):
        done = signed.get(place)
        steps.append(
            StepInHand(
                place + 1,
                step.id or str(place + 1),
                step.do,
                step.what,
                done.by if done else "",
                done.on.isoformat() if done else "",
                (done.differs or "") if done else "",
            )
        )
    last = max((place for place in signed if place is not None), default=-1)
    return ProgressAnswer(
        job=job.id,
        serial="" if job.serial is None else str(job.serial),
        unit=job.unit,
        unit_name=unit.root.name,
        plan=plan.id,
        plan_name=plan.name,
        temporary=tuple(
            f"{tie.count} x {without_count(str(tie.count), tie.what)} (out {tie.out_by})"
            for tie in job.open_temporary_ties
        ),
        done=tuple(step for place, step in enumerate(steps) if place in signed),
        left=tuple(step for place, step in enumerate(steps) if place not in signed and place > last),
        skipped=tuple(step for place, step in enumerate(steps) if place not in signed and place < last),
        differs=tuple(_differences(unit, job, chain[last + 1].after)),
        cautions=(LOOK,),
    )


def plan_of(collection: Collection, job: Job) -> JobPlan:
    """The plan that a job follows.

    Raises
    ------
    HandlingError
        It follows none.
    UnknownNameError
        There is no such plan.
    """
    if job.follows is None:
        known = some_of(sorted(collection.job_plans))
        raise HandlingError(f"job {job.id!r} follows no plan; write 'follows' into it (there are: {known})")
    plan = collection.job_plans.get(job.follows)
    if plan is None:
        raise UnknownNameError(not_there("job plan", job.follows, sorted(collection.job_plans)))
    return plan


def _own_plan(plan: JobPlan, job: Job) -> JobPlan:
    """The plan with the build and serial number of the unit in hand."""
    return plan.model_copy(update={"build": {**plan.build, **job.build}, "serial": job.serial or plan.serial})


def _differences(unit: Unit, job: Job, planned: State) -> Iterator[Notice]:
    """What the record of the job and the steps done do not say alike."""
    out = {(tie.joint, tie.tie) for tie in job.ties_out}
    # A tie that came free in a parting is ticked by nobody.
    freed = {
        (joint, key) for joint in planned.parted for seam in unit.seams.get(joint, ()) for key in seam.ties
    }
    for joint, key in sorted(planned.out - out):
        yield Notice("tie in, planned out", {"tie": _tie(unit, joint, key), "joint": joint})
    for joint, key in sorted(out - planned.out - freed):
        yield Notice("tie out, planned in", {"tie": _tie(unit, joint, key), "joint": joint})
    own = {tie.id: tie for tie in job.open_temporary_ties}
    for name in sorted(set(own) - set(planned.temporary)):
        yield Notice("temporary in, planned out", {"tie": own[name].what})
    for name in sorted(set(planned.temporary) - set(own)):
        yield Notice("temporary out, planned in", {"tie": planned.temporary[name].what})
    off = frozenset[int]()
    some: dict[int, int] = {}
    for taken in job.off:
        try:
            piece = unit.follow(taken.of)
            if taken.quantity is not None:
                some[piece] = some.get(piece, 0) + int(worked_measure(taken.quantity, (), {}))
            else:
                off |= unit.under(piece)
        except WayError as error:
            yield Notice("off nowhere", {"why": str(error)})
    # Pieces that are ties themselves are off with their tie, which is said already.
    ties = {
        i for seams in unit.seams.values() for s in seams for several in s.parts.values() for i in several
    }
    aside = planned.aside | frozenset().union(*planned.loose)
    for piece in sorted({*some, *planned.some} - off - aside):
        seen, meant = some.get(piece, 0), planned.some.get(piece, 0)
        if seen != meant:
            yield Notice("so many off", {"piece": unit.name(piece), "off": seen, "planned": meant})
    more, less = (off - aside) & unit.leaves, (planned.aside - off) & unit.leaves - ties
    if more:
        yield Notice("off, planned on", {"pieces": _names(unit, more)})
    if less:
        yield Notice("on, planned off", {"pieces": _names(unit, less)})


def _names(unit: Unit, pieces: frozenset[int]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(unit.name(i) for i in sorted(pieces)))


def _tie(unit: Unit, joint: str, key: str) -> str:
    seams = unit.seams.get(joint, ())
    return seams[0].ties[key].what if seams and key in seams[0].ties else key


def with_step_done(collection: Collection, job: Job, step: str, signed: Signed, differs: str | None) -> Job:
    """The job with a step of its plan done, and what the step takes out, puts in or takes off written down.

    Raises
    ------
    HandlingError
        The job follows no plan, or that has no such step, or it is done already.
    """
    plan = plan_of(collection, job)
    place = plan.place_of(step)
    if place is None:
        known = [one.id or str(number) for number, one in enumerate(plan.steps, 1)]
        raise UnknownNameError(not_there("step", step, known))
    name = plan.steps[place].id or str(place + 1)
    if any(plan.place_of(done.step) == place for done in job.steps_done):
        raise HandlingError(f"step {name!r} of {plan.name} is done already")
    own = _own_plan(plan, job)
    unit = Unit(collection, own)
    link = list(links(collection, own, unit, UnitPlaces(unit)))[place + 1]
    fields = written("job", job)
    by = {"on": signed.on.isoformat(), "by": signed.by}
    done = {"step": name, **({"differs": differs} if differs else {}), **by}
    fields["steps done"] = [*fields.get("steps done", []), done]
    _write(fields, link, unit, by)
    return Job.model_validate(fields)


def difference_note(
    collection: Collection, job: Job, step: str, differs: str, signed: Signed
) -> dict[str, Any]:
    """What was found other than planned as a draft note: the next one reads it at the same step.

    Parameters
    ----------
    step : str
        Id or number of the step of the job's plan.

    Raises
    ------
    HandlingError
        The job follows no plan, or that has no such step.
    """
    plan = plan_of(collection, job)
    place = plan.place_of(step)
    if place is None:
        known = [one.id or str(number) for number, one in enumerate(plan.steps, 1)]
        raise UnknownNameError(not_there("step", step, known))
    planned = plan.steps[place]
    joint = planned.joint or next((tie.joint for tie in planned.ties), None)
    about = {"component": planned.pieces[0].of[-1] if planned.pieces else job.unit}
    if planned.lift_group is not None:
        about = {"lift group": planned.lift_group}
    elif joint is not None:
        about = {"joint": joint}
    seen = f"job {job.id}" + (f", serial {job.serial}" if job.serial is not None else "")
    return {
        "about": about,
        "kind": "difference",
        "text": differs,
        "facts": {"expected": planned.what, "found": differs},
        "told by": "shop",
        "author": signed.by,
        **({"shop": job.shop} if job.shop is not None else {}),
        "on": signed.on.isoformat(),
        "seen": seen,
        "status": "draft",
    }


def _write(fields: dict[str, Any], link: ChainStep, unit: Unit, by: dict[str, str]) -> None:
    """What a step changes, in the fields of the job."""
    before, after = link.before, link.after
    out = [_kept(tie) for tie in _list(fields, "ties out")]
    out = [tie for tie in out if (tie["joint"], tie["tie"]) not in before.out - after.out]
    known = {(tie["joint"], tie["tie"]) for tie in out}
    out += [{"joint": j, "tie": t, **by} for j, t in sorted(after.out - before.out - known)]
    ties = [_kept(tie) for tie in _list(fields, "temporary ties")]
    for tie in ties:
        if tie["id"] in before.temporary and tie["id"] not in after.temporary and "out" not in tie:
            tie["out"] = by
    have = {tie["id"] for tie in ties}
    for name, put in after.temporary.items():
        if name not in before.temporary and name not in have:
            plain = put.as_written()
            plain.pop("holds up to", None)
            ties.append({**plain, "out by": "the step of the plan that takes it out", **by})
    gone = after.aside - before.aside
    tops = [i for i in sorted(gone) if i and unit.pieces[i].parent not in gone - {0}]
    parts = {
        i for seams in unit.seams.values() for s in seams for several in s.parts.values() for i in several
    }
    off = [_kept(one) for one in _list(fields, "off")]
    back = {unit.pieces[i].way for i in before.aside - after.aside}
    off = [one for one in off if tuple(one["of"]) not in back]
    changed = {i for i in {*before.some, *after.some} if before.some.get(i) != after.some.get(i)}
    ways = {unit.pieces[i].way for i in changed}
    off = [one for one in off if not (tuple(one["of"]) in ways and "quantity" in one)]
    off += [
        {"of": list(unit.pieces[i].way), "quantity": str(after.some[i]), **by}
        for i in sorted(changed)
        if i in after.some
    ]
    listed = {tuple(one["of"]) for one in off}
    off += [
        {"of": list(unit.pieces[i].way), **by}
        for i in tops
        if unit.pieces[i].way not in listed
        and (i not in parts or link.step is None or link.step.do == "take off")
    ]
    for word, items in (("ties out", out), ("temporary ties", ties), ("off", off)):
        if items:
            fields[word] = items
        else:
            fields.pop(word, None)


def _list(fields: dict[str, Any], word: str) -> Sequence[Any]:
    found = fields.get(word, [])
    return found if isinstance(found, list) else []


def _kept(item: Any) -> dict[str, Any]:
    assert isinstance(item, dict)
    return dict(item)
