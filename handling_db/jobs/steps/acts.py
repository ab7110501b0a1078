"""What each kind of step does to the state of the unit, and what is wrong or open in doing it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from handling_db.errors import HandlingError
from handling_db.jobs.steps import oil
from handling_db.jobs.steps.bodies import between
from handling_db.jobs.steps.events import Events
from handling_db.jobs.steps.holding import Holding
from handling_db.jobs.steps.places import Places
from handling_db.jobs.steps.state import State, Support
from handling_db.jobs.steps.unit import Seam, Unit
from handling_db.lifting.occurrences import WayError
from handling_db.mechanics.vectors import Vector
from handling_db.quantities.display import without_count
from handling_db.records.kinds.job_plan import PlanStep, Resting
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.lift_group import LiftGroup


class Acts:
    """Does the steps of a plan on states of one unit.

    Parameters
    ----------
    unit : Unit
    places : Places
        Where faces, lowest pieces and pick points are.
    """

    def __init__(self, unit: Unit, places: Places) -> None:
        self.unit = unit
        self.places = places
        self._acts: Mapping[str, Callable[[State, PlanStep, Events], State]] = {
            "drain": self._oil,
            "fill": self._oil,
            "tie out": self._ties_out,
            "tie in": self._ties_in,
            "hook on": self._hook_on,
            "hook off": self._hook_off,
            "take off": self._take_off,
            "put on": self._put_on,
            "turn": self._turn,
            "part": self._part,
            "set down": self._set_down,
        }

    def done(self, state: State, step: PlanStep, events: Events) -> State:
        """The state after a step.

        What cannot be done is said in `events` and leaves the state as it is, as far as it goes.
        """
        act = self._acts.get(step.do)
        if act is None:  # carried, weighed, looked at: nothing comes apart
            return state
        try:
            return act(state, step, events)
        except HandlingError as error:
            events.find("cannot be done", why=str(error))
            return state

    # ties

    def _ties_out(self, state: State, step: PlanStep, events: Events) -> State:
        for named in step.ties:
            seam, holding = self._tie(named.joint, named.tie)
            key = (named.joint, named.tie)
            what = _tie_words(seam.joint, named.tie)
            if key in state.out:
                events.find("tie out already", tie=what, joint=seam.joint.name)
                continue
            self._order(state, seam, named.tie, what, events, [t.tie for t in step.ties])
            if holding is None:
                continue  # known to be none: nothing to take out
            whole = next(t.count for t in seam.joint.tie_list if t.key(seam.joint.id) == named.tie)
            gone = state.partly.get(key, 0) + int(named.count.number or 0) if named.count else None
            if gone is not None and whole is not None and whole.number is not None and gone < whole.number:
                state = replace(state, partly={**state.partly, key: gone})
                continue
            partly = {k: n for k, n in state.partly.items() if k != key}
            off = frozenset(i for s in self._seams(named.joint) for i in s.parts.get(named.tie, ()))
            state = replace(
                state, out=state.out | {key}, partly=partly, aside=state.aside | self._all_under(off)
            )
        return self._temporary_out(state, step, events)

    def _order(
        self, state: State, seam: Seam, tie: str, what: str, events: Events, with_it: Sequence[str]
    ) -> None:
        """What the record says comes out first, and is not out."""
        record = next(t for t in seam.joint.tie_list if t.key(seam.joint.id) == tie)
        for first in record.after:
            holding = seam.ties.get(first)
            if holding is None or (seam.joint.id, first) in state.out or first in with_it:
                continue
            say = events.find if holding.sure else events.watch
            kind = "out before its first" if holding.sure else "perhaps out before its first"
            say(kind, tie=what, first=_tie_words(seam.joint, first), joint=seam.joint.name)

    def _temporary_out(self, state: State, step: PlanStep, events: Events) -> State:
        for name in step.temporary_out:
            if name not in state.temporary:
                events.find("temporary tie not in", tie=name)
        left = {name: tie for name, tie in state.temporary.items() if name not in step.temporary_out}
        return replace(state, temporary=left)

    def _ties_in(self, state: State, step: PlanStep, events: Events) -> State:
        for named in step.ties:
            seam, _ = self._tie(named.joint, named.tie)
            key = (named.joint, named.tie)
            if key not in state.out and key not in state.partly:
                events.find("tie in already", tie=_tie_words(seam.joint, named.tie), joint=seam.joint.name)
                continue
            back = frozenset(i for s in self._seams(named.joint) for i in s.parts.get(named.tie, ()))
            partly = {k: n for k, n in state.partly.items() if k != key}
            state = replace(
                state, out=state.out - {key}, partly=partly, aside=state.aside - self._all_under(back)
            )
        put = {tie.id: tie for tie in step.temporary}
        for tie in step.temporary:
            self._seams(tie.joint)
        return replace(state, temporary={**state.temporary, **put})

    # hook

    def _hook_on(self, state: State, step: PlanStep, events: Events) -> State:
        group = self._group(step.lift_group)
        piece = self._hooked(state, step, group)
        if any(s.lift == group.id for s in state.supports):
            events.find("hook on already", lift=group.name)
            return state
        holds = None
        if step.hook_holds is not None:
            give = step.hook_holds_plus_or_minus
            half = float(give.base if give else step.hook_holds.step_base / 2)
            holds = (max(0.0, float(step.hook_holds.base) - half), float(step.hook_holds.base) + half)
        body = state.body_of(self.unit, piece)
        state = state.turned(body, self.unit.up_in(step.attitude))
        return replace(
            state, supports=state.supports | {Support("hook", piece, lift=group.id, holds_kg=holds)}
        )

    def _hook_off(self, state: State, step: PlanStep, events: Events) -> State:
        group = self._group(step.lift_group)
        hooks = {s for s in state.supports if s.lift == group.id}
        if not hooks:
            events.find("hook not on", lift=group.name)
        down: set[Support] = set()
        if step.rests is not None:
            body = state.body_of(
                self.unit, next(iter(hooks)).piece if hooks else self._hooked(state, step, group)
            )
            state, support = self._rested(state, body, step, step.rests, events)
            down = {support}
        return replace(state, supports=(state.supports - hooks) | down)

    def _hooked(self, state: State, step: PlanStep, group: LiftGroup) -> int:
        if step.of is not None:
            return self.unit.follow(step.of.of)
        return self.places.hooked_at(group, state)

    # off and on

    def _take_off(self, state: State, step: PlanStep, events: Events) -> State:
        off = self._named_pieces(state, step)
        there = off & state.pieces(self.unit) & self.unit.leaves
        if not there:
            events.find("off already", pieces=self._names(off))
        state = self._ties_out(state, step, events)
        here = state.pieces(self.unit)
        gone = off & here
        if not gone & self.unit.leaves:
            return state  # the piece is the tie itself, and came out with it
        if not self._free(state, gone, here - gone, events):
            return state
        state = replace(state, loose=state.loose | {gone})
        hooks = {s for s in state.supports if s.lift and s.lift == step.lift_group}
        inside = {s for s in state.supports if s.piece in gone and not s.lift}
        state = replace(state, supports=state.supports - hooks - inside)
        group = self._group(step.lift_group) if step.lift_group else None
        if group is not None:
            state = self._stated_oil(state, gone, group)
        if step.rests is not None:
            state, support = self._rested(state, gone, step, step.rests, events)
            return replace(state, supports=state.supports | {support})
        if step.by != "hands":
            if group is None:
                events.ask("by hands or hook", pieces=self._names(gone))
            else:
                events.ask("where it goes", pieces=self._names(gone))
        return replace(state, loose=state.loose - {gone}, aside=state.aside | gone)

    def _put_on(self, state: State, step: PlanStep, events: Events) -> State:
        named = self._named_pieces(state, step)
        freed = frozenset[int]()
        if step.joint is not None and step.joint in state.parted:
            # The side that comes is what the hook or the hands bring; it leaves where it stood.
            seams = self._seams(step.joint)
            on = self._coming(state, seams[0], named)
            freed = state.freed.get(step.joint, frozenset())
            left = {joint: pieces for joint, pieces in state.freed.items() if joint != step.joint}
            state = replace(state, parted=state.parted - {step.joint}, freed=left)
        elif loose := {off for off in state.loose if off & named}:
            on = frozenset[int]().union(*loose)
            state = replace(state, loose=state.loose - loose)
        else:
            on = freed = named & state.aside
            if not on:
                events.find("on already", pieces=self._names(named))
                return state
        rests = {s for s in state.supports if s.piece in on and not s.lift}
        state = replace(state, aside=state.aside - freed, supports=state.supports - rests)
        state = self._ties_in(state, step, events)
        rest = sorted(state.pieces(self.unit) - on)
        up = next((state.up[i] for i in rest if i in state.up), None)
        return state.turned(on, self.unit.up_in(step.attitude) or up)

    def _coming(self, state: State, seam: Seam, named: frozenset[int]) -> frozenset[int]:
        """The body that comes to the other one: the one named, else on the hook, else the lighter."""
        sides = [state.body_of(self.unit, i) for i in (seam.first, seam.second)]
        hooked = {s.piece for s in state.supports if s.lift}
        for wanted in (named, hooked):
            found = [body for body in sides if body & wanted]
            if len(found) == 1:
                return found[0]
        return state.body_of(self.unit, seam.held)

    def _free(self, state: State, gone: frozenset[int], rest: frozenset[int], events: Events) -> bool:
        """Whether nothing that somebody looked at still holds what comes off; says what does."""
        sure: list[str] = []
        for seams in self.unit.seams.values():
            for seam in seams:
                across = (seam.first in gone) != (seam.second in gone)
                if not across or seam.first in state.aside or seam.second in state.aside:
                    continue
                if any((seam.first in off) != (seam.second in off) for off in state.loose):
                    continue
                sure += self._blocking(state, seam, events)
        found = between(state.bonds(self.unit), gone, rest)
        sure += [b.what for b in found if b.temporary and b.what not in sure]
        if sure:
            what = ", ".join(self._names(gone))
            events.find("tie still across", what=what, ties=tuple(dict.fromkeys(sure)))
        return not sure

    def _blocking(self, state: State, seam: Seam, events: Events) -> list[str]:
        """What still blocks the parting of a joint, temporary ties too; what nobody looked at is told."""
        joint = seam.joint
        still = [t for t in state.ties_in(seam) if t.blocks]
        perhaps = tuple(_tie_words(joint, t.tie) for t in still if not t.sure)
        if perhaps:
            events.watch("perhaps still across", joint=joint.name, ties=perhaps)
        sure = [_tie_words(joint, t.tie) for t in still if t.sure]
        return sure + [
            f"{without_count(str(t.count), t.what)} (temporary)" for t in state.temporary_at(joint.id)
        ]

    # parting, turning, setting down

    def _part(self, state: State, step: PlanStep, events: Events) -> State:
        state = self._ties_out(state, step, events)
        seams = self._seams(step.joint or "")
        joint = seams[0].joint
        if joint.id in state.parted:
            events.find("parted already", joint=joint.name)
            return state
        sure = [what for seam in seams for what in self._blocking(state, seam, events)]
        if sure:
            events.find("tie still across", what=joint.name, ties=tuple(dict.fromkeys(sure)))
            return state  # it stays one body
        freed = frozenset(
            i for seam in seams for holding in state.ties_in(seam) for i in seam.parts.get(holding.tie, ())
        )
        freed = self._all_under(freed) - state.aside
        if freed:
            events.ask("which side keeps it", pieces=self._names(freed), joint=joint.name)
        state = replace(
            state,
            parted=state.parted | {joint.id},
            aside=state.aside | freed,
            freed={**state.freed, joint.id: freed},
        )
        for support in state.supports:
            group = self.unit.collection.lift_groups.get(support.lift)
            if group is None:
                continue
            body = state.body_of(self.unit, support.piece)
            state = self._stated_oil(state, body, group)
            other = self.unit.collection.lift_groups.get(group.other_half or "")
            for seam in seams:
                far = seam.second if seam.first in body else seam.first
                if other is not None and far not in body:
                    state = self._stated_oil(state, state.body_of(self.unit, far), other)
        return state

    def _turn(self, state: State, step: PlanStep, events: Events) -> State:
        group = self._group(step.lift_group)
        turn = group.turn
        if turn is None:
            events.find("no turn recorded", lift=group.name)
            return state
        body = state.body_of(self.unit, self.places.hooked_at(group, state))
        attitude = step.attitude or turn.to
        up = self.unit.up_in(attitude)
        state = self._ties_in(state, step, events)
        rests = step.rests
        if rests is None and turn.rests_on is not None:
            rests = Resting(on="floor", what=turn.on, face=turn.rests_on)
        gone = {s for s in state.supports if s.piece in body}
        state = replace(state.turned(body, up), supports=state.supports - gone)
        if rests is None:
            events.ask("where it rests", pieces=self._names(body))
            return replace(state, supports=state.supports | {Support("not recorded", min(body))})
        state, support = self._rested(state, body, step, rests, events)
        return replace(state, supports=state.supports | {support})

    def _set_down(self, state: State, step: PlanStep, events: Events) -> State:
        assert step.rests is not None  # the record asks for it
        if step.of is not None:
            piece = self.unit.follow(step.of.of)
        else:
            hooks = [s for s in state.supports if s.lift]
            if len(hooks) != 1:
                events.find("set down what", hooks=len(hooks))
                return state
            piece = hooks[0].piece
        body = state.body_of(self.unit, piece)
        if not body:
            events.find("off already", pieces=(self.unit.name(piece),))
            return state
        gone = {s for s in state.supports if s.piece in body}
        state = replace(state, supports=state.supports - gone)
        state, support = self._rested(state, body, step, step.rests, events)
        return replace(state, supports=state.supports | {support})

    def _rested(
        self, state: State, body: frozenset[int], step: PlanStep, rests: Resting, events: Events
    ) -> tuple[State, Support]:
        """A body set down: which way up it is then, and which piece of it is down."""
        up = self.unit.up_in(step.attitude)
        face = None
        if rests.face is not None:
            face = self.places.face(rests.face, body)
            if face is None:
                events.find("no such face", face=rests.face, pieces=self._names(body))
            else:
                if face.face.may_rest == "no":
                    events.find("must not rest", face=face.face.name, pieces=self._names(body))
                up = self._face_up(face.looks, up, face.face.name, events)
        state = state.turned(body, up)
        if up is None and not any(i in state.up for i in body):
            events.ask("which way up", pieces=self._names(body))
        down = self.unit.follow(step.of.of) if step.of is not None else None
        if down is None or down not in body:
            down = self.places.lowest(
                body, next((state.up[i] for i in sorted(body) if i in state.up), None), face
            )
        return state, Support(rests.on, down, rests)

    def _face_up(self, looks: Vector | None, up: Vector | None, face: str, events: Events) -> Vector | None:
        """Up by the face that is down; a recorded attitude that says otherwise is told."""
        if looks is None:
            return up
        by_face = (-looks[0], -looks[1], -looks[2])
        if up is not None and sum(a * b for a, b in zip(up, by_face, strict=True)) < 0.99:
            events.find("face is not down", face=face)
        return by_face

    # oil

    def _oil(self, state: State, step: PlanStep, events: Events) -> State:
        where = self.unit.solid
        if step.of is not None:
            where = self.unit.under(self.unit.follow(step.of.of))
        if step.oil_left is not None:
            return replace(state, oil=oil.replaced(state.oil, oil.stated(self.unit, where, step.oil_left)))
        filling = oil.listed(self.unit, "drained" if step.do == "drain" else "filled", where)
        if not filling:
            events.ask("no fluid recorded", pieces=(self.unit.name(min(where)),))
        for one in filling:
            state = replace(state, oil=oil.replaced(state.oil, one))
        return state

    def _stated_oil(self, state: State, body: frozenset[int], group: LiftGroup) -> State:
        said = oil.stated_by(self.unit, body, group)
        return state if said is None else replace(state, oil=oil.replaced(state.oil, said))

    # names

    def _named_pieces(self, state: State, step: PlanStep) -> frozenset[int]:
        """The pieces a step names, with everything below them; without any, those of its lift."""
        if step.pieces:
            return frozenset().union(*(self.unit.under(self.unit.follow(way.of)) for way in step.pieces))
        if step.lift_group is None:
            return frozenset()
        return self.places.taken(self._group(step.lift_group), state)

    def _seams(self, joint: str) -> tuple[Seam, ...]:
        seams = self.unit.seams.get(joint)
        if seams:
            return seams
        if joint not in self.unit.collection.joints:
            raise WayError(f"there is no joint {joint!r}")
        if self.unit.collection.joints[joint].ties is None:
            raise WayError(
                f"nobody recorded what holds joint {joint!r}, so it is held in its assembly; write its 'ties'"
            )
        raise WayError(f"joint {joint!r} is not in {self.unit.root.name} in this build")

    def _tie(self, joint: str, tie: str) -> tuple[Seam, Holding | None]:
        seam = self._seams(joint)[0]
        known = [t.key(joint) for t in seam.joint.tie_list]
        if tie not in known:
            raise WayError(f"joint {joint!r} has no tie {tie!r}; it has: {', '.join(known) or 'none'}")
        return seam, seam.ties.get(tie)

    def _group(self, name: str | None) -> LiftGroup:
        group = self.unit.collection.lift_groups.get(name or "")
        if group is None:
            raise WayError(f"there is no lift group {name!r}")
        if group.root != self.unit.root.id:
            raise WayError(f"lift group {name!r} starts at {group.root!r}, not at {self.unit.root.id!r}")
        return group

    def _all_under(self, pieces: frozenset[int]) -> frozenset[int]:
        return frozenset().union(*(self.unit.under(i) for i in pieces)) if pieces else frozenset()

    def _names(self, pieces: frozenset[int]) -> tuple[str, ...]:
        """Names of the highest of some pieces."""
        tops = [i for i in sorted(pieces) if self.unit.pieces[i].parent not in pieces or i == 0]
        return tuple(dict.fromkeys(self.unit.name(i) for i in tops))


def _tie_words(joint: Joint, key: str) -> str:
    """``14 x joint bolts``."""
    tie = next((t for t in joint.tie_list if t.key(joint.id) == key), None)
    if tie is None:
        return key
    return f"{tie.count} x {without_count(str(tie.count), tie.what)}" if tie.count is not None else tie.what
