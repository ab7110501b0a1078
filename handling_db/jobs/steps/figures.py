"""A planned job worked out: the state after every step with weights, standing, lifts, hands and notes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from handling_db.errors import UnknownNameError
from handling_db.jobs.steps.answer import (
    BodyFigure,
    Carrier,
    Heaviest,
    Narrowest,
    StepFigure,
    StepsAnswer,
)
from handling_db.jobs.steps.chain import Link, links, on_temporary_alone, perhaps_held
from handling_db.jobs.steps.events import Events
from handling_db.jobs.steps.hands import in_hands
from handling_db.jobs.steps.lifts import (
    Lifts,
    StepsQuestion,
    job_of,
    lift_events,
    matching,
    turn_events,
    with_own_hoist,
)
from handling_db.jobs.steps.notes import notes_at
from handling_db.jobs.steps.places import Places
from handling_db.jobs.steps.standing import perhaps_standing, place_words, rests_on, standing, tips_deg
from handling_db.jobs.steps.state import State, Support
from handling_db.jobs.steps.unit import Unit
from handling_db.jobs.steps.weighing import Scales, Weighed
from handling_db.lifting.asked import not_there
from handling_db.lifting.figures import (
    PRACTICE,
    CentreFigure,
    LiftAnswer,
    NamedThing,
    SetDownFigure,
    TieFigure,
)
from handling_db.lifting.ties import joint_figures
from handling_db.mechanics.vectors import Vector, distance
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, PlanStep
from handling_db.records.kinds.workplace import Mover, Shop
from handling_db.records.parts.three_valued import listed
from handling_db.shop.answer import gear_lines
from handling_db.shop.figures import HandLine

LEAST_TIP = 8.0  # where the shop states none; common practice, no source [deg]

CAUTIONS = (
    "Figures, not permission. Data plates, tags and local rules come first; "
    "a competent person plans the job.",
    "Worked out from what is recorded: what nobody recorded is in none of these figures.",
    f"Static figures: pulling, hammering, swing and oil that runs come on top. [{PRACTICE}]",
    f"Nobody under or inside a load; look at every step whether it is as it was planned. [{PRACTICE}]",
)


def job_plan_named(collection: Collection, name: str) -> JobPlan:
    """The planned job of that id.

    Raises
    ------
    UnknownNameError
        There is none; the message lists those there are.
    """
    plan = collection.job_plans.get(name)
    if plan is None:
        raise UnknownNameError(not_there("job plan", name, sorted(collection.job_plans)))
    return plan


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
    return _Working(records, plan, question, moved).answer()


class _Working:
    """Goes along the chain and gathers the figures of every step."""

    def __init__(
        self,
        collection: Collection,
        plan: JobPlan,
        question: StepsQuestion,
        moved: Mapping[str, Mover | None],
    ) -> None:
        self.collection = collection
        self.plan = plan
        self.question = question
        self.moved = moved
        self.unit = Unit(collection, plan)
        self.places = Places(self.unit)
        self.scales = Scales(self.unit, question.assumed)
        self.lifts = Lifts(self.unit, plan, question)
        self._told: set[tuple[str, Notice]] = set()
        self.shop: Shop | None = collection.shops.get(plan.shop or "")

    @property
    def share(self) -> float | None:
        """The shop's break-loose share."""
        return float(self.shop.break_loose.share) if self.shop and self.shop.break_loose else None

    @property
    def least_tip(self) -> float:
        """Below it a piece stands narrow: the shop's figure, or the common one. [deg]"""
        return float(self.shop.least_tip.base) if self.shop and self.shop.least_tip else LEAST_TIP

    def answer(self) -> StepsAnswer:
        chain = list(links(self.collection, self.plan, self.unit, self.places))
        found: list[StepFigure] = []
        for link in chain:
            found.append(self._step(link, found[-1] if found else None))
        found = _named_before(found)
        lifts = {step.number: step.lift for step in found if step.lift is not None}
        return StepsAnswer(
            id=self.plan.id,
            name=self.plan.name,
            unit=self.unit.root.id,
            unit_name=self.unit.root.name,
            build=self.unit.build,
            serial="" if self.plan.serial is None else str(self.plan.serial),
            shop=self.shop.id if self.shop else "",
            shop_name=self.shop.name if self.shop else "",
            as_of=self.question.as_of.isoformat(),
            start=found[0],
            steps=tuple(found[1:]),
            heaviest=_heaviest(found),
            narrowest=_narrowest(found),
            not_looked_at=self._not_looked_at(chain),
            held_unrecorded=self.unit.unrecorded,
            lacks=self._lacks(lifts),
            not_reversed=tuple(
                Notice("does not reverse", {"what": what}) for what in self.plan.does_not_reverse
            ),
            cautions=CAUTIONS,
        )

    def _step(self, link: Link, last: StepFigure | None) -> StepFigure:
        step, events = link.step, link.events
        before, after = link.before, link.after
        bodies = self._bodies(link, last)
        if step is None:
            self._judged(bodies, link, None)
            return StepFigure(0, "0", "start", "Before the first step", bodies, asked=tuple(events.asked))
        lift = self.lifts.lift(before, step, link.number, events)
        turn = self.lifts.turn(before, step, link.number, events)
        if lift is not None:
            self._lift_told(lift, step, events)
            self._matched(link, lift)
        if turn is not None:
            mover = self.collection.movers.get(self.collection.lift_groups[step.lift_group or ""].mover or "")
            rated = float(mover.rated.base) if mover is not None and mover.rated is not None else None
            turn_events(turn, step, rated, events)
        self._judged(bodies, link, step)
        self._temporary(link, step)
        self._landing(link)
        self._carried_along(link, step)
        self._weights_of_fallen(link)
        freed = after.aside - before.aside
        changed = freed | (before.aside - after.aside) | _loosened(before, after)
        return StepFigure(
            number=link.number,
            id=step.id or str(link.number),
            do=step.do,
            what=step.what,
            bodies=bodies,
            aside=self._named(freed),
            ties_out=self._ties(before, after, link.number),
            ties_in=self._ties(after, before, link.number),
            lift=lift,
            turn=turn,
            hands=self._hands(step, freed),
            findings=tuple(events.findings),
            cautions=tuple(events.cautions),
            notes=notes_at(
                self.unit, step, changed & self.unit.leaves, self.plan.serial, self.question.as_of
            ),
            asked=tuple(events.asked),
        )

    # bodies

    def _bodies(self, link: Link, last: StepFigure | None) -> tuple[BodyFigure, ...]:
        state = link.after
        about = link.about
        found = sorted(
            state.bodies(self.unit),
            key=lambda body: (
                about not in body,
                -sum(self.unit.known_kg(i) for i in body & self.unit.leaves),
            ),
        )
        return tuple(self._body(state, body, last) for body in found)

    def _body(self, state: State, body: frozenset[int], last: StepFigure | None) -> BodyFigure:
        unit = self.unit
        weighed = self.scales.weigh(body, state.oil, state.pieces(unit))
        up = next((state.up[i] for i in sorted(body) if i in state.up), None)
        centre, why = weighed.centre(up)
        supports = state.carriers(body)
        stands = [s for s in supports if rests_on(s)]
        figure = standing(self.collection, weighed.mass, stands[0]) if stands else None
        perhaps = None
        if stands and stands[0].rests is not None and stands[0].rests.face is not None:
            perhaps, _ = perhaps_standing(self.collection, self.scales, state, body, stands[0])
        inside = weighed.mass.inside
        was = _was(last, tuple(unit.pieces[i].way for i in inside))
        alone, ties = on_temporary_alone(unit, state)
        doubt = [names for pieces, names in perhaps_held(unit, state) if pieces & body]
        return BodyFigure(
            name=self.scales.name(body),
            ways=tuple(unit.pieces[i].way for i in inside),
            pieces=tuple(NamedThing(unit.component(i).id, unit.name(i)) for i in inside),
            kg=weighed.kg,
            missing=weighed.missing,
            centre=centre,
            no_centre=why,
            moved_m=_moved(was, centre),
            carried_by=tuple(self._carrier(s) for s in supports),
            standing=figure,
            perhaps_standing=perhaps if _tips_less(perhaps, figure) else None,
            before_deg=was.tips_deg if was is not None else None,
            temporary=ties if alone & body else (),
            perhaps=tuple(dict.fromkeys(name for names in doubt for name in names)),
        )

    def _carrier(self, support: Support) -> Carrier:
        if support.lift:
            group = self.collection.lift_groups[support.lift]
            mover = self.collection.movers.get(group.mover or "")
            name = mover.name if mover is not None else "the hook; which hoist is not recorded"
            low, high = support.holds_kg or (None, None)
            return Carrier("hook", name, group.id, holds_low_kg=low, holds_high_kg=high)
        rests = support.rests
        if rests is None:
            return Carrier(support.kind, support.kind)
        name = place_words(self.collection, rests)
        ids = rests.fixture or rests.pallet or rests.mover or ""
        face = self.places.face(rests.face, frozenset(self.unit.solid)) if rests.face else None
        return Carrier(support.kind, name, ids, rests.face or "", face.face.name if face is not None else "")

    def _judged(self, bodies: Sequence[BodyFigure], link: Link, step: PlanStep | None) -> None:
        """What stands narrow or not at all, where the step changed how it stands."""
        events = link.events
        for body in bodies:
            degrees = body.tips_deg
            stands = [
                c for c in body.carried_by if c.kind not in ("hook", "hands", "machine", "not recorded")
            ]
            if not stands:
                continue
            if body.standing is not None and body.standing.not_known and not body.standing.face:
                events.ask("standing not known", body=body.name, why=body.standing.not_known)
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
            elif degrees < self.least_tip:
                weakest = body.standing.weakest if body.standing is not None else None
                if sure is not None and sure >= self.least_tip:
                    events.watch(
                        "perhaps narrow", body=body.name, tips_deg=degrees, ties=body.perhaps,
                        least_deg=self.least_tip,
                    )  # fmt: skip
                else:
                    events.watch(
                        "narrow", body=body.name, tips_deg=degrees, before_deg=body.before_deg,
                        towards=weakest.towards if weakest is not None else "", least_deg=self.least_tip,
                        steadied=step.steadied_by if step is not None else None,
                    )  # fmt: skip

    # what else a step has to say

    def _lift_told(self, lift: LiftAnswer, step: PlanStep, events: Events) -> None:
        """What is wrong with a lift, once for the chain: it hangs there from hooking on to setting down."""
        told = Events()
        lift_events(self.collection, lift, step, self.share, told)
        for shelf, new in (
            (events.findings, told.findings),
            (events.cautions, told.cautions),
            (events.asked, told.asked),
        ):
            for notice in new:
                if (lift.id, notice) not in self._told:
                    self._told.add((lift.id, notice))
                    shelf.append(notice)

    def _matched(self, link: Link, lift: LiftAnswer) -> None:
        """Whether what the hook took off is what its lift was worked out for."""
        step = link.step
        if step is None or step.do not in ("part", "take off"):
            return
        taken = self.lifts.taken(lift.id, link.after)
        body = next(
            (link.after.body_of(self.unit, s.piece) for s in link.after.supports if s.lift == lift.id),
            frozenset[int](),
        )
        if step.do == "take off":
            body = _loosened(link.before, link.after) | (link.after.aside - link.before.aside)
            taken = self.lifts.taken(lift.id, link.before)
        parted = step.joint in link.after.parted if step.do == "part" else bool(body)
        if body and parted:
            matching(self.unit, lift.name, body, taken, link.events)

    def _temporary(self, link: Link, step: PlanStep) -> None:
        alone, ties = on_temporary_alone(self.unit, link.after)
        was, ties_before = on_temporary_alone(self.unit, link.before)
        if step.do == "turn":  # while it goes over they carry what they carried before
            alone, ties, was = was, ties_before, frozenset()
        if alone and not was:
            weighed = self.scales.weigh(alone, link.after.oil, link.after.pieces(self.unit))
            kg = weighed.kg
            link.events.watch(
                "on temporary ties alone",
                ties=ties,
                body=self.scales.name(alone),
                at_least_kg=kg.low if kg is not None else None,
                most_kg=kg.high if kg is not None else None,
            )

    def _landing(self, link: Link) -> None:
        """What a piece is set down on, beside what that is rated for."""
        events = link.events
        for support in sorted(link.after.supports - link.before.supports, key=lambda s: s.piece):
            rests = support.rests
            if rests is None or not rests_on(support):
                continue
            weighed = self._weighed(link.after, support.piece)
            fixture = self.collection.fixtures.get(rests.fixture or "")
            pallet = self.collection.pallets.get(rests.pallet or "")
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

    def _carried_along(self, link: Link, step: PlanStep) -> None:
        """What a truck carries beside its rating at the best; how far out it lies the plate governs."""
        mover = self.collection.movers.get(step.mover or "")
        if step.do != "carry" or mover is None or link.about is None:
            return
        if mover.rated is None:
            link.events.ask("no rating recorded", name=mover.name)
            return
        kg = self._weighed(link.after, link.about).kg
        asked = None if kg is None else kg.low if kg.high is None else kg.high
        if asked is not None and asked > float(mover.rated.base):
            rated = float(mover.rated.base)
            link.events.find("over its rating", name=mover.name, asked_kg=asked, rated_kg=rated)

    def _weighed(self, state: State, piece: int) -> Weighed:
        body = state.body_of(self.unit, piece)
        return self.scales.weigh(body, state.oil, state.pieces(self.unit))

    def _weights_of_fallen(self, link: Link) -> None:
        """What falls, with its weight: the chain names the pieces, here they are weighed."""
        findings = link.events.findings
        for place, notice in enumerate(findings):
            if notice.kind != "held by nothing":
                continue
            named = notice.facts["leaves"]
            assert isinstance(named, tuple)
            pieces = frozenset(int(piece) for piece in named)
            kg = self.scales.weigh(pieces, (), pieces).kg  # what falls, without fluid that may be in it
            facts = {key: value for key, value in notice.facts.items() if key != "leaves"}
            findings[place] = Notice(
                notice.kind,
                {
                    **facts,
                    "best_kg": kg.best if kg is not None else None,
                    "most_kg": kg.high if kg is not None else None,
                },
            )

    def _named(self, pieces: frozenset[int]) -> tuple[NamedThing, ...]:
        highest = [i for i in sorted(pieces) if self.unit.pieces[i].parent not in pieces]
        return tuple(NamedThing(self.unit.component(i).id, self.unit.name(i)) for i in highest)

    def _ties(self, one: State, other: State, number: int) -> tuple[TieFigure, ...]:
        """Ties that are in by one state and not in by the other."""
        gone = other.out - one.out
        temporary = [tie for tie in one.temporary if tie not in other.temporary]
        joints = sorted({j for j, _ in gone} | {one.temporary[t].joint for t in temporary})
        job = job_of(self.unit, self.plan, one, self.question.as_of, number)
        return tuple(
            tie
            for figure in joint_figures(self.collection, joints, job)
            for tie in figure.ties
            if (tie.joint, tie.id) in gone or (tie.temporary and tie.id in temporary)
        )

    def _hands(self, step: PlanStep, freed: frozenset[int]) -> tuple[HandLine, ...]:
        if not freed or (step.do == "take off" and step.lift_group is not None):
            return ()
        highest = [i for i in sorted(freed) if self.unit.pieces[i].parent not in freed]
        return in_hands(self.scales, highest, self.shop)

    def _not_looked_at(self, chain: Sequence[Link]) -> tuple[str, ...]:
        """Ties that nobody looked at, of the joints that this job opens or closes."""
        touched = {
            joint
            for link in chain
            if link.step is not None
            for joint in (link.step.joint, *(tie.joint for tie in link.step.ties))
            if joint is not None
        }
        return tuple(
            dict.fromkeys(
                tie.what
                for joint in sorted(touched)
                for seam in self.unit.seams.get(joint, ())
                for tie in seam.ties.values()
                if not tie.sure
            )
        )

    def _lacks(self, lifts: Mapping[int, LiftAnswer]) -> tuple[Notice, ...]:
        found: list[Notice] = []
        if self.shop is None:
            return ()
        for name, mover in self.moved.items():
            group = self.collection.lift_groups[name]
            found.append(Notice("other hoist", {"lift": group.name, "name": mover.name if mover else None}))
        for lift in lifts.values():
            lines = gear_lines(self.collection, self.collection.lift_groups[lift.id], self.shop)
            found += [
                Notice("lacks gear", {"wanted": line.wanted, "words": line.words})
                for line in lines
                if not line.here
            ]
        return tuple(dict.fromkeys(found))


def _loosened(before: State, after: State) -> frozenset[int]:
    """Pieces lifted off, or put back, in a step."""
    changed = before.loose ^ after.loose
    return frozenset[int]().union(*changed) if changed else frozenset()


def _was(last: StepFigure | None, ways: tuple[tuple[str, ...], ...]) -> BodyFigure | None:
    """The body before the step that most of a body was part of."""
    if last is None:
        return None

    def shared(body: BodyFigure) -> int:
        return sum(
            1 for way in ways for other in body.ways if way[: len(other)] == other or other[: len(way)] == way
        )

    best = max(last.bodies, key=shared, default=None)
    return best if best is not None and shared(best) else None


def _moved(was: BodyFigure | None, centre: CentreFigure | None) -> float | None:
    """How far the best centre moved, in the frame of the unit. [m]"""
    if was is None or was.centre is None or centre is None:
        return None
    one: Vector = was.centre.at
    moved = distance(one, centre.at)
    return moved if moved > 0.0 else None


def _tips_less(perhaps: SetDownFigure | None, sure: SetDownFigure | None) -> bool:
    one, other = tips_deg(perhaps), tips_deg(sure)
    return one is not None and (other is None or one < other)


def _changed(body: BodyFigure, link: Link) -> bool:
    """Whether a step changed how a body stands: its pieces, its stand or its centre."""
    if link.step is None:
        return True
    return body.before_deg is None or body.tips_deg is None or abs(body.tips_deg - body.before_deg) > 1e-9


def _named_before(found: Sequence[StepFigure]) -> list[StepFigure]:
    """The same with what has to be steadied named at the step before."""
    steps = list(found)
    for place in range(1, len(steps)):
        for notice in (*steps[place].findings, *steps[place].cautions):
            if notice.kind in ("narrow", "may not stand", "does not stand") and place > 1:
                told = Notice("steady first", {"body": notice.facts["body"], "step": steps[place].number})
                before = steps[place - 1]
                steps[place - 1] = replace(before, cautions=(*before.cautions, told))
    return steps


def _heaviest(found: Sequence[StepFigure]) -> Heaviest | None:
    """The lift with the highest reading; one without an upper figure by what is known of it."""
    best: Heaviest | None = None
    for step in found:
        lift = step.lift
        if lift is None or lift.reading.expected is None:
            continue
        kg = lift.reading.expected
        size = kg.low if kg.high is None else kg.high
        if best is None or size > (best.kg.low if best.kg.high is None else best.kg.high):
            mover = lift.mover
            best = Heaviest(
                step.number, lift.name, kg,
                mover.rating_kg if mover is not None else None, mover.name if mover is not None else "",
            )  # fmt: skip
    return best


def _narrowest(found: Sequence[StepFigure]) -> Narrowest | None:
    best: Narrowest | None = None
    for step in found:
        for body in step.bodies:
            degrees = body.tips_deg
            if degrees is None or (best is not None and degrees >= best.tips_deg):
                continue
            figure = body.perhaps_standing or body.standing
            weakest = figure.weakest if figure is not None else None
            best = Narrowest(step.number, body.name, degrees, weakest.towards if weakest is not None else "")
    return best
