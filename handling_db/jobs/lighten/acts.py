"""Each act of a choice: what comes off, by hand or hook, what it carries or holds, what comes out first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from handling_db.jobs.lighten.asked import LightenQuestion
from handling_db.jobs.lighten.burden import Burden, without
from handling_db.jobs.lighten.choose import Removable
from handling_db.jobs.lighten.figures import OffFigure
from handling_db.jobs.lighten.pieces import SEALS, Pieces, RemovalAct, Sorting
from handling_db.jobs.lighten.weighed import Weighed
from handling_db.lifting.figures import JointFigure, NamedThing, NoteFigure, TieFigure
from handling_db.lifting.occurrences import Side, joint_part, sort_out
from handling_db.lifting.said.notes import standing_about
from handling_db.lifting.ties import crossed, job_notices, joint_figures
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.in_hand import open_jobs
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.workplace import Shop
from handling_db.records.parts.three_valued import listed

# Places behind what is equal otherwise: what holds something, what carries or closes something, and last what
# nobody recorded to come off by itself.
HOLDS, CARRIES, UNRECORDED, LIGHTER = 10.0, 100.0, 200.0, 1.0
CARRYING = frozenset({"carries the picks", "carries the face", "closes oil in"})
NOTES = frozenset({"stored energy", "order", "stick", "tie", "hand", "fluid"})


class ActFacts:
    """What is known about each unit of a body.

    Parameters
    ----------
    burden : Burden
    sorting : Sorting
    pieces : Pieces
    weighed : Weighed
    shop : Shop or None
        Its hand limit says what needs the hook.
    question : LightenQuestion
    """

    def __init__(
        self,
        burden: Burden,
        sorting: Sorting,
        pieces: Pieces,
        weighed: Weighed,
        shop: Shop | None,
        question: LightenQuestion,
    ) -> None:
        self.burden = burden
        self.sorting = sorting
        self.pieces = pieces
        self.weighed = weighed
        self.question = question
        self.hand_limit = float(shop.hand_limit.base) if shop is not None and shop.hand_limit else None
        self._loads: dict[frozenset[int], Amount | None] = {}
        self._uppers: dict[frozenset[int], float | None] = {}
        self._heaviest = max((self._high(unit.items) for unit in pieces.units), default=0.0) or 1.0
        self._picks = self._carriers()

    def load(self, items: Iterable[int]) -> Amount | None:
        """What some items weigh together, dry; None where nothing bounds them. [kg]"""
        key = frozenset(items)
        if key not in self._loads:
            low, high = self.weighed.together(key)
            own = [self.weighed.own(item) for item in key]
            if all(one is not None for one in own):
                best = float(sum(one.best for one in own if one is not None))
                least = float(sum(one.low for one in own if one is not None))
                most = float(sum(one.high for one in own if one is not None))
                least = max(least, min(float(low), most))
                most = most if high is None else max(least, min(most, float(high)))
                self._loads[key] = Amount(least, min(max(best, least), most), most)
            elif high is not None:
                self._loads[key] = Amount(float(low), float(low + high) / 2, float(high))
            else:
                self._loads[key] = None
        return self._loads[key]

    def most(self, items: Iterable[int]) -> float | None:
        """What some items weigh together at most, dry; None where nothing bounds them. [kg]"""
        key = frozenset(items)
        if len(key) == 1:
            key = self.weighed.alike(next(iter(key)))
        if key not in self._uppers:
            own = [self.weighed.own(item) for item in key]
            around = self.weighed.upper(key)
            highs = [float(one.high) for one in own if one is not None]
            added = math.fsum(highs) if len(highs) == len(key) else math.inf
            most = min(added, math.inf if around is None else float(around))
            self._uppers[key] = None if math.isinf(most) else most
        return self._uppers[key]

    def _high(self, items: Iterable[int]) -> float:
        return self.most(items) or 0.0

    def hook_kg(self, unit: int) -> float:
        """What of it needs the hook: all of it above the hand limit, or where nobody knows. [kg]"""
        most = self.most(self.pieces.units[unit].items)
        if most is None:
            return 1e5  # not known: behind everything that is
        return 0.0 if self.hand_limit is not None and most <= self.hand_limit else most

    def _by(self, load: Amount | None) -> str:
        if load is None or load.high is None:
            return "not known"
        return "hands" if self.hand_limit is not None and load.high <= self.hand_limit else "hook"

    def rank(self, unit: int) -> float:
        """What it is put behind for where pieces and kilograms are equal."""
        one = self.pieces.units[unit]
        lighter = 1.0 - self._high(one.items) / self._heaviest  # the heavier first: it leaves more room
        said = {notice.kind for notice in self._carrying(one, set(one.items))}
        return (
            HOLDS * bool(said & {"holds in"})
            + CARRIES * bool(said & CARRYING)
            + UNRECORDED * (not one.recorded)
            + LIGHTER * max(0.0, lighter)
        )

    def plain(self, units: Sequence[int]) -> bool:
        """Whether each is recorded to come off by itself, and carries, closes in and holds nothing left."""
        off = {item for unit in units for item in self.pieces.units[unit].items}
        return all(
            self.looked_at(unit) and not self._carrying(self.pieces.units[unit], off) for unit in units
        )

    def looked_at(self, unit: int) -> bool:
        """Whether somebody recorded that it comes off by itself, and what it holds."""
        one = self.pieces.units[unit]
        tops = [self.sorting.component(index) for index in one.tops]
        return one.recorded and (one.kind == "lift group" or all(c.holds_in is not None for c in tops))

    def careful(self, choices: Removable) -> Removable:
        """The same choices, but for what carries or closes in something, and with all that a piece holds."""
        barred, along = set(choices.barred), []
        for unit, one in enumerate(self.pieces.units):
            said = {notice.kind for notice in self._carrying(one, set(one.items))}
            if not self.looked_at(unit) or said & CARRYING:
                barred.add(unit)
            held = {
                i
                for index in self._within(one)
                for h in self.sorting.held(index)
                for i in self.sorting.under(h)
            }
            along.append(frozenset(held) - set(one.items))
        return replace(choices, along=tuple(along), barred=frozenset(barred))

    def _carriers(self) -> dict[int, tuple[str, ...]]:
        """By occurrence, the pick points it carries: its own, or those whose load goes through it."""
        group, mass, ways = self.burden.group, self.burden.mass, self.burden.mass.ways
        used = {pick.point for pick in listed(group.picks)}
        found: dict[int, list[str]] = {}
        for index, side in enumerate(mass.sides):
            if side.part == 0:
                continue
            for point in listed(self.sorting.component(index).pick_points):
                if used and point.id not in used:
                    continue
                found.setdefault(index, []).append(point.name)
                for through in listed(point.through):
                    for there in ways.of_component(through.part or ""):
                        found.setdefault(there, []).append(point.name)
        return {index: tuple(dict.fromkeys(names)) for index, names in found.items()}

    def _carrying(self, unit: RemovalAct, off: set[int]) -> list[Notice]:
        """What it carries, closes in and holds that is still there without it."""
        said = []
        name = unit.name
        own = self._within(unit)
        points = tuple(dict.fromkeys(p for index in own for p in self._picks.get(index, ())))
        if points:
            said.append(Notice("carries the picks", {"name": name, "points": points}))
        face = self._face(own)
        if face:
            said.append(Notice("carries the face", {"name": name, "face": face}))
        held, fluids = [], []
        for index in own:
            for inside in self.sorting.held(index):
                component = self.sorting.component(inside)
                if component.fluid is not None:
                    fluids.append(component.name)
                elif not set(self.sorting.under(inside)) <= off:
                    held.append(component.name)
            # A fluid of the whole unit lies outside a body that is one half of it.
            known = {self.sorting.component(i).id for i in self.sorting.held(index)}
            for one in listed(self.sorting.component(index).holds_in):
                there = self.burden.collection.components.get(one.part)
                if one.part not in known and there is not None and there.fluid is not None:
                    fluids.append(there.name)
        if held:
            said.append(Notice("holds in", {"name": name, "pieces": tuple(dict.fromkeys(held))}))
        if fluids and self._oil():
            said.append(Notice("closes oil in", {"name": name, "fluids": tuple(dict.fromkeys(fluids))}))
        return said

    def _oil(self) -> bool:
        """Whether fluid is or may be inside."""
        return any(
            a.kind == "fluid" and (a.load is None or a.load.high != 0.0)
            for a in self.burden.inside(self.burden.mass)
        )

    def _face(self, own: Sequence[int]) -> str:
        down = self.burden.group.set_down
        for index in own:
            for face in listed(self.sorting.component(index).set_down_faces):
                if down is not None and down.face == face.id:
                    return face.name
        return ""

    def _within(self, unit: RemovalAct) -> tuple[int, ...]:
        """Every occurrence that comes off with a unit."""
        return tuple(dict.fromkeys(i for top in unit.tops for i in self.burden.mass.ways.under(top)))

    def figures(self, units: Sequence[int]) -> tuple[OffFigure, ...]:
        """The acts of a choice in their order."""
        found, off = [], set[int]()
        everything = {item for unit in units for item in self.pieces.units[unit].items}
        open_before = self._crossed(off)
        for unit in units:
            one = self.pieces.units[unit]
            left, already = frozenset(one.items) - off, frozenset(off)
            off |= set(one.items)
            now = self._crossed(off)
            group = self.burden.collection.lift_groups.get(one.id) if one.kind == "lift group" else None
            names = [*(group.parts_joints if group else ()), *now]
            parted = joint_figures(
                self.burden.collection,
                [name for name in dict.fromkeys(names) if name not in open_before],
                self.burden.job,
            )
            open_before = tuple(dict.fromkeys((*open_before, *names)))
            found.append(self._figure(one, left, everything, [self._without_off(j, already) for j in parted]))
        return tuple(found)

    def _without_off(self, joint: JointFigure, off: frozenset[int]) -> JointFigure:
        """The joint without ties that are pieces and are off already; one that stays comes free in it."""
        record, ways = self.burden.collection.joints[joint.id], self.burden.mass.ways
        gone = set()
        for tie in record.tie_list:
            items = {
                item
                for index in (joint_part(ways, record, tie.part) if tie.part else ())
                for item in self.sorting.under(index)
            }
            if items and items <= off:
                gone.add(tie.key(joint.id))
        stays = {tie.key(joint.id): tie.stays_with for tie in record.tie_list if tie.stays_with is not None}
        return replace(
            joint,
            ties=tuple(
                replace(tie, state=f"comes free as it parts, stays with {self._named(stays[tie.id])}")
                if tie.id in stays
                else tie
                for tie in joint.ties
                if tie.id not in gone
            ),
        )

    def _named(self, code: str) -> str:
        component = self.burden.collection.components.get(code)
        return component.name if component is not None else code

    def _crossed(self, off: set[int]) -> tuple[str, ...]:
        """Joints with one side on the body and the other not."""
        burden = self.burden
        group = without(burden.mass, burden.group, self.pieces.counts(off))
        gone = {i: "off already" for i, side in enumerate(burden.mass.sides) if side.off}
        sides: tuple[Side, ...] = sort_out(burden.collection, burden.mass.ways, group, off=gone)
        return crossed(burden.collection, burden.mass.ways, sides)

    def _figure(
        self, unit: RemovalAct, left: frozenset[int], everything: set[int], parted: Sequence[JointFigure]
    ) -> OffFigure:
        load = self.load(left)
        by = self._by(load)
        own = self._within(unit)
        codes = [self.sorting.component(index).id for index in own]
        top = [self.sorting.component(index).id for index in unit.tops]
        notes = standing_about(self.burden.collection, codes, top, NOTES, self._serial(), self.question.as_of)
        return OffFigure(
            way=self.burden.mass.ways.found[unit.tops[0]].way if len(unit.tops) == 1 else (),
            id=unit.id,
            name=unit.name,
            kind=unit.kind,
            load=load,
            by=by,
            lifts=self._lifts(unit),
            fixtures=tuple(
                NamedThing(fixture.id, fixture.name)
                for _, fixture in sorted(self.burden.collection.fixtures.items())
                if any(needed.component in top for needed in fixture.needed_by)
            ),
            ties=tuple(tie for joint in parted for tie in _in_order(joint)),
            notes=notes,
            says=tuple(self._says(unit, everything, by, parted, notes)),
        )

    def _says(
        self,
        unit: RemovalAct,
        everything: set[int],
        by: str,
        parted: Sequence[JointFigure],
        notes: Sequence[NoteFigure],
    ) -> list[Notice]:
        name = unit.name
        said = [
            Notice("stored energy", {"about": note.about, "text": note.text})
            for note in notes
            if note.kind == "stored energy"
        ]
        said += self._carrying(unit, everything)
        for joint in parted:
            seals = tuple(t.what for t in joint.ties if t.kind in SEALS and (t.open or t.out))
            if seals and self._oil():
                said.append(Notice("opens a seal", {"name": name, "joint": joint.name, "seals": seals}))
            nobody = tuple(tie.what for tie in joint.ties if tie.open and tie.nobody_looked)
            if nobody:
                said.append(Notice("ties nobody looked for", {"joint": joint.name, "ties": nobody}))
            if self.burden.collection.joints[joint.id].ties_listed != "all":
                said.append(Notice("not all ties listed", {"joint": joint.name}))
        tops: list[Component] = [self.sorting.component(index) for index in unit.tops]
        if not parted and not unit.recorded:
            said.append(Notice("nobody recorded how held", {"name": name}))
        elif not parted:
            said.append(Notice("ties not recorded", {"name": name}))
        if any(component.holds_in is None for component in tops) and unit.kind != "lift group":
            said.append(Notice("nobody looked what it holds", {"name": name}))
        if by == "not known":
            said.append(Notice("nobody weighed", {"name": name}))
        return said

    def _lifts(self, unit: RemovalAct) -> tuple[NamedThing, ...]:
        """Recorded lifts of just this."""
        if unit.kind == "lift group":
            return (NamedThing(unit.id, unit.name),)
        return tuple(
            NamedThing(code, group.name)
            for code, group in sorted(self.burden.collection.lift_groups.items())
            if len(group.takes) == 1
            and not group.leaves
            and group.takes[0].of[-1] == unit.id
            and group.turn is None
        )

    def job_notices(self) -> list[Notice]:
        """Temporary ties that are in on such a unit."""
        job = self.burden.job
        jobs = open_jobs(
            self.burden.collection, self.burden.group.root, self._serial(), job.id if job else ""
        )
        return job_notices(jobs)

    def _serial(self) -> int | None:
        job = self.burden.job
        return self.question.serial if job is None else job.serial


def _in_order(joint: JointFigure) -> list[TieFigure]:
    """The open ties of a joint, each after those that the record puts before it; temporary ones last."""
    left = [tie for tie in joint.ties if tie.open]
    ids = {tie.id for tie in left}
    found: list[TieFigure] = []
    while left:
        done = {tie.id for tie in found}
        ready = [tie for tie in left if not (set(tie.after) & ids) - done] or left  # a ring: as written
        here = min(ready, key=lambda tie: (tie.temporary, left.index(tie)))
        left.remove(here)
        found.append(here)
    return found
