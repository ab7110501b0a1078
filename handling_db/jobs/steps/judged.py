"""What the weights of a step have to say: standing, landing, trucks, lifts, temporary ties, what falls."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.jobs.steps.answer import BodyFigure
from handling_db.jobs.steps.holds.chain import ChainStep, on_temporary_alone
from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.lifts import lift_events, matching
from handling_db.jobs.steps.means import Means
from handling_db.jobs.steps.standing import MOST_APART, rests_on, tips_deg
from handling_db.lifting.figures import LiftAnswer
from handling_db.quantities.notice import Notice
from handling_db.records.kinds.job_plan import PlanStep
from handling_db.records.parts.three_valued import listed


def standing_events(
    means: Means, bodies: Sequence[BodyFigure], link: ChainStep, step: PlanStep | None
) -> None:
    """What stands narrow or not at all, where the step changed how it stands."""
    events = link.events
    for body in bodies:
        degrees = body.tips_deg
        stands = [c for c in body.carried_by if c.kind not in ("hook", "hands", "machine", "not recorded")]
        if not stands:
            continue
        if body.standing is not None and body.standing.not_known and not body.standing.face:
            events.ask("standing not known", body=body.name, why=body.standing.not_known)
        if body.not_gone_through:
            events.ask("not gone through", body=body.name, most=MOST_APART, ties=body.perhaps)
        if degrees is None:
            if body.standing is not None and _changed(body, link):
                events.ask("standing not known", body=body.name, why=body.standing.not_known)
            continue
        if not _changed(body, link):
            continue
        figure = body.standing
        sure = tips_deg(figure)
        if sure == 0.0 and figure is not None:
            say = events.watch if step is not None and step.steadied_by else events.find
            kind = "does not stand" if figure.surely else "may not stand"
            say(kind, body=body.name, on=stands[0].name, outside_m=figure.outside_m,
                steadied=step.steadied_by if step is not None else None)  # fmt: skip
        elif degrees < means.least_tip:
            weakest = body.standing.weakest if body.standing is not None else None
            if sure is not None and sure >= means.least_tip:
                events.watch(
                    "perhaps narrow", body=body.name, tips_deg=degrees, ties=body.perhaps,
                    least_deg=means.least_tip, whose=means.whose_tip,
                )  # fmt: skip
            else:
                events.watch(
                    "narrow", body=body.name, tips_deg=degrees, before_deg=body.before_deg,
                    towards=weakest.towards if weakest is not None else "", least_deg=means.least_tip,
                    whose=means.whose_tip,
                    steadied=step.steadied_by if step is not None else None,
                )  # fmt: skip


def lift_told(means: Means, lift: LiftAnswer, step: PlanStep, events: Events) -> None:
    """What is wrong with a lift, once for the chain: it hangs there from hooking on to setting down."""
    told = Events()
    lift_events(means.collection, lift, step, means.share, told)
    for shelf, new in (
        (events.findings, told.findings),
        (events.cautions, told.cautions),
        (events.asked, told.asked),
    ):
        for notice in new:
            if (lift.id, notice) not in means.told:
                means.told.add((lift.id, notice))
                shelf.append(notice)


def match_events(means: Means, link: ChainStep, lift: LiftAnswer) -> None:
    """Whether what the hook took off is what its lift was worked out for."""
    step = link.step
    if step is None or step.do not in ("part", "take off"):
        return
    taken = means.lifts.taken(lift.id, link.after)
    body = next(
        (link.after.body_of(means.unit, s.piece) for s in link.after.supports if s.lift == lift.id),
        frozenset[int](),
    )
    if step.do == "take off":
        body = loosened(link.before, link.after) | (link.after.aside - link.before.aside)
        taken = means.lifts.taken(lift.id, link.before)
    parted = step.joint in link.after.parted if step.do == "part" else bool(body)
    if body and parted:
        matching(means.unit, lift.name, body, taken, link.events)


def temporary_events(means: Means, link: ChainStep, step: PlanStep) -> None:
    """Temporary ties that alone carry something, where they come to; in a turn once more."""
    alone, ties = on_temporary_alone(means.unit, link.after)
    was, ties_before = on_temporary_alone(means.unit, link.before)
    if step.do == "turn":  # while it goes over they carry what they carried before
        alone, ties, was = was, ties_before, frozenset()
    if alone and not was:
        weighed = means.scales.weigh(alone, link.after.oil, link.after.pieces(means.unit), link.after.some)
        kg = weighed.kg
        link.events.watch(
            "on temporary ties alone",
            ties=ties,
            body=means.scales.name(alone),
            at_least_kg=kg.low if kg is not None else None,
            most_kg=kg.high if kg is not None else None,
        )


def landing_events(means: Means, link: ChainStep) -> None:
    """What a piece is set down on, beside what that is rated for."""
    events = link.events
    for support in sorted(link.after.supports - link.before.supports, key=lambda s: s.piece):
        rests = support.rests
        if rests is None or not rests_on(support):
            continue
        weighed = means.weighed(link.after, support.piece)
        fixture = means.collection.fixtures.get(rests.fixture or "")
        pallet = means.collection.pallets.get(rests.pallet or "")
        rated = name = None
        if fixture is not None:
            name = fixture.name
            if fixture.standing == "rated" and fixture.rated_load is not None:
                rated = float(fixture.rated_load.base)
        elif pallet is not None:
            name = pallet.name
            rated = min((float(row.rated.base) for row in listed(pallet.ratings)), default=None)
        if name is None:
            continue
        if rated is None:
            events.ask("no rating recorded", name=name)
        elif weighed.kg is not None:
            asked = weighed.kg.low if weighed.kg.high is None else weighed.kg.high
            if asked > rated:
                events.find("over its rating", name=name, asked_kg=asked, rated_kg=rated)


def weigh_fallen(means: Means, link: ChainStep) -> None:
    """What falls, with its weight: the chain names the pieces, here they are weighed."""
    findings = link.events.findings
    for place, notice in enumerate(findings):
        if notice.kind != "held by nothing":
            continue
        named = notice.facts["leaves"]
        assert isinstance(named, tuple)
        pieces = frozenset(int(str(piece)) for piece in named)
        kg = means.scales.weigh(
            pieces, (), pieces, link.after.some
        ).kg  # what falls, without fluid that may be in it
        facts = {key: value for key, value in notice.facts.items() if key != "leaves"}
        findings[place] = Notice(
            notice.kind if kg is not None else "held by nothing, not weighed",
            {
                **facts,
                "best_kg": kg.best if kg is not None else None,
                "most_kg": kg.high if kg is not None else None,
            },
        )


def loosened(before: State, after: State) -> frozenset[int]:
    """Pieces lifted off, or put back, in a step."""
    changed = before.loose ^ after.loose
    return frozenset[int]().union(*changed) if changed else frozenset()


def _changed(body: BodyFigure, link: ChainStep) -> bool:
    """Whether a step changed how a body stands: its pieces, its stand or its centre."""
    if link.step is None:
        return True
    return body.before_deg is None or body.tips_deg is None or abs(body.tips_deg - body.before_deg) > 1e-9
