"""What each kind of step does to the state of the unit, and what is wrong or open in doing it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from handling_db.errors import HandlingError
from handling_db.families.build import worked_measure
from handling_db.jobs.steps.holds import oil
from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.state import State, Support
from handling_db.jobs.steps.holds.ties import TieActs
from handling_db.jobs.steps.holds.unit import Seam, Unit
from handling_db.lifting.occurrences import WayError
from handling_db.mechanics.vectors import Vector
from handling_db.records.kinds.job_plan import PlanStep, Resting
from handling_db.records.kinds.lift_group import LiftGroup, Mention


class Acts:
    """Does the steps of a plan on states of one unit.

    Parameters
    ----------
    unit : Unit
    places : UnitPlaces
        Where faces, lowest pieces and pick points are.
    """

    def __init__(self, unit: Unit, places: UnitPlaces) -> None:
        self.unit = unit
        self.places = places
        self.ties = TieActs(unit)
        self._acts: Mapping[str, Callable[[State, PlanStep, Events], State]] = {
            "drain": self._oil,
            "fill": self._oil,
            "tie out": self.ties.out,
            "tie in": self.ties.put_in,
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
        if not body:
            events.find("off already", pieces=(self.unit.name(piece),))
            return state
        state = state.turned(body, self.unit.up_in(step.attitude))
        return replace(
            state, supports=state.supports | {Support("hook", piece, lift=group.id, holds_kg=holds)}
        )

    def _hook_off(self, state: State, step: PlanStep, events: Events) -> State:
        group = self._group(step.lift_group)
        hooks = {s for s in state.supports if s.lift == group.id}
        if not hooks:
            events.find("hook not on", lift=group.name)
            return state
        down: set[Support] = set()
        if step.rests is not None:
            body = state.body_of(self.unit, min(hook.piece for hook in hooks))
            state, support = self._rested(state, body, step, step.rests, events)
            down = {support}
        return replace(state, supports=(state.supports - hooks) | down)

    def _hooked(self, state: State, step: PlanStep, group: LiftGroup) -> int:
        if step.of is not None:
            return self.unit.follow(step.of.of)
        return self.places.hooked_at(group, state)

    # off and on

    def _take_off(self, state: State, step: PlanStep, events: Events) -> State:
        counted = [way for way in step.pieces if way.quantity is not None]
        if counted:
            state = self._some_off(state, step, counted, events)
            step = step.model_copy(update={"pieces": tuple(w for w in step.pieces if w.quantity is None)})
            if not step.pieces:
                return self.ties.out(state, step, events)
        off = self._named_pieces(state, step)
        there = off & state.pieces(self.unit) & self.unit.leaves
        if not there:
            events.find("off already", pieces=self.ties.names(off))
        state = self.ties.out(state, step, events)
        here = state.pieces(self.unit)
        gone = off & here
        if not gone & self.unit.leaves:
            return state  # the piece is the tie itself, and came out with it
        if not self.ties.free(state, gone, here - gone, events):
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
                events.ask("by hands or hook", pieces=self.ties.names(gone))
            else:
                events.ask("where it goes", pieces=self.ties.names(gone))
        return replace(state, loose=state.loose - {gone}, aside=state.aside | gone)

    def _some_off(self, state: State, step: PlanStep, ways: Sequence[Mention], events: Events) -> State:
        """Some of several alike off and put aside; with the last of them all of it is."""
        for way in ways:
            piece = self.unit.follow(way.of)
            whole = self.unit.pieces[piece].pieces
            many = state.some.get(piece, 0) + _number(way)
            if piece in state.aside or many > whole:
                name = self.unit.name(piece)
                left = 0 if piece in state.aside else int(whole) - state.some.get(piece, 0)
                events.find("not so many on", pieces=(name,), asked=_number(way), left=left)
                continue
            self._some_held(state, step, piece, events)
            some = {key: number for key, number in state.some.items() if key != piece}
            if many == whole:
                gone = self.unit.under(piece)
                rests = {s for s in state.supports if s.piece in gone}
                state = replace(state, some=some, aside=state.aside | gone, supports=state.supports - rests)
            else:
                state = replace(state, some={**some, piece: many})
        if step.rests is not None:
            events.ask(
                "some of several stand", pieces=tuple(self.unit.name(self.unit.follow(w.of)) for w in ways)
            )
        return state

    def _some_held(self, state: State, step: PlanStep, piece: int, events: Events) -> None:
        """A joint of what comes off in part, none of whose ties is out yet, nor comes out in this step."""
        here = {(tie.joint, tie.tie) for tie in step.ties}
        for seams in self.unit.seams.values():
            for seam in seams:
                if piece not in (seam.first, seam.second):
                    continue
                still = [
                    tie.what
                    for tie in state.ties_in(seam)
                    if tie.blocks and tie.sure and not {(seam.joint.id, tie.tie)} & ({*state.partly} | here)
                ]
                if still:
                    events.find("tie still across", what=self.unit.name(piece), ties=tuple(still))

    def _some_on(self, state: State, ways: Sequence[Mention], events: Events) -> State:
        """Some of several alike on again."""
        for way in ways:
            piece = self.unit.follow(way.of)
            under = self.unit.under(piece)
            gone = int(self.unit.pieces[piece].pieces) if piece in state.aside else state.some.get(piece, 0)
            left = gone - _number(way)
            if left < 0:
                name = self.unit.name(piece)
                events.find("not so many off", pieces=(name,), asked=_number(way), left=gone)
                continue
            some = {key: number for key, number in state.some.items() if key != piece}
            state = replace(state, some={**some, piece: left} if left else some, aside=state.aside - under)
        return state

    def _put_on(self, state: State, step: PlanStep, events: Events) -> State:
        counted = [way for way in step.pieces if way.quantity is not None]
        if counted:
            state = self._some_on(state, counted, events)
            step = step.model_copy(update={"pieces": tuple(w for w in step.pieces if w.quantity is None)})
            if not step.pieces and step.joint is None:
                return self.ties.put_in(state, step, events)
        named = self._named_pieces(state, step)
        freed = frozenset[int]()
        if step.joint is not None and step.joint in state.parted:
            # The side that comes is what the hook or the hands bring; it leaves where it stood.
            seams = self.ties.seams(step.joint)
            on = self._coming(state, seams[0], named)
            freed = state.freed.get(step.joint, frozenset())
            left = {joint: pieces for joint, pieces in state.freed.items() if joint != step.joint}
            state = replace(state, parted=state.parted - {step.joint}, freed=left)
        elif loose := {off for off in state.loose if off & named}:
            on = frozenset[int]().union(*loose)
            state = replace(state, loose=state.loose - loose)
        else:
            on = freed = named & state.aside
            some = {piece: many for piece, many in state.some.items() if piece not in named}
            if len(some) < len(state.some):  # the rest of several alike on again
                state = replace(state, some=some)
                if not on:
                    return self.ties.put_in(state, step, events)
            if not on:
                events.find("on already", pieces=self.ties.names(named))
                return state
        rests = {s for s in state.supports if s.piece in on and not s.lift}
        state = replace(state, aside=state.aside - freed, supports=state.supports - rests)
        state = self.ties.put_in(state, step, events)
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

    # parting, turning, setting down

    def _part(self, state: State, step: PlanStep, events: Events) -> State:
        state = self.ties.out(state, step, events)
        seams = self.ties.seams(step.joint or "")
        joint = seams[0].joint
        if joint.id in state.parted:
            events.find("parted already", joint=joint.name)
            return state
        sure = [what for seam in seams for what in self.ties.blocking(state, seam, events)]
        if sure:
            events.find("tie still across", what=joint.name, ties=tuple(dict.fromkeys(sure)))
            return state  # it stays one body
        freed = frozenset(
            i for seam in seams for holding in state.ties_in(seam) for i in seam.parts.get(holding.tie, ())
        )
        freed = self.ties.all_under(freed) - state.aside
        if freed:
            events.ask("which side keeps it", pieces=self.ties.names(freed), joint=joint.name)
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
        state = self.ties.put_in(state, step, events)
        rests = step.rests
        if rests is None and turn.rests_on is not None:
            rests = Resting(on="floor", what=turn.on, face=turn.rests_on)
        gone = {s for s in state.supports if s.piece in body}
        state = replace(state.turned(body, up), supports=state.supports - gone)
        if rests is None:
            events.ask("where it rests", pieces=self.ties.names(body))
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
        """A body set down: which way up it is then, and which piece of it is down.

        Raises
        ------
        WayError
            There is nothing of it: it is off already.
        """
        if not body:
            raise WayError("what is set down here is off already, and lies aside")
        up = self.unit.up_in(step.attitude)
        face = None
        if rests.face is not None:
            face = self.places.face(rests.face, body)
            if face is None:
                events.find("no such face", face=rests.face, pieces=self.ties.names(body))
            else:
                if face.face.may_rest == "no":
                    events.find("must not rest", face=face.face.name, pieces=self.ties.names(body))
                up = self._face_up(face.looks, up, face.face.name, events)
        state = state.turned(body, up)
        if up is None and not any(i in state.up for i in body):
            events.ask("which way up", pieces=self.ties.names(body))
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
            piece = self.unit.follow(step.of.of)
            # A fluid by its own name is drained out of what it is listed at.
            where = self.unit.under(piece if piece in self.unit.solid else self.unit.pieces[piece].parent)
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

    def _group(self, name: str | None) -> LiftGroup:
        group = self.unit.collection.lift_groups.get(name or "")
        if group is None:
            raise WayError(f"there is no lift group {name!r}")
        if group.root != self.unit.root.id:
            raise WayError(f"lift group {name!r} starts at {group.root!r}, not at {self.unit.root.id!r}")
        return group


def _number(way: Mention) -> int:
    """How many of several alike a step names.

    Raises
    ------
    WayError
        It is no whole number above 0.
    """
    assert way.quantity is not None
    many = worked_measure(way.quantity, (), {})
    if many <= 0 or many.denominator != 1:
        raise WayError(f"{' > '.join(way.of)}: {many} pieces cannot come off; write a whole number")
    return int(many)
