"""Planned jobs: what their steps name that is not there, and steps that cannot follow one another."""

from __future__ import annotations

from collections.abc import Iterator

from handling_db.checker.evidence import Evidence, Path, nothing_there
from handling_db.checker.named import named_by
from handling_db.checker.rules.handling.lifting import recorded_way
from handling_db.checker.rules.inner_names import faces_among
from handling_db.errors import HandlingError
from handling_db.findings import Finding
from handling_db.jobs.steps.holds.chain import links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.jobs.steps.said.notices import remedy, sentence
from handling_db.quantities.notice import Notice
from handling_db.records.kinds.job_plan import JobPlan, PlanStep

REFERENCE, STEP = "job-plan-reference", "job-plan-step"
NAMED = (
    "unit = component; shop = shop; reverse of = job plan; starts.rests.fixture = fixture; "
    "starts.rests.pallet = pallet; starts.rests.mover = mover; steps.*.ties.*.joint = joint; "
    "steps.*.temporary.*.joint = joint; steps.*.temporary.*.fixture = fixture; "
    "steps.*.oil left.*.fluid = component; steps.*.needs.*.fixture = fixture; steps.*.needs.*.gear = gear; "
    "steps.*.needs.*.mover = mover; steps.*.notes.* = note; steps.*.lift group = lift group; "
    "steps.*.joint = joint; steps.*.mover = mover; steps.*.scale = source; steps.*.rests.fixture = fixture; "
    "steps.*.rests.pallet = pallet; steps.*.rests.mover = mover"
)


def job_plan_reference(evidence: Evidence) -> Iterator[Finding]:
    """A planned job, or a job that follows one, that names what is not there."""
    for code, plan in sorted(evidence.collection.job_plans.items()):
        yield from _named(evidence, code, plan)
    yield from _followed(evidence)


def _named(evidence: Evidence, code: str, plan: JobPlan) -> Iterator[Finding]:
    for path, target, wanted in named_by(plan, NAMED):
        if evidence.absent(target, wanted):
            yield nothing_there(evidence, REFERENCE, ("job plan", code, path), target, wanted)
    if plan.unit in evidence.collection.components:
        yield from _inside(evidence, code, plan)


def _inside(evidence: Evidence, code: str, plan: JobPlan) -> Iterator[Finding]:
    """Ties of joints, ways through the unit, faces and attitudes of it, ways through the shop."""
    collection = evidence.collection
    unit = collection.components[plan.unit]
    faces = faces_among(evidence, (unit.id, *evidence.below(unit.id)))
    attitudes = frozenset(attitude.id for attitude in unit.attitudes)
    shop = collection.shops.get(plan.shop or "")
    routes = frozenset(route.id for route in shop.routes) if shop is not None else frozenset()
    known: list[tuple[Path, str, str | None, frozenset[str]]] = [
        (("starts", "attitude"), "attitude", plan.starts.attitude, attitudes)
    ]
    if plan.starts.rests is not None:
        known.append((("starts", "rests", "face"), "set-down face", plan.starts.rests.face, faces))
    for i, step in enumerate(plan.steps):
        at: Path = ("steps", i)
        known.append(((*at, "attitude"), "attitude", step.attitude, attitudes))
        if step.rests is not None:
            known.append(((*at, "rests", "face"), "set-down face", step.rests.face, faces))
        if shop is not None:
            known.append(((*at, "route"), "way of this shop", step.route, routes))
        for j, tie in enumerate(step.ties):
            joint = collection.joints.get(tie.joint)
            if joint is not None:
                keys = frozenset(one.key(joint.id) for one in joint.tie_list)
                known.append(((*at, "ties", j, "tie"), f"tie of {joint.name}", tie.tie, keys))
        yield from _ways(evidence, code, plan, i, step)
    for path, target, wanted, there in known:
        if wanted is not None and wanted not in there:
            yield nothing_there(evidence, REFERENCE, ("job plan", code, path), target, wanted, there)


def _ways(evidence: Evidence, code: str, plan: JobPlan, i: int, step: PlanStep) -> Iterator[Finding]:
    ways = [(("steps", i, "pieces", j), way.of) for j, way in enumerate(step.pieces)]
    if step.of is not None:
        ways.append((("steps", i, "of", 0), step.of.of))
    for path, way in ways:
        bare = way[1:] if way[0] == plan.unit else way
        if not recorded_way(evidence, plan.unit, bare):
            yield evidence.at("job plan", code, *path).fault(
                REFERENCE,
                f"{' > '.join(way)} is no way through the part lines of {plan.unit};",
                "write the ids from the unit's child down to the piece.",
            )


def _followed(evidence: Evidence) -> Iterator[Finding]:
    """Jobs that follow a plan that is not there, is about another unit, or has no such step."""
    for code, job in sorted(evidence.collection.jobs.items()):
        if job.follows is None:
            continue
        plan = evidence.collection.job_plans.get(job.follows)
        if plan is None:
            yield nothing_there(evidence, REFERENCE, ("job", code, ("follows",)), "job plan", job.follows)
            continue
        if plan.unit != job.unit:
            yield _wrong(evidence, code, ("follows",), f"{plan.name} is about {plan.unit}, not {job.unit}")
        for i, done in enumerate(job.steps_done):
            if plan.place_of(done.step) is None:
                told = f"{plan.name} has no step {done.step!r}"
                yield _wrong(evidence, code, ("steps done", i, "step"), told)


def _wrong(evidence: Evidence, job: str, path: Path, told: str) -> Finding:
    return evidence.at("job", job, *path).fault(REFERENCE, f"{told};", "correct the id.")  # fmt: skip


def job_plan_step(evidence: Evidence) -> Iterator[Finding]:
    """A step that leaves a piece held by nothing, parts a joint with a tie across, or is out of order.

    Weights, standing and ratings are for `handling-db steps`: here only ties and what carries count.
    """
    for code, plan in sorted(evidence.collection.job_plans.items()):
        if any(_named(evidence, code, plan)):
            continue  # said with file and line already
        try:
            unit = Unit(evidence.collection, plan)
            chain = list(links(evidence.collection, plan, unit, UnitPlaces(unit)))
        except HandlingError as error:
            told = Notice("cannot be done", {"why": str(error)})
            yield _step(evidence, code, ("steps",), "", told)
            continue
        for link in chain:
            path: Path = ("steps", link.number - 1) if link.number else ("starts",)
            where = f"step {link.number}: " if link.number else ""
            for notice in link.events.findings:
                yield _step(evidence, code, path, where, _unweighed(notice))


def _unweighed(notice: Notice) -> Notice:
    """What falls, without the weight that is worked out elsewhere."""
    if notice.kind != "held by nothing":
        return notice
    return Notice("held by nothing, not weighed", {"pieces": notice.facts["pieces"]})


def _step(evidence: Evidence, code: str, path: Path, where: str, notice: Notice) -> Finding:
    told = sentence(notice).rstrip(".")
    return evidence.at("job plan", code, *path).disagrees(
        STEP, f"{where}{told[:1].lower() if where else told[:1]}{told[1:]};", remedy(notice)
    )
