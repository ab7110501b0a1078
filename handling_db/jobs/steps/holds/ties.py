"""Ties out and in: what comes with them, what should have come first, and what still blocks a parting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handling_db.jobs.steps.holds.bodies import between
from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.holds.holding import Holding
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.holds.unit import Seam, Unit
from handling_db.lifting.occurrences import WayError
from handling_db.quantities.display import without_count
from handling_db.records.kinds.job_plan import PlanStep
from handling_db.records.kinds.joint import Joint


class TieActs:
    """Takes the ties of one unit out and puts them in.

    Parameters
    ----------
    unit : Unit
    """

    def __init__(self, unit: Unit) -> None:
        self.unit = unit

    def out(self, state: State, step: PlanStep, events: Events) -> State:
        """The ties of a step out, temporary ones too; pieces that are ties go aside."""
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
            off = frozenset(i for s in self.seams(named.joint) for i in s.parts.get(named.tie, ()))
            state = replace(
                state, out=state.out | {key}, partly=partly, aside=state.aside | self.all_under(off)
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

    def put_in(self, state: State, step: PlanStep, events: Events) -> State:
        """The ties of a step back in, with the pieces that they are, and temporary ones."""
        for named in step.ties:
            seam, _ = self._tie(named.joint, named.tie)
            key = (named.joint, named.tie)
            if key not in state.out and key not in state.partly:
                events.find("tie in already", tie=_tie_words(seam.joint, named.tie), joint=seam.joint.name)
                continue
            back = frozenset(i for s in self.seams(named.joint) for i in s.parts.get(named.tie, ()))
            partly = {k: n for k, n in state.partly.items() if k != key}
            state = replace(
                state, out=state.out - {key}, partly=partly, aside=state.aside - self.all_under(back)
            )
        put = {tie.id: tie for tie in step.temporary}
        for tie in step.temporary:
            self.seams(tie.joint)
        return replace(state, temporary={**state.temporary, **put})

    def free(self, state: State, gone: frozenset[int], rest: frozenset[int], events: Events) -> bool:
        """Whether nothing that somebody looked at still holds what comes off; says what does."""
        sure: list[str] = []
        for seams in self.unit.seams.values():
            for seam in seams:
                across = (seam.first in gone) != (seam.second in gone)
                if not across or seam.first in state.aside or seam.second in state.aside:
                    continue
                if any((seam.first in off) != (seam.second in off) for off in state.loose):
                    continue
                sure += self.blocking(state, seam, events)
        found = between(state.bonds(self.unit), gone, rest)
        sure += [b.what for b in found if b.temporary and b.what not in sure]
        if sure:
            what = ", ".join(self.names(gone))
            events.find("tie still across", what=what, ties=tuple(dict.fromkeys(sure)))
        return not sure

    def blocking(self, state: State, seam: Seam, events: Events) -> list[str]:
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

    def seams(self, joint: str) -> tuple[Seam, ...]:
        """The places of a joint in the unit.

        Raises
        ------
        WayError
            There is no such joint, nobody recorded what holds it, or it is not in this build.
        """
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
        seam = self.seams(joint)[0]
        known = [t.key(joint) for t in seam.joint.tie_list]
        if tie not in known:
            raise WayError(f"joint {joint!r} has no tie {tie!r}; it has: {', '.join(known) or 'none'}")
        return seam, seam.ties.get(tie)

    def all_under(self, pieces: frozenset[int]) -> frozenset[int]:
        """Some pieces with everything below them."""
        return frozenset().union(*(self.unit.under(i) for i in pieces)) if pieces else frozenset()

    def names(self, pieces: frozenset[int]) -> tuple[str, ...]:
        """Names of the highest of some pieces."""
        tops = [i for i in sorted(pieces) if self.unit.pieces[i].parent not in pieces or i == 0]
        return tuple(dict.fromkeys(self.unit.name(i) for i in tops))


def _tie_words(joint: Joint, key: str) -> str:
    """``14 x joint bolts``."""
    tie = next((t for t in joint.tie_list if t.key(joint.id) == key), None)
    if tie is None:
        return key
    return f"{tie.count} x {without_count(str(tie.count), tie.what)}" if tie.count is not None else tie.what
