"""What a lift group weighs and where its centre lies: pieces, fluid that is still inside, packing."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from handling_db.balance.together.pieces import unlisted_most, with_charges
from handling_db.balance.together.reach import AllEvidence, Reach, evidence_of
from handling_db.families.build import Value
from handling_db.families.named_builds import build_for_serial, given_values
from handling_db.families.parameter import value_text
from handling_db.lifting.evidenced import PiecesTogether, dry_limits, one_together, pieces_together
from handling_db.lifting.extras import (
    FLUID,
    GIVEN,
    Extra,
    charges_in,
    given_extras,
    packing_of,
    trapped_in,
    unstated_fluid,
)
from handling_db.lifting.occurrences import Side, WayError, Ways, occurrences, sort_out, widest
from handling_db.lookup.plan import Lifted, Planning, lifted_of, plan_for
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.vectors import Vector, add, scale, subtract
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.quantities.mass import Mass, add_masses, within
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.texts import State
from handling_db.weights.centre import Centre, centres
from handling_db.weights.of_serial import of_serial
from handling_db.weights.own_centre import at_datum, own_centre
from handling_db.weights.totals import Basis, Totals
from handling_db.weights.tree import Node, unfold
from handling_db.weights.witness import Witness

Box = tuple[Vector, Vector]  # lowest corner and highest, along the axes of the root [m]
# Component without a mass, or fluid, packing, gear that nobody stated: low and high. [kg]
Assumed = Mapping[str, tuple[Fraction, Fraction]]


MOST_NAMED = 5  # names of pieces that one sentence gives


def at_datum_words(names: Sequence[str]) -> str:
    """``Centre of 2 pieces taken at their datum, since nobody recorded it: Harness, Oil pump.``"""
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    pieces = "1 piece taken at its" if len(names) == 1 else f"{len(names)} pieces taken at their"
    named = ", ".join(names[:MOST_NAMED])
    return f"Centre of {pieces} datum, since nobody recorded it: {named}{more}."


@dataclass(frozen=True, slots=True)
class Carried:
    """Pieces in the group that one figure stands for. Mass of all of them together. [kg, m]"""

    index: int
    id: str
    name: str
    pieces: Fraction
    mass: Mass | None
    at: Vector | None
    source: str
    assumed: bool
    within: Box | None = None  # where it surely lies, without a place
    at_datum: bool = False  # its own centre is not recorded
    inferred: str = ""  # what its range rests on, where nobody weighed it
    scatters: bool = False  # it was weighed with others of its kind, and one alone is off their mean
    lifted: Lifted | None = None


@dataclass(frozen=True, slots=True)
class GroupMass:
    """A lift group taken apart into what is known and what is not.

    Parameters
    ----------
    ways, sides
        Every occurrence of the root, and which side it is on.
    carried : tuple of Carried
        What is in, by the figures that count.
    inside, outside : tuple of int
        The highest occurrences that are wholly on one side: what a sheet lists.
    unknown, open_lists : tuple of Component
        In the group: without a mass, or with parts that may not all be listed; nothing bounds them.
    extras : tuple of Extra
    build : tuple of (parameter, value, confirmed for this unit)
    assumed : set of component ids
        Those whose mass is a range that was given.
    outline : Box or None
        Recorded of what is lifted, or of the root; fluid without a place lies inside it. [m]
    together : PiecesTogether or None
        Limits of all pieces together, dry, by all the evidence; None where that says nothing. [kg]
    at_least : (Fraction, Fraction) or None
        Low and "at least" of one component that has no upper limit, as its look-up says. [kg]
    with_fluid : Fraction or None
        The heaviest believable figure with all of the fluid that nobody looked for in it, where that is less
        than both added. [kg]
    rest : tuple of Weighted
        Whatever else belongs to what is in, where the evidence bounds it.
    given : mapping of parameter to value
        The build of the root, as far as it is not the default one.
    """

    group: LiftGroup
    totals: Totals
    ways: Ways
    sides: tuple[Side, ...]
    carried: tuple[Carried, ...]
    inside: tuple[int, ...]
    outside: tuple[int, ...]
    unknown: tuple[Component, ...]
    open_lists: tuple[Component, ...]
    extras: tuple[Extra, ...]
    build: tuple[tuple[str, str, bool], ...]
    assumed: frozenset[str] = frozenset()
    outline: Box | None = None
    together: PiecesTogether | None = None
    at_least: tuple[Fraction, Fraction] | None = None
    with_fluid: Fraction | None = None
    rest: tuple[Weighted, ...] = ()
    given: Mapping[str, Value] = field(default_factory=dict)

    @property
    def at_datum(self) -> tuple[str, ...]:
        """Names of pieces whose own centre is not recorded: they are taken at their datum."""
        return tuple(dict.fromkeys(carried.name for carried in self.carried if carried.at_datum))

    @property
    def pieces(self) -> Amount | None:
        """The pieces without any fluid; None where not one has a mass. [kg]"""
        known = [carried.mass for carried in self.carried if carried.mass is not None]
        if not known:
            return None
        total = add_masses(known)
        low, best = float(total.low), float(total.best)
        if not total.complete or self.unknown or self.open_lists:
            # "At least": of a range that is only inferred no more than its low end is sure.
            sure = [c.mass.low if c.inferred else c.mass.best for c in self.carried if c.mass is not None]
            if self.at_least is not None:
                return Amount(float(self.at_least[0]), float(self.at_least[1]), None)
            return Amount(low, max(float(sum(sure)), low), None)
        if self.together is None:
            return Amount(low, best, float(total.high) + self._else())
        # The ends of the parts do not go together where a weighed whole holds them: a light one goes
        # with a heavy rest. Where figures contradict one another the heaviest route counts.
        low, high = float(self.together.low), float(self.together.plan)
        return Amount(low, best if low <= best <= high else (low + high) / 2, high)

    @property
    def lifted(self) -> tuple[Lifted, ...]:
        """Figures that wait for a person and lift the plan."""
        found = [one.lifted for one in self.carried] if self.together is None else self.together.lifted
        return tuple({one.words: one for one in found if one is not None}.values())

    @property
    def unlifted(self) -> Amount | None:
        """The pieces without what only a figure that waits asks for: what a hook should read. [kg]"""
        pieces = self.pieces
        if pieces is None or pieces.high is None or not self.lifted:
            return pieces
        lifts = [(c.lifted.plan - c.lifted.without) * c.pieces for c in self.carried if c.lifted]
        lift = sum(lifts, start=Fraction(0)) if self.together is None else self.together.lift
        high = max(pieces.low, pieces.high - float(lift))
        return Amount(pieces.low, min(pieces.best, high), high)

    def _else(self) -> float:
        """Whatever else belongs to what is in, at most. [kg]"""
        return math.fsum(one.amount.high or 0.0 for one in self.rest if one.amount is not None)

    @property
    def astray(self) -> float | None:
        """How much is left for all pieces above what each weighs at least; None where nothing is missing.

        Only where a whole was weighed heavier than everything that is known of its parts: nobody knows in
        which of them the rest lies. [kg]
        """
        known = [carried.mass for carried in self.carried if carried.mass is not None]
        if self.together is None or len(known) < len(self.carried):
            return None
        total = add_masses(known)
        listed = float(total.high) + self._else()
        return float(self.together.plan - total.low) if float(self.together.plan) > listed else None

    @property
    def most(self) -> float:
        """What pieces, fluid and packing weigh together at most; infinity where that is not known. [kg]"""
        highs = [None if amount is None else amount.high for amount in self.parts().values()]
        return math.fsum(math.inf if high is None else high for high in highs)

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of what keeps the pieces from having an upper figure."""
        lists = [f"whatever else belongs to {component.name}" for component in self.open_lists]
        return (*(component.name for component in self.unknown), *lists)

    def behind(self, index: int) -> Mass | None:
        """The mass of the pieces of an occurrence that are not in; None where it is not known. [kg]"""
        occurrence = self.ways.found[index]
        mass = self.totals.figures[occurrence.node].mass
        return None if mass is None else mass.times(occurrence.pieces * (1 - self.sides[index].part))

    def parts(self) -> dict[str, Amount | None]:
        """What the legs carry, by name: the pieces, fluid inside, packing. [kg]

        Fluid that nobody looked for counts with what it can come to on top of the heaviest pieces.
        """
        pieces = self.pieces
        named: dict[str, Amount | None] = {"lift group": pieces}
        for extra in self.extras:
            name, amount = extra.name, extra.amount
            while name in named:
                name += " (another)"
            named[name] = amount
            whole = self.with_fluid
            if whole is None or not extra.unstated or extra.kind != FLUID or amount is None:
                continue
            if pieces is not None and pieces.high is not None and amount.high is not None:
                top = max(0.0, min(amount.high, float(whole) - pieces.high))
                named[name] = Amount(min(amount.low, top), min(amount.best, top), top)
        return named

    def weighted(self) -> tuple[Weighted, ...]:
        """Every mass with its place, as the centre of gravity needs them; fluid lies within an outline."""
        astray = self.astray
        found = [
            Weighted(
                carried.name,
                None if carried.mass is None else _amount(carried.mass, astray),
                carried.at,
                carried.within,
            )
            for carried in self.carried
        ]
        found += [Weighted(f"whatever else belongs to {c.name}", None, None) for c in self.open_lists]
        found += self.rest
        for extra in self.extras:
            if extra.amount is None or extra.amount.high != 0.0:
                # A fluid whose place is written is there; else it is somewhere within the outline.
                anywhere = extra.kind == "fluid" and extra.at is None
                inside = extra.within or (self.outline if anywhere else None)
                found.append(Weighted(extra.name, extra.amount, extra.at, inside))
        return tuple(found)


def _amount(mass: Mass, astray: float | None) -> Amount:
    low, high = float(mass.low), float(mass.high)
    if astray is not None:
        high = max(high, low + astray)
    return Amount(low, float(mass.best), high if mass.complete else None)


def group_mass(
    collection: Collection,
    group: LiftGroup,
    *,
    job: Job | None = None,
    assumed: Assumed | None = None,
    serial: int | None = None,
) -> GroupMass:
    """Follow the takes and leaves of a lift group and weigh what is in.

    Parameters
    ----------
    collection : Collection
    group : LiftGroup
    job : Job, optional
        Its build replaces that of the group, and what it says is off is not in.
    assumed : mapping of component id to (low, high), optional
        A range for a component without a mass, given by whoever asks; which of them were needed stands in
        the answer. [kg]
    serial : int, optional
        The unit at hand, if no job says: what was weighed on others is a hint at most.

    Raises
    ------
    WayError
        A way that leads nowhere, a root that is not there, or nothing taken at all.
    StaticsError
        A range that runs backwards.
    BuildError
        A build that the root cannot have.
    """
    root = collection.components.get(group.root)
    if root is None:
        raise WayError(f"lift group {group.id}: there is no component {group.root!r} to start from")
    own_job = job if job is not None and job.unit == group.root else None
    texts, certain = _build_texts(root, group, own_job)
    given = given_values(root, texts)
    at_hand = own_job.serial if own_job is not None and own_job.serial is not None else serial
    unit = _unfolded(collection, group, given, at_hand)
    ways, totals, middles = unit.ways, unit.totals, unit.middles
    off = _taken_off(ways, own_job)
    sides = sort_out(collection, ways, group, off=off)
    evidence = evidence_of(collection, group.root, given, at_hand)
    walked = _Walk(collection, totals, ways, sides, dict(assumed or {}), middles, evidence)
    walked.go()
    if not walked.inside:
        raise WayError(f"lift group {group.id} takes nothing: write what leaves the ground under 'takes'")
    extras = [*trapped_in(collection, group), *packing_of(collection, group)]
    charges = None if group.trapped is not None else charges_in(collection, ways, sides, evidence)
    if group.trapped is None:
        extras.insert(0, unstated_fluid(collection, evidence, charges))
    extras_given = given_extras(extras, walked.assumed)
    given_for = {extra.kind for extra in extras_given if extra not in extras}
    pieces, opened = walked.whole_and_open()
    one = None
    if list(pieces.values()) == [1] and not opened and not walked.used:  # one piece, one answer
        one = plan_for(totals, _one_node(walked), evidence)
    found = _together(collection, evidence, ways, sides, walked) if one is None else one_together(one)
    with_fluid = None
    if found is not None and charges and not opened:
        with_fluid = with_charges(evidence, pieces, charges, found.plan)
    return GroupMass(
        group,
        totals,
        ways,
        sides,
        tuple(walked.carried),
        tuple(walked.inside),
        tuple(walked.outside),
        tuple(walked.unknown.values()),
        tuple(walked.open_lists.values()),
        tuple(extras_given),
        _build_words(root, ways.tree.nodes[unit.node][1], certain),
        walked.used | given_for,
        _outline(collection, ways, group),
        found,
        None if one is None or one.plan is not None else (one.low, one.best),
        with_fluid,
        tuple(walked.rest.values()),
        given,
    )


@dataclass(frozen=True, slots=True)
class _Unfolded:
    """One unit in one build, as every lift group of it needs it."""

    collection: Collection
    node: int
    ways: Ways
    totals: Totals
    middles: Mapping[int, Centre]


MOST_KEPT = 4
_kept: dict[tuple[object, ...], _Unfolded] = {}


def _unfolded(
    collection: Collection, group: LiftGroup, given: Mapping[str, Value], serial: int | None
) -> _Unfolded:
    """The tree, totals and centres of the unit of a lift group, worked out once for several groups.

    Raises
    ------
    WayError
        The tree cannot be followed.
    """
    key = (id(collection), group.root, serial, *sorted(given.items()))
    found = _kept.get(key)
    if found is not None and found.collection is collection:  # the number may have been used again
        return found
    tree = unfold(collection, [(group.root, given)])
    faults = "; ".join(f"{fault.component}: {fault.message}" for fault in tree.faults)
    if faults:
        raise WayError(f"lift group {group.id}: the tree cannot be followed: {faults}")
    node = next(node for (code, _), node in tree.start.items() if code == group.root)
    ways = Ways(collection, tree, occurrences(tree, node))
    totals = Totals(of_serial(collection, serial), tree, "dry")
    found = _Unfolded(collection, node, ways, totals, centres(totals, below=node))
    while len(_kept) >= MOST_KEPT:
        _kept.pop(next(iter(_kept)), None)
    _kept[key] = found
    return found


def _together(
    collection: Collection, evidence: AllEvidence, ways: Ways, sides: Sequence[Side], walked: _Walk
) -> PiecesTogether | None:
    """What all the evidence allows the pieces to weigh together, dry; None where that says nothing."""
    masses = [one.mass for one in walked.carried if one.mass is not None]
    if walked.used or len(masses) < len(walked.carried) or any(one.scatters for one in walked.carried):
        return None  # a few of many that were weighed together are not so many means

    def node(index: int) -> Node:
        return ways.tree.nodes[ways.found[index].node]

    carried = [(node(one.index), one.pieces) for one in walked.carried]
    whole = _all_in(collection, ways, sides)
    counted = {one.index: one.pieces for one in walked.carried}
    highest, waiting = [], [0]
    while waiting:
        index = waiting.pop()
        if whole[index]:
            highest.append((node(index), ways.found[index].pieces))
        elif index in counted:
            highest.append((node(index), counted[index]))
        else:
            waiting += ways.below.get(index, [])
    opened = [(node(index), ways.found[index].pieces * sides[index].part) for index in walked.rest]
    return pieces_together(collection, evidence, carried, highest, add_masses(masses), opened)


def _all_in(collection: Collection, ways: Ways, sides: Sequence[Side]) -> list[bool]:
    """By occurrence, whether all that is listed in it goes along, however it was taken; fluid aside."""
    found = [side.part == 1 for side in sides]
    for index in reversed(range(len(found))):
        component = collection.components[ways.tree.component(ways.found[index].node)]
        below = [
            i
            for i in ways.below.get(index, [])
            if collection.components[ways.tree.component(ways.found[i].node)].fluid is None
        ]
        if below:
            found[index] = component.parts_listed == "all" and all(found[i] for i in below)
    return found


def _one_node(walked: _Walk) -> int:
    """The node of the one piece that is in."""
    (node,) = {walked.ways.found[i].node for i in walked.inside if walked.component(i).fluid is None}
    return node


def planned(mass: GroupMass, state: State) -> Planning:
    """What the look-up of the root says in a state, in the build of the lift group. [kg]"""
    totals, root = mass.totals, mass.ways.found[0].node
    evidence = evidence_of(totals.collection, mass.group.root, mass.given)
    known = evidence.node(totals.tree.nodes[root])
    if known is None:
        return plan_for(Totals(totals.collection, totals.tree, state), root, evidence)
    return plan_for(evidence.judge.totals(state), known, evidence)  # worked out once for all


def _outline(collection: Collection, ways: Ways, group: LiftGroup) -> Box | None:
    """The recorded outline of what is taken, where that is one thing; else of the root."""
    taken = [ways.follow(mention.of) for mention in group.takes]
    for index in (taken[0] if len(taken) == 1 else 0, 0):
        component = collection.components[ways.tree.component(ways.found[index].node)]
        frames = ways.found[index].frames
        if component.outline is not None and len(frames) == 1:
            return _around([frames[0].to_parent(p) for p in _corners_of(component.outline.corners())])
    return None


def _corners_of(box: Box) -> list[Vector]:
    (ax, ay, az), (bx, by, bz) = box
    return [(x, y, z) for z in (az, bz) for y in (ay, by) for x in (ax, bx)]


def _around(points: Sequence[Vector]) -> Box:
    """The box around some points, along the axes. [m]"""
    low, high = ([pick(p[i] for p in points) for i in range(3)] for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def way_in(collection: Collection, job: Job, way: Sequence[str]) -> None:
    """Refuse a way that leads nowhere in the unit of a job.

    Raises
    ------
    WayError
        There is no such unit, or the way leads nowhere in its build.
    BuildError
        The job names a build that the unit cannot have.
    """
    unit = collection.components.get(job.unit)
    if unit is None:
        raise WayError(f"job {job.id}: there is no component {job.unit!r}")
    named = build_for_serial(unit, job.serial) if job.serial is not None else None
    given = given_values(unit, {**(named.set if named else {}), **job.build})
    tree = unfold(collection, [(unit.id, given)])
    node = next(node for (code, _), node in tree.start.items() if code == unit.id)
    Ways(collection, tree, occurrences(tree, node)).follow(way)


def _build_texts(root: Component, group: LiftGroup, job: Job | None) -> tuple[dict[str, str], set[str]]:
    """The build as texts: the group's, then that of the serial number, then what the job wrote down."""
    texts = dict(group.build)
    certain: set[str] = set()
    if job is not None:
        named = build_for_serial(root, job.serial) if job.serial is not None else None
        texts |= named.set if named else {}
        texts |= job.build
        certain = {*(named.set if named else ()), *job.build}
    return texts, certain


def _build_words(
    root: Component, build: Sequence[tuple[str, Fraction | str]], certain: set[str]
) -> tuple[tuple[str, str, bool], ...]:
    """Name, value in its own unit, and whether this unit's record confirms it."""
    return tuple((name, value_text(root.parameters[name], value), name in certain) for name, value in build)


def _taken_off(ways: Ways, job: Job | None) -> dict[int, str]:
    if job is None:
        return {}
    return {ways.follow(off.of): f"off already: {off.by}, {off.on.isoformat()}" for off in job.off}


class _Walk:
    """Goes down from the root and takes each figure once."""

    def __init__(
        self,
        collection: Collection,
        totals: Totals,
        ways: Ways,
        sides: Sequence[Side],
        assumed: dict[str, tuple[Fraction, Fraction]],
        centre_of: Mapping[int, Centre],
        evidence: AllEvidence,
    ) -> None:
        self.evidence = evidence
        self.collection = collection
        self.totals = totals
        self.ways = ways
        self.sides = sides
        self.assumed = assumed
        self.centre_of = centre_of
        self.carried: list[Carried] = []
        self.inside: list[int] = []
        self.outside: list[int] = []
        self.unknown: dict[str, Component] = {}
        self.open_lists: dict[str, Component] = {}
        self.rest: dict[int, Weighted] = {}
        self.opened: list[int] = []
        self.used: frozenset[str] = frozenset()

    def component(self, index: int) -> Component:
        return self.collection.components[self.ways.tree.component(self.ways.found[index].node)]

    def go(self) -> None:
        wholly = self._wholly()
        used: set[str] = set()
        stack: list[tuple[int, bool]] = [(0, False)]
        while stack:
            index, told = stack.pop()
            part = self.sides[index].part
            component = self.component(index)
            if 0 < part < 1 and self.sides[index].mentioned:
                self.outside.append(index)  # the rest of it stays behind
            if wholly[index] and not told:
                (self.inside if part > 0 else self.outside).append(index)
                told = True
            elif component.fluid is not None:
                self.outside.append(index)  # listed by itself inside a piece that is wholly in
            if part == 0 and wholly[index]:
                continue
            figure = self.totals.figures[self.ways.found[index].node]
            if component.parts and not (wholly[index] and figure.basis is Basis.WHOLE):
                if part > 0 and not wholly[index]:
                    self.opened.append(index)
                if part > 0 and component.parts_listed != "all":
                    self._open(index, component)
                stack.extend((below, told) for below in reversed(self.ways.below.get(index, [])))
            elif component.fluid is None and part > 0:
                self._take(index, component, used)
        self.used = frozenset(used)

    def whole_and_open(self) -> tuple[dict[Node, Fraction], dict[Node, Fraction]]:
        """What is wholly in, and what is in with some of its parts only: how many of each."""
        whole: dict[Node, Fraction] = {}
        opened: dict[Node, Fraction] = {}
        for indices, found in ((self.inside, whole), (self.opened, opened)):
            for index in indices:
                if self.component(index).fluid is None:
                    which = self.totals.tree.nodes[self.ways.found[index].node]
                    many = self.ways.found[index].pieces * self.sides[index].part
                    found[which] = found.get(which, Fraction(0)) + many
        return whole, opened

    def _open(self, index: int, component: Component) -> None:
        """Whatever else belongs to a piece: as much as the evidence leaves for it, within its outline."""
        occurrence = self.ways.found[index]
        most = unlisted_most(self.evidence, self.totals.tree.nodes[occurrence.node])
        if most is None:
            self.open_lists[component.id] = component
            return
        high = float(most * occurrence.pieces * self.sides[index].part)
        name = f"whatever else belongs to {component.name}"
        self.rest[index] = Weighted(name, Amount(0.0, 0.0, high), None, self._outline(index))

    def _wholly(self) -> list[bool]:
        """Whether everything below is on the same side; fluid aside, which is never a piece."""
        wholly = [True] * len(self.ways.found)
        for index in reversed(range(1, len(self.ways.found))):
            parent = self.ways.found[index].parent
            same = (
                self.sides[index].part == self.sides[parent].part or self.component(index).fluid is not None
            )
            if not (wholly[index] and same):
                wholly[parent] = False
        return wholly

    def _take(self, index: int, component: Component, used: set[str]) -> None:
        occurrence = self.ways.found[index]
        pieces = occurrence.pieces * self.sides[index].part
        figure = self.totals.figures[occurrence.node]
        mass = figure.several(pieces)
        scatters = figure.witness is not None and bool(figure.witness.scatter)
        assumed = mass is None and component.id in self.assumed
        reach = self.evidence.of(self.totals.tree.nodes[occurrence.node], "dry")
        if mass is not None and mass.complete:
            mass = dry_limits(mass, reach, pieces, scatters=scatters)
        source = _source_of(figure.witness) if figure.witness else ""
        if assumed:
            low, high = self.assumed[component.id]
            if not 0 <= low <= high:
                raise StaticsError(f"the range for {component.name} runs backwards or below 0 kg")
            used.add(component.id)
            best = (low + high) / 2
            mass = within(best, best - low, high - best).times(pieces)
            source = GIVEN
        inferred = ""
        if mass is None and reach is not None and reach.plan is not None:
            best = (reach.low + reach.plan) / 2
            mass = within(best, best - reach.low, reach.plan - best).times(pieces)
            source = inferred = self._rests_on(reach)
        if mass is None or not mass.complete:
            self.unknown[component.id] = component
        at = self._place(index)
        self.carried.append(
            Carried(
                index,
                component.id,
                component.name,
                pieces,
                mass,
                at,
                source,
                assumed,
                within=self._among_parts(index) or self._outline(index)
                if at is None
                else self._doubt(index, at),
                at_datum=at is not None and at_datum(component),
                inferred=inferred,
                scatters=scatters,
                lifted=None if reach is None or assumed else lifted_of(self.collection, component.id, reach),
            )
        )

    def _rests_on(self, reach: Reach) -> str:
        """What an inferred range rests on, in words."""
        if reach.guess:
            return f"guessed, nothing measured bounds it: {reach.guess[0].printed}"
        names = [self.collection.components[w.component].name for w in reach.rests_on]
        alone = " (one weighing, nothing checks it)" if len(names) == 1 else ""
        return f"inferred: what the weighed {names[0] if names else 'wholes around'} leaves for it{alone}"

    def _doubt(self, index: int, at: Vector) -> Box | None:
        """The box of a place that has a 'plus or minus', of its own or on the way to it. [m]"""
        occurrence, component = self.ways.found[index], self.component(index)
        off = occurrence.off
        if component.centre_plus_or_minus is not None:
            off = add(off, widest(occurrence.frames, float(component.centre_plus_or_minus.base)))
        return None if off == (0.0, 0.0, 0.0) else (subtract(at, off), add(at, off))

    def _among_parts(self, index: int) -> Box | None:
        """The box around the parts of a piece that was weighed as a whole, all of them listed and placed. [m]

        Nothing weighs less than nothing, so the centre of the whole lies among those of its parts.
        """
        component = self.component(index)
        if not component.parts or self.sides[index].part != 1:
            return None
        low: list[Vector] = []
        high: list[Vector] = []
        for below in self.ways.under(index):
            part = self.component(below)
            if part.fluid is not None:
                continue
            if part.parts:
                if part.parts_listed != "all":
                    return None
                continue
            at = self._place(below)
            if at is None:
                return None
            box = self._doubt(below, at) or (at, at)
            frames = self.ways.found[below].frames
            if len(frames) > 1:  # pieces of one line need not be alike in weight to be so many
                own = self._own_place(below)
                spots = [frame.to_parent(own) for frame in frames] if own is not None else [at]
                box = _around([*spots, *box])
            low.append(box[0])
            high.append(box[1])
        return _around([*low, *high]) if low else None

    def _outline(self, index: int) -> Box | None:
        """The recorded outline of a piece without a place, or of the nearest thing that holds it. [m]"""
        here = index
        while True:
            outline = self.component(here).outline
            frames = self.ways.found[here].frames
            if outline is not None and frames:
                return _around([f.to_parent(p) for f in frames for p in _corners_of(outline.corners())])
            if here == 0:
                return None
            here = self.ways.found[here].parent

    def _place(self, index: int) -> Vector | None:
        """The middle of the pieces that are in; None where a place is missing or it is not told which."""
        occurrence = self.ways.found[index]
        own = self._own_place(index)
        if own is None or not occurrence.frames or 0 < self.sides[index].part < 1:
            return None
        middle = add(*(frame.to_parent(own) for frame in occurrence.frames))
        return scale(middle, 1.0 / len(occurrence.frames))

    def _own_place(self, index: int) -> Vector | None:
        """The centre of a piece in its own frame; None where it is not known. [m]"""
        occurrence, component = self.ways.found[index], self.component(index)
        own: Vector | None = self.centre_of[occurrence.node].at
        if own is None and not component.parts:  # without a mass of its own it still has a place
            build = self.ways.tree.nodes[occurrence.node][1]
            own = own_centre(component, build, self.collection.materials)
        return None if own is None or any(math.isnan(v) for v in own) else own


def _source_of(witness: Witness) -> str:
    """Who says so; of several that were weighed together, that one may be off their mean."""
    told = f"{witness.kind.name}: {witness.source.name}"
    if witness.pieces == 1:
        return told
    scatter = "scatter counted" if witness.scatter is not None else "scatter not known"
    return f"{told}, the mean of {witness.pieces} weighed together, {scatter}"
