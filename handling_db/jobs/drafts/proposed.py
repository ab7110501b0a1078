"""A first chain of steps for taking a unit apart: from its joints, the order of ties, and recorded lifts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handling_db.errors import UnknownNameError, not_there
from handling_db.jobs.steps.holds.holding import Hold, Holding
from handling_db.jobs.steps.holds.unit import Seam, Unit
from handling_db.lifting.occurrences import AbsentError
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, PlanStep, Resting
from handling_db.records.kinds.lift_group import LiftGroup, Mention
from handling_db.records.parts.common import TieNamed
from handling_db.records.parts.three_valued import listed

OPEN = "Proposed from the records; look at every step, and write 'starts': how the unit stands at first."


def proposed_plan(collection: Collection, name: str, unit_id: str, shop: str | None = None) -> JobPlan:
    """A planned job for a person to edit: what comes first out first, ties in the order of their records.

    Parameters
    ----------
    collection : Collection
    name : str
        Id of the new record.
    unit_id : str
    shop : str, optional

    Raises
    ------
    UnknownNameError
        There is no such component or shop.
    PlanError
        The unit cannot be followed, or no joint with recorded ties is in it.
    """
    if unit_id not in collection.components:
        raise UnknownNameError(not_there("component", unit_id, sorted(collection.components)))
    if shop is not None and shop not in collection.shops:
        raise UnknownNameError(not_there("shop", shop, sorted(collection.shops)))
    bare = JobPlan.model_construct(job_plan=name, name=name, unit=unit_id)
    unit = Unit(collection, bare)
    steps = list(_Draft(unit, shop).steps())
    return JobPlan.model_construct(
        job_plan=name,
        name=f"{unit.root.name} taken apart",
        unit=unit_id,
        shop=shop,
        steps=tuple(steps),
        remark=OPEN,
    )


class _Draft:
    """Writes the steps one joint after the other, the lightest side first."""

    def __init__(self, unit: Unit, shop: str | None) -> None:
        self.unit = unit
        self.shop = shop
        self.gone: set[tuple[str, ...]] = set()
        self.used: set[str] = set()

    def steps(self) -> Iterator[PlanStep]:
        if any(index not in self.unit.solid for index in range(len(self.unit.pieces))):
            yield self._step("drain", what="Drain")
        seams = sorted(
            (seams[0] for seams in self.unit.seams.values()), key=lambda s: self.unit.known_kg(s.held)
        )
        for seam in seams:
            yield from self._apart(seam)
        if not self.used:
            yield self._step("look", what=f"Look how {self.unit.root.name} is held, and record its joints")

    def _apart(self, seam: Seam) -> Iterator[PlanStep]:
        """One joint: what comes off by hand, the turn, the hook, the last ties, parting, setting down."""
        group = self._lift(seam)
        order = _in_order(seam)
        if group is None:
            ties = [self._named(seam, tie) for tie in order if tie.blocks]
            yield self._step(
                "take off",
                what=f"{self.unit.name(seam.held)} off",
                ties=tuple(ties),
                pieces=(Mention(of=self.unit.pieces[seam.held].way),),
            )
            return
        early = [
            tie
            for tie in order
            if tie.blocks and (tie.hold is Hold.NOTHING or self._in_the_way(seam, tie, group))
        ]
        for tie in early:
            yield from self._early(seam, tie, group)
        yield from self._left(group)
        turn = self._turn(seam, group)
        if turn is not None:
            yield self._step("turn", what=f"{turn.name}", lift_group=turn.id)
        yield self._step("hook on", what=f"Hook on: {group.name}", lift_group=group.id)
        late = [tie for tie in order if tie.blocks and tie not in early]
        for tie in late:
            yield self._step("tie out", what=f"{_words(tie)} out", ties=(self._named(seam, tie),))
        yield self._step("part", what=f"Part: {seam.joint.name}", joint=seam.joint.id)
        rests = _landing(group)
        if rests is not None:
            yield self._step("set down", what=f"Set down: {group.name}", rests=rests)

    def _early(self, seam: Seam, tie: Holding, group: LiftGroup) -> Iterator[PlanStep]:
        """A tie that comes out before the hook is on; with it, where it is one, the piece that it is."""
        parts = [self.unit.pieces[i].way for i in seam.parts.get(tie.tie, ())]
        left = [way.of for way in group.leaves if any(part[-len(way.of) :] == way.of for part in parts)]
        if left:
            self.gone.update(left)
            ways = tuple(Mention(of=way) for way in left)
            yield self._step(
                "take off", what=f"{_words(tie)} off", ties=(self._named(seam, tie),), pieces=ways, by="hands"
            )
        else:
            yield self._step("tie out", what=f"{_words(tie)} out", ties=(self._named(seam, tie),))

    def _left(self, group: LiftGroup) -> Iterator[PlanStep]:
        """What the lift leaves behind, off before it."""
        for way in group.leaves:
            try:
                index = self.unit.follow(way.of)
            except AbsentError:
                continue  # none of it in this build
            if index in self.unit.solid and way.of not in self.gone:
                self.gone.add(way.of)
                why = f", {way.why}" if way.why else ""
                yield self._step(
                    "take off", what=f"{self.unit.name(index)} off{why}", pieces=(Mention(of=way.of),)
                )

    def _lift(self, seam: Seam) -> LiftGroup | None:
        """The recorded lift that parts the joint and says where it goes: of this shop first."""
        found = [
            group
            for _, group in sorted(self.unit.collection.lift_groups.items())
            if group.root == self.unit.root.id
            and seam.joint.id in group.parts_joints
            and group.set_down is not None
        ]
        shop = self.unit.collection.shops.get(self.shop or "")
        here = shop.movers if shop is not None else ()
        found.sort(key=lambda group: (group.mover not in here, not listed(group.picks), group.id))
        return found[0] if found else None

    def _turn(self, seam: Seam, group: LiftGroup) -> LiftGroup | None:
        """The recorded turn that brings the unit into the attitude of the lift."""
        for _, other in sorted(self.unit.collection.lift_groups.items()):
            turn = other.turn
            if turn is None or other.root != self.unit.root.id or other.id in self.used:
                continue
            if turn.joint in (None, seam.joint.id) and turn.to == group.attitude:
                self.used.add(other.id)
                return other
        return None

    def _in_the_way(self, seam: Seam, tie: Holding, group: LiftGroup) -> bool:
        """Whether a tie is a piece that the lift leaves behind, or has to be out before one that is."""
        parts = [self.unit.pieces[i].way for i in seam.parts.get(tie.tie, ())]
        return any(part[-len(way.of) :] == way.of for part in parts for way in group.leaves)

    def _named(self, seam: Seam, tie: Holding) -> TieNamed:
        return TieNamed(joint=seam.joint.id, tie=tie.tie)

    def _step(self, do: str, **fields: object) -> PlanStep:
        self.used.add(do)
        return PlanStep.model_construct(do=do, **fields)  # type: ignore[arg-type]


def _words(tie: Holding) -> str:
    return f"{tie.what[:1].upper()}{tie.what[1:]}"


def _in_order(seam: Seam) -> Sequence[Holding]:
    """The ties of a joint, each after what its record says comes first; otherwise as they are written."""
    after = {tie.key(seam.joint.id): tie.after for tie in seam.joint.tie_list}
    left = list(seam.ties.values())
    found: list[Holding] = []
    while left:
        done = {tie.tie for tie in found} | (set(after) - set(seam.ties))
        ready = [tie for tie in left if set(after.get(tie.tie, ())) <= done]
        following = ready[0] if ready else left[0]  # a ring of ties is the checker's to say
        left.remove(following)
        found.append(following)
    return found


def _landing(group: LiftGroup) -> Resting | None:
    down = group.set_down
    if down is None:
        return None
    return Resting.model_construct(
        on="stand" if down.fixture else "floor",
        what=down.on,
        fixture=down.fixture,
        face=down.face,
        piece_at=down.piece_at if down.fixture else None,
    )
