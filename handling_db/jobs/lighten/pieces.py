"""What may come off a body: its pieces, assemblies and recorded lifts, and what is off before what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from handling_db.jobs.lighten.burden import Burden
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.occurrences import WayError, Ways, joint_part
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.joint import Joint, Tie
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.three_valued import listed

MOST_APART = 24  # alike pieces of one line that are looked at one by one; more come off together

MANY = Fraction(10**9)  # more than there are of any assembly: all of it

# A tie of these kinds is a piece of some size that is taken out by itself; any other only fastens.
PIECES = frozenset({"shaft", "spline", "sleeve", "bracket", "weight", "other"})
SEALS = frozenset({"seal", "sealant"})


@dataclass(frozen=True, slots=True)
class Item:
    """The smallest thing that is on or off: one piece of a line, or what an open list leaves out.

    Parameters
    ----------
    index : int
        Occurrence.
    pieces : Fraction
    unlisted : bool
        Whatever else belongs to an assembly: off only with all of it.
    """

    index: int
    pieces: Fraction
    unlisted: bool = False


@dataclass(frozen=True, slots=True)
class RemovalAct:
    """One act: what comes off together.

    Parameters
    ----------
    kind : str
        ``piece``, ``assembly`` or ``lift group``.
    id, name : str
        Of the component or the lift group.
    items : tuple of int
    tops : tuple of int
        The highest occurrences that are wholly in it.
    recorded : bool
        Something recorded says that it comes off by itself.
    """

    kind: str
    id: str
    name: str
    items: tuple[int, ...]
    tops: tuple[int, ...]
    recorded: bool


@dataclass(frozen=True, slots=True)
class Pieces:
    """Everything that is on, and what may come off.

    Parameters
    ----------
    items : tuple of Item
    units : tuple of RemovalAct
    before : tuple of frozenset of int
        By item, the items that are off before it.
    sides : tuple of (frozenset of int, frozenset of int)
        The items of one side of a joint, and its ties that are pieces: off before that side lets go.
    not_offered : tuple of str
        Ties of joints, which only come out with what they hold.
    below : mapping of occurrence to set of int
        The items of each assembly that is on.
    """

    items: tuple[Item, ...]
    units: tuple[RemovalAct, ...]
    before: tuple[frozenset[int], ...]
    sides: tuple[tuple[frozenset[int], frozenset[int]], ...]
    not_offered: tuple[str, ...]
    below: Mapping[int, frozenset[int]]

    def counts(self, items: Iterable[int]) -> dict[int, Fraction]:
        """So many pieces of each occurrence: leaves, and assemblies of which nothing is left."""
        off = frozenset(items)
        found: dict[int, Fraction] = {}
        for item in off:
            one = self.items[item]
            if not one.unlisted:
                found[one.index] = found.get(one.index, Fraction(0)) + one.pieces
        for index, own in self.below.items():
            if own <= off:
                found[index] = sum((self.items[item].pieces for item in own), Fraction(0)) + MANY
        return found


class Sorting:
    """Goes through a body once and sorts out its pieces."""

    def __init__(self, burden: Burden) -> None:
        self.burden = burden
        self.collection: Collection = burden.collection
        self.mass = burden.mass
        self.ways: Ways = burden.mass.ways
        self.items: list[Item] = []
        self.by_index: dict[int, list[int]] = {}
        self._known = self._comes_off()

    def component(self, index: int) -> Component:
        """The component of an occurrence."""
        return self.collection.components[self.ways.tree.component(self.ways.found[index].node)]

    def done(self) -> Pieces:
        """Items, units and their order."""
        taken = {self.ways.follow(mention.of) for mention in self.burden.group.takes}
        for index, side in enumerate(self.mass.sides):
            component = self.component(index)
            if side.part == 0 or component.fluid is not None:
                continue
            if component.parts:
                if component.parts_listed != "all":
                    self._add(Item(index, self.ways.found[index].pieces, unlisted=True))
                continue
            pieces = self.ways.found[index].pieces * side.part
            apart = pieces.denominator == 1 and 1 < pieces <= MOST_APART and index not in taken
            for _ in range(int(pieces) if apart else 1):
                self._add(Item(index, Fraction(1) if apart else pieces))
        fastening, ties = self._ties()
        assemblies = self._assemblies(fastening)
        units = [*self._pieces(fastening), *assemblies, *self._lifts(assemblies)]
        before = [set[int]() for _ in self.items]
        for own in self.by_index.values():
            for first, second in pairwise(own):
                before[second].add(first)  # alike pieces in one order: which of them is off does not matter
        for index in range(len(self.ways.found)):
            self._held_in(index, before)
        names = tuple(dict.fromkeys(self.component(index).name for index in fastening))
        below = {
            index: frozenset(items)
            for index, side in enumerate(self.mass.sides)
            if side.part > 0 and self.component(index).parts and (items := self.under(index))
        }
        return Pieces(
            tuple(self.items),
            tuple(units),
            tuple(frozenset(one) for one in before),
            tuple(ties),
            names,
            below,
        )

    def _add(self, item: Item) -> None:
        self.by_index.setdefault(item.index, []).append(len(self.items))
        self.items.append(item)

    def under(self, index: int) -> tuple[int, ...]:
        """The items of an occurrence and of everything below it."""
        return tuple(item for below in self.ways.under(index) for item in self.by_index.get(below, ()))

    def _pieces(self, fastening: frozenset[int]) -> list[RemovalAct]:
        """Each piece by itself."""
        found = []
        for number, item in enumerate(self.items):
            if item.unlisted or item.index in fastening:
                continue
            component = self.component(item.index)
            recorded = component.id in self._known or component.holds_in is not None
            found.append(
                RemovalAct("piece", component.id, component.name, (number,), (item.index,), recorded)
            )
        return found

    def _assemblies(self, fastening: frozenset[int]) -> list[RemovalAct]:
        """Assemblies that a record treats as one piece."""
        found = []
        for index, side in enumerate(self.mass.sides):
            component = self.component(index)
            if side.part == 0 or not component.parts or index == 0 or index in fastening:
                continue
            handled = bool(
                listed(component.pick_points) or listed(component.set_down_faces) or component.attitudes
            )
            if not (component.id in self._known or handled or component.holds_in is not None):
                continue
            items = self.under(index)
            if 1 < len(items) < len(self.items):
                found.append(
                    RemovalAct("assembly", component.id, component.name, items, (index,), recorded=True)
                )
        return found

    def _lifts(self, assemblies: Iterable[RemovalAct]) -> list[RemovalAct]:
        """Recorded lifts of something that is on: each comes off in one act."""
        found = []
        seen = {frozenset(self.under(0)), *(frozenset(one.items) for one in assemblies)}
        for _, group in sorted(self.collection.lift_groups.items()):
            inside = self._inside(group)
            items = tuple(number for number, item in enumerate(self.items) if item.index in inside)
            key = frozenset(items)
            one = len({item.index for item in map(self.items.__getitem__, items)}) == 1
            if not items or one or key in seen or len(items) == len(self.items):
                continue
            seen.add(key)
            tops = tuple(i for i in sorted(inside) if self.ways.found[i].parent not in inside)
            found.append(RemovalAct("lift group", group.id, group.name, items, tops, recorded=True))
        return found

    def _inside(self, group: LiftGroup) -> frozenset[int]:
        """The occurrences of the body that a recorded lift takes wholly; empty where it takes more."""
        if group.id == self.burden.group.id or group.turn is not None:
            return frozenset()
        if group.root not in {code for code, _ in self.ways.tree.nodes} and not self._around(group.root):
            return frozenset()
        try:
            mass = group_mass(self.collection, group)
        except (WayError, ValueError):
            return frozenset()  # it cannot be followed in this build; the checker says so
        found = set()
        for index, side in enumerate(mass.sides):
            occurrence = mass.ways.found[index]
            component = self.collection.components[mass.ways.tree.component(occurrence.node)]
            if side.part == 0 or component.fluid is not None or component.parts:
                continue
            here = self._same_place(group.root, occurrence.way)
            if side.part != 1 or here is None or self.mass.sides[here].part != 1:
                return frozenset()
            found.add(here)
        whole = set(found)
        for index in reversed(range(len(self.ways.found))):  # an assembly is in where all of it is
            below = [
                i
                for i in self.ways.below.get(index, ())
                if self.mass.sides[i].part > 0 and self.component(i).fluid is None
            ]
            if below and all(i in whole for i in below) and index != 0:
                whole.add(index)
        return frozenset(whole)

    def _around(self, code: str) -> bool:
        """Whether a component holds the root of this body."""
        from handling_db.records.in_hand import below

        return code in self.collection.components and self.burden.group.root in below(self.collection, code)

    def _same_place(self, root: str, way: tuple[str, ...]) -> int | None:
        """The occurrence of this body that another root reaches by a way; None where it is not in it."""
        own = self.burden.group.root
        if root != own:
            if own not in way:
                found = self.ways.of_component(root)
                if len(found) != 1:
                    return None
                steps = (*self.ways.found[found[0]].way, *way)
            else:
                steps = way[way.index(own) + 1 :]
        else:
            steps = way
        try:
            return self.ways.follow(steps) if steps else None
        except WayError:
            return None

    def _comes_off(self) -> frozenset[str]:
        """Components that a record takes off by themselves: in a lift, a joint, a job, with a fixture."""
        found: set[str] = set()
        for group in self.collection.lift_groups.values():
            found |= {mention.of[-1] for mention in (*group.takes, *group.leaves)}
        for job in self.collection.jobs.values():
            found |= {off.of[-1] for off in job.off}
        for joint in self.collection.joints.values():
            found |= set(joint.between)
            found |= {tie.part[-1] for tie in joint.tie_list if tie.part and tie.kind in PIECES}
        for fixture in self.collection.fixtures.values():
            found |= {needed.component for needed in fixture.needed_by}
        return frozenset(found)

    def _ties(self) -> tuple[frozenset[int], list[tuple[frozenset[int], frozenset[int]]]]:
        """Parts that only fasten, and by side of a joint the ties that are pieces."""
        fastening: set[int] = set()
        sides: list[tuple[frozenset[int], frozenset[int]]] = []
        for joint in self.collection.joints.values():
            for start in self.ways.of_component(joint.within):
                fastening |= set(self._parts_of(joint, start, fastens=True))
                out = {
                    item
                    for index in self._parts_of(joint, start, fastens=False)
                    for item in self.under(index)
                }
                both = [self._side(start, code) for code in joint.between]
                if all(both):
                    sides += [(side, frozenset(out)) for side in both if out]
        return frozenset(fastening), sides

    def _side(self, start: int, code: str) -> frozenset[int]:
        tops = [
            i for i in self.ways.under(start) if self.ways.tree.component(self.ways.found[i].node) == code
        ]
        return frozenset(item for top in tops for item in self.under(top))

    def _parts_of(self, joint: Joint, start: int, *, fastens: bool) -> list[int]:
        """Occurrences that ties of a joint are, and that come out with it."""
        found = []
        for tie in joint.tie_list:
            if tie.part is None or tie.stays_with is not None or (tie.kind in PIECES) == fastens:
                continue
            if not fastens and self._out(joint, tie):
                continue
            found += [i for i in joint_part(self.ways, joint, tie.part) if start in self._above(i)]
        return found

    def _out(self, joint: Joint, tie: Tie) -> bool:
        job = self.burden.job
        return tie.there == "none" or (job is not None and job.is_out(joint.id, tie.key(joint.id)))

    def _above(self, index: int) -> set[int]:
        found = {index}
        while index > 0:
            index = self.ways.found[index].parent
            found.add(index)
        return found

    def held(self, index: int) -> tuple[int, ...]:
        """Occurrences that the piece of an occurrence holds in: the nearest of each that it names."""
        found: list[int] = []
        for held in listed(self.component(index).holds_in):
            places = self.ways.of_component(held.part)
            above = index
            while above >= 0:
                near = [i for i in places if above in self._above(i)]
                if near:
                    found += near
                    break
                above = self.ways.found[above].parent
        return tuple(found)

    def _held_in(self, index: int, before: list[set[int]]) -> None:
        own = set(self.under(index))
        if not own:
            return
        for inside in self.held(index):
            for item in self.under(inside):
                before[item] |= own - set(self.under(inside))
