"""The figures of a collection as one body of evidence, over all states and builds.

A dry piece weighs the same in a drained whole and in a filled one; only fluids differ. So there is one
unknown for each piece in each build, dry, and two for each fluid: drained and filled. A figure of an assembly
that a charge listed around it can run into says two things: with none of that fluid the dry piece is no
heavier, with all of it no lighter.
"""

from __future__ import annotations

from collections.abc import Collection as Several
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Protocol

from handling_db.balance.together.body import BodyBuilder, EvidenceBody, Limit, Span, Terms, head, terms_of
from handling_db.evidence.provenance import Provenance
from handling_db.quantities.mass import Mass
from handling_db.records.kinds.component import Component
from handling_db.records.parts.texts import STATES, State
from handling_db.records.versions import Key, came_from, unreviewed
from handling_db.records.waiting_figures import waiting_figures
from handling_db.weights.compare import Judge
from handling_db.weights.fluid import fluid_mass
from handling_db.weights.tree import Tree
from handling_db.weights.witness import OF_WORK, Witness, waiting_witness

ONE = Fraction(1)
Counts = dict[int, Fraction]
CHARGED: tuple[State, State] = ("drained", "filled")


class Why(StrEnum):
    """Why a figure stays outside the equations."""

    PACKED = "it was weighed with its packing"
    BUILD = "it is for another build"
    EYE = "figures of this kind are never used in sums"
    GUESS = "a guess comes in only where nothing measured bounds the piece"
    DERIVED = "it was worked out from other figures"
    COPY = "it is one witness with the figure it came from"
    BOUNDARY = "it is not stated what the figure counts"
    CROSS_CHECK = "a hint beside something better is a cross-check only"
    OTHER_HINT = "one hint is used, another beside it only raises the plan"
    NOT_CHOSEN = "somebody chose another figure"
    SERIAL = "it is for another serial number"
    UNREVIEWED = "nobody here has reviewed this figure of another shop"
    UNCONFIRMED = "nobody confirmed this reading"
    CHANGED = "a part in it was changed after it was weighed"
    WAITS = "it came from another shop and waits for review"
    NOT_A_LINE = "what it leaves out or counts is not a part of this"


# Outside the equations, yet a reason to plan with more: of the piece itself and of what holds it.
LIFTS = frozenset({Why.BOUNDARY, Why.OTHER_HINT, Why.UNREVIEWED, Why.UNCONFIRMED, Why.WAITS})
# Among them those that a person may settle: each is marked where it lifts a plan.
WAITING = frozenset({Why.UNREVIEWED, Why.UNCONFIRMED, Why.WAITS})
# Used where nothing measured gives the piece an upper limit.
LAST = frozenset({Why.GUESS, Why.UNREVIEWED, Why.UNCONFIRMED, Why.SERIAL})


@dataclass(frozen=True, slots=True)
class Outside:
    """A figure that is no member, and why; `mark` says from whom one is that waits for a person."""

    witness: Witness
    node: int
    why: Why
    mark: str = ""


@dataclass(frozen=True, eq=False)
class RecordedBody:
    """A body with what its numbers stand for.

    Parameters
    ----------
    tree : Tree
    body : EvidenceBody
    dry : tuple of int
        By node of the tree, the unknown of its dry mass.
    fluids : tuple of mapping of fluid node to count
        By node, the fluids listed in it and below.
    around : tuple of mapping of fluid node to count
        By node, the charges listed around it, any share of which may be in it.
    unlisted : mapping of node to int
        Unknown of whatever may belong to a node and is not listed.
    charges : mapping of fluid node to (int, int)
        Unknowns of each fluid: drained, filled.
    kept : mapping of node to int
        Unknown of the share of the charges around that stays in a node when drained, where it was weighed so.
    figures : tuple of (Witness, node)
        By member.
    outside : tuple of Outside
    """

    tree: Tree
    body: EvidenceBody
    dry: tuple[int, ...]
    fluids: tuple[Mapping[int, Fraction], ...]
    around: tuple[Mapping[int, Fraction], ...]
    unlisted: Mapping[int, int]
    charges: Mapping[int, tuple[int, int]]
    kept: Mapping[int, int]
    figures: tuple[tuple[Witness, int], ...]
    outside: tuple[Outside, ...]

    def terms(self, node: int, state: State, *, most: bool) -> Terms:
        """What a piece weighs in a state, as a weighted sum of unknowns.

        Parameters
        ----------
        most : bool
            With all of the charges around in it; otherwise with none.
        """
        counts: Counts = {self.dry[node]: ONE}
        if not most or state == "dry":
            return self.with_fluids(counts, (self.fluids[node],), state)
        if state == "drained" and node in self.kept:
            return self.with_fluids({**counts, self.kept[node]: ONE}, (self.fluids[node],), state)
        return self.with_fluids(counts, (self.fluids[node], self.around[node]), state)

    def with_fluids(
        self, dry: Mapping[int, Fraction], fluids: Iterable[Mapping[int, Fraction]], state: State
    ) -> Terms:
        """A weighted sum with some fluids in it, in a state."""
        return terms_of(with_charges(dry, () if state == "dry" else fluids, self.charges, state))

    def left(self, judge: Judge, node: int, taken: frozenset[str]) -> Counted:
        """What is left of a node once some components are off, wherever they occur below it."""
        return counted(judge, self, node, taken)

    def several(self, pieces: Mapping[int, Fraction]) -> Terms:
        """The dry mass of several nodes together, so many of each."""
        counts: Counts = {}
        for node, many in pieces.items():
            counts[self.dry[node]] = counts.get(self.dry[node], Fraction(0)) + many
        return terms_of(counts)

    def about(self, member: int) -> str:
        """The component a member was read for."""
        return self.tree.component(self.figures[member][1])


def with_charges(
    dry: Mapping[int, Fraction],
    fluids: Iterable[Mapping[int, Fraction]],
    charges: Mapping[int, tuple[int, int]],
    state: State,
) -> Counts:
    """Unknowns with those of some fluids, drained or filled, counted besides."""
    counts: Counts = dict(dry)
    for one in fluids:
        for node, many in one.items():
            unknown = charges[node][state == "filled"]
            counts[unknown] = counts.get(unknown, Fraction(0)) + many
    return counts


def recorded_body(judge: Judge, *, serial: int | None = None) -> RecordedBody:
    """Everything that may be used together, as one body.

    Parameters
    ----------
    judge : Judge
        Of the collection, on the tree whose builds are wanted.
    serial : int, optional
        The unit asked about: figures of other serial numbers stay outside.
    """
    return _Gathering(judge, serial).done()


@dataclass(frozen=True, slots=True)
class Counted:
    """What a figure counts, or what is left of a piece.

    Parameters
    ----------
    dry : mapping of unknown to count
    fluids : mapping of fluid node to count
    opened : bool
        Something that may hold a share of these fluids is not counted.
    """

    dry: Counts
    fluids: Counts
    opened: bool


class ListedTree(Protocol):
    """What `counted` needs to know of a tree: unknowns and fluids by node."""

    @property
    def dry(self) -> Sequence[int]: ...  # noqa: D102

    @property
    def fluids(self) -> Sequence[Mapping[int, Fraction]]: ...  # noqa: D102

    @property
    def around(self) -> Sequence[Mapping[int, Fraction]]: ...  # noqa: D102

    @property
    def unlisted(self) -> Mapping[int, int]: ...  # noqa: D102


def counted(
    judge: Judge,
    listed: ListedTree,
    node: int,
    without: Several[str] = (),
    only: Several[str] | None = None,
) -> Counted:
    """The unknowns of a piece with some components left out, or of nothing but some.

    Parameters
    ----------
    without : component ids
        Left out, wherever they occur below the node.
    only : component ids, optional
        Count nothing but these.

    Returns
    -------
    Counted
    """
    if not without and only is None:
        return Counted({listed.dry[node]: ONE}, dict(listed.fluids[node]), opened=False)
    tree, named = judge.tree, {*without, *(only or ())}
    below = judge.totals("dry").below(node)
    holds = {n for n in below if tree.component(n) in named}
    for n in below:  # children first
        if any(use.child in holds for use in tree.uses[n]):
            holds.add(n)
    dry: Counts = {}
    fluids: Counts = {}
    opened = only is not None
    waiting: list[tuple[int, Fraction, bool]] = [(node, ONE, only is None)]
    while waiting:
        here, many, inside = waiting.pop()
        code = tree.component(here)
        if code in without:
            opened = opened or bool(listed.around[here])
            continue
        inside = inside or (only is not None and code in only)
        if inside and not any(use.child in holds for use in tree.uses[here]):
            dry[listed.dry[here]] = dry.get(listed.dry[here], Fraction(0)) + many
            for fluid, number in listed.fluids[here].items():
                fluids[fluid] = fluids.get(fluid, Fraction(0)) + many * number
            continue
        component = judge.collection.components[code]
        if not component.parts:
            continue
        if inside and here in listed.unlisted:
            unknown = listed.unlisted[here]
            dry[unknown] = dry.get(unknown, Fraction(0)) + many
        waiting += [(use.child, many * use.quantity, inside) for use in tree.uses[here]]
    return Counted(dry, fluids, opened)


class _Gathering:
    def __init__(self, judge: Judge, serial: int | None) -> None:
        self.judge = judge
        self.collection = judge.collection
        self.tree = judge.tree
        self.serial = serial
        self.make = BodyBuilder()
        nodes = len(self.tree.nodes)
        self.dry = [-1] * nodes
        self.fluids: list[Counts] = [{} for _ in range(nodes)]
        self.around: list[Counts] = [{} for _ in range(nodes)]
        self.charges: dict[int, tuple[int, int]] = {}
        self.unlisted: dict[int, int] = {}
        self.kept: dict[int, int] = {}
        self.figures: list[tuple[Witness, int]] = []
        self.outside: list[Outside] = []
        self.provenance = Provenance(self.collection)
        self.foreign: frozenset[Key] = unreviewed(self.collection) if self.collection.origins else frozenset()

    def done(self) -> RecordedBody:
        for node in range(len(self.tree.nodes)):
            fluid = self._component(node).fluid is not None
            self.dry[node] = self.make.unknown(high=Fraction(0) if fluid else None)
        for node in self.tree.order:
            self._tie(node)
        for node in reversed(self.tree.order):
            self._charges_around(node)
        self._same_in_every_build()
        accepted = [
            (witness, node)
            for node in self.tree.order
            if self._component(node).fluid is None
            for witness in self._members_of(node)
        ]
        if self.collection.asides:
            self._waiting()
        piece = self._pieces()
        many: dict[tuple[str, int], int] = {}
        for witness, node in accepted:
            for name in witness.mass.shared:
                many[name, piece[node]] = many.get((name, piece[node]), 0) + 1
        # One for each tree: what hangs together in no way is not made to by the scale it stood on.
        biases = {
            key: self.make.unknown(Fraction(-1), ONE) for key, number in sorted(many.items()) if number > 1
        }
        for witness, node in accepted:
            here = {name: unknown for (name, root), unknown in biases.items() if root == piece[node]}
            self._member(witness, node, here)
        return RecordedBody(
            self.tree,
            self.make.done(),
            tuple(self.dry),
            tuple(self.fluids),
            tuple(self.around),
            self.unlisted,
            self.charges,
            self.kept,
            tuple(self.figures),
            tuple(self.outside),
        )

    def _component(self, node: int) -> Component:
        return self.collection.components[self.tree.component(node)]

    def _tie(self, node: int) -> None:
        """A whole is its parts, and whatever of it is not listed; a fluid weighs what its litres weigh."""
        component = self._component(node)
        if component.fluid is not None:
            self._charge(node)
            self.fluids[node] = {node: ONE}
            return
        for use in self.tree.uses[node]:
            for fluid, many in self.fluids[use.child].items():
                self.fluids[node][fluid] = self.fluids[node].get(fluid, Fraction(0)) + many * use.quantity
        if not component.parts:
            return
        parts = [
            (self.dry[use.child], use.quantity)
            for use in self.tree.uses[node]
            if self._component(use.child).fluid is None
        ]
        if component.parts_listed != "all" or self.judge.totals("dry").lines_lost(node):
            self.unlisted[node] = self.make.unknown()
            parts.append((self.unlisted[node], ONE))
        self.make.whole(self.dry[node], parts)

    def _charge(self, node: int) -> None:
        """Drained and filled mass of one fluid; what stays when drained is at most all of it."""
        component = self._component(node)
        fluid, build = component.fluid, self.tree.nodes[node][1]
        assert fluid is not None
        spans: dict[State, Span] = {}
        for state in CHARGED:
            mass = fluid_mass(fluid, state, build, component.parameters)
            spans[state] = (Fraction(0), None) if mass is None else (mass.low, mass.high)
        drained, filled = (self.make.unknown(*spans[state]) for state in CHARGED)
        self.charges[node] = drained, filled
        stays, full = spans["drained"][1], spans["filled"][0]
        if stays is None or full is None or stays > full:
            self.make.tie({drained: ONE, filled: -ONE}, None)
        spread = fluid.density_plus_or_minus
        if spread is not None and spread.base > 0:
            self._one_density(drained, filled, spans, fluid.density.base - spread.base,
                              fluid.density.base + spread.base)  # fmt: skip

    def _one_density(
        self, drained: int, filled: int, spans: Mapping[State, Span], light: Fraction, heavy: Fraction
    ) -> None:
        """One density for both: the ratio of the masses is that of the litres."""
        (stay_low, stay_high), (full_low, full_high) = spans["drained"], spans["filled"]
        if stay_high is None or full_high is None or not full_low or light <= 0:
            return
        stay, full = (stay_low or Fraction(0)) / light, full_high / heavy  # litres: fewest, most
        self.make.tie({drained: ONE, filled: -(stay_high / heavy) / (full_low / light)}, None)
        self.make.tie({drained: -ONE, filled: stay / full}, None)

    def _charges_around(self, node: int) -> None:
        """Hand down what is listed here and around: any share of it may be in an assembly below."""
        here = dict(self.around[node])
        for use in self.tree.uses[node]:
            if self._component(use.child).fluid is not None:
                here[use.child] = here.get(use.child, Fraction(0)) + use.quantity
        if not here:
            return
        for use in self.tree.uses[node]:
            child = self._component(use.child)
            if child.fluid is not None or not child.parts or child.kind == "set":
                continue
            below = self.around[use.child]
            for fluid, many in here.items():
                below[fluid] = max(below.get(fluid, Fraction(0)), many)

    def _pieces(self) -> list[int]:
        """By node, a number that two share where part lines connect them."""
        root = list(range(len(self.tree.nodes)))

        for node, uses in enumerate(self.tree.uses):
            for use in uses:
                root[head(root, use.child)] = head(root, node)
        return [head(root, one) for one in range(len(root))]

    def _same_in_every_build(self) -> None:
        """What may run into a component in one build may do so in all: one asked about is in no whole."""
        by_code: dict[str, Counts] = {}
        for node, (code, _) in enumerate(self.tree.nodes):
            found = by_code.setdefault(code, {})
            for fluid, many in self.around[node].items():
                found[fluid] = max(found.get(fluid, Fraction(0)), many)
        for node, (code, _) in enumerate(self.tree.nodes):
            self.around[node] = dict(by_code[code])

    def _members_of(self, node: int) -> Iterable[Witness]:
        accepted: list[Witness] = []
        for witness in self.judge.totals("dry").witnesses_at(node):
            why = self._why_outside(witness, node, accepted)
            if why is None:
                accepted.append(witness)
            else:
                self.outside.append(Outside(witness, node, why, self._mark(witness, why)))
        return accepted

    def _mark(self, witness: Witness, why: Why) -> str:
        if why is Why.UNREVIEWED:
            return came_from(self.collection).get(self._key(witness), str(why))
        return str(why) if why in WAITING else ""

    def _waiting(self) -> None:
        """Figures of other shops that lie aside: outside, and a reason to plan with more."""
        totals = self.judge.totals("dry")
        for code, figures in waiting_figures(self.collection).items():
            component = self.collection.components[code]
            nodes = [node for node in self.tree.order if self.tree.component(node) == code]
            for one in figures if component.fluid is None else ():
                witness = waiting_witness(self.collection, component, one.figure)
                for node in nodes if witness is not None and not witness.packed else ():
                    if witness is not None and totals.same_build(witness, node):
                        self.outside.append(Outside(witness, node, Why.WAITS, one.words))

    def _why_outside(self, witness: Witness, node: int, accepted: Sequence[Witness]) -> Why | None:
        totals = self.judge.totals("dry")
        component = self._component(node)
        if witness.packed:
            return Why.PACKED
        if witness.changed is not None:
            return Why.CHANGED
        if not totals.same_build(witness, node):
            return Why.BUILD
        settled = self._settled(witness, node)
        if settled is Settled.OTHER:
            return Why.NOT_CHOSEN
        if settled is None and not witness.chosen and not witness.waits:
            return Why.GUESS if witness.kind.chosen == "last" else Why.EYE
        if witness.derived_how in ("summed", "inferred") or witness.kind.id == "inferred":
            return Why.DERIVED
        if component.parts and not witness.boundary_known:
            return Why.BOUNDARY
        if self._key(witness) in self.foreign:
            return Why.UNREVIEWED
        if witness.waits or self._of_work_unchecked(witness):
            return Why.UNCONFIRMED
        if self.serial is not None and witness.serials and not witness.serials.covers(self.serial):
            return Why.SERIAL
        if settled is None and witness.hint and (accepted or component.parts):
            alike = accepted and all(other.hint for other in accepted)
            return Why.OTHER_HINT if alike and not component.parts else Why.CROSS_CHECK
        if any(self.provenance.derivation(witness.id, other.id) for other in accepted):
            return Why.COPY
        if component.parts and self._what_counts(witness, node) is None:
            return Why.NOT_A_LINE
        return None

    def _key(self, witness: Witness) -> Key:
        return ("component", witness.component) if witness.position is not None else ("weighing", witness.id)

    def _of_work_unchecked(self, witness: Witness) -> bool:
        """Whether it was read in the course of work and written down where nothing says who confirmed it."""
        if witness.position is None or witness.kind.id not in OF_WORK:
            return False
        statement = self.collection.components[witness.component].masses[witness.position[1]]
        return statement.checked_by is None

    def _settled(self, witness: Witness, node: int) -> Settled | None:
        """What a recorded choice says of a figure: it, or another of its state; None where nobody chose."""
        if not self.collection.choices:
            return None
        others = 0
        states: tuple[State, ...] = (witness.state,) if witness.state else STATES
        for state in states:
            chosen = self.judge.totals(state).settled(node)
            if chosen is None or chosen.witness is None:
                continue
            if chosen.witness.id == witness.id:
                return Settled.THIS
            others += chosen.witness.state is None or witness.state in (None, chosen.witness.state)
        # A choice about one state says nothing of the others, where the figure stands as before.
        return Settled.OTHER if others == len(states) else None

    def _each(self, witness: Witness, node: int) -> Mass:
        """What a figure says of one piece on the average of as many as are used together anywhere. [kg]"""
        if witness.pieces == 1 or not witness.scatter:
            return witness.mass
        used = {use.quantity for uses in self.tree.uses for use in uses if use.child == node} or {ONE}
        means = [witness.several(quantity).times(1 / quantity) for quantity in used]
        low, high = min(mass.low for mass in means), max(mass.high for mass in means)
        best = min(max(witness.mass.best, low), high)
        raised = low - min(mass.low - mass.raised for mass in means)
        return Mass(best, low, high, shared=witness.mass.shared, raised=raised)

    def _what_counts(self, witness: Witness, node: int) -> Counted | None:
        if not self._component(node).parts:
            return counted(self.judge, self, node)
        named = {*witness.left_out, *(witness.only or ())}
        if named:
            below = self.judge.totals("dry").below(node)
            if not named <= {self.tree.component(n) for n in below}:
                return None
        return counted(self.judge, self, node, witness.left_out, witness.only)

    def _member(self, witness: Witness, node: int, biases: Mapping[str, int]) -> None:
        what = self._what_counts(witness, node)
        assert what is not None  # such a figure was put outside
        fluids, opened = what.fluids, what.opened
        low, high, dry = _unbiased(self._each(witness, node), what.dry, biases)
        around: Counts = dict(self.around[node])
        if not self._component(node).parts:
            fluids, around = {}, {}  # a single part is weighed as it is
        said: list[tuple[Counts, Limit, Limit]]
        state = witness.state
        if state == "dry" or not (fluids or around):
            said = [(dry, low, high)]
        elif state is None or opened:
            full = self._with(dry, (fluids, around), state or "filled")
            said = [(dry, None, high), (full, low, None)]
        elif not around:
            said = [(self._with(dry, (fluids,), state), low, high)]
        elif state == "drained":
            if node not in self.kept:
                self.kept[node] = self.make.unknown()
                share = self._with({self.kept[node]: ONE}, (), state)
                for fluid, many in around.items():
                    share[self.charges[fluid][0]] = -many
                self.make.tie(share, None)
            own = self._with(dry, (fluids,), state)
            own[self.kept[node]] = own.get(self.kept[node], Fraction(0)) + ONE
            said = [(own, low, high)]
        else:
            own = self._with(dry, (fluids,), state)
            said = [(own, None, high), (self._with(dry, (fluids, around), state), low, None)]
        if not any(counts for counts, _, _ in said):  # it counts nothing but what weighs nothing when dry
            self.outside.append(Outside(witness, node, Why.NOT_A_LINE))
            return
        self.make.member(witness.id, *said)
        self.figures.append((witness, node))

    def _with(self, dry: Counts, fluids: Iterable[Mapping[int, Fraction]], state: State) -> Counts:
        return with_charges(dry, fluids, self.charges, state)


class Settled(StrEnum):
    """Whether a recorded choice took a figure or another one."""

    THIS = "this"
    OTHER = "other"


def _unbiased(mass: Mass, counts: Counts, biases: Mapping[str, int]) -> tuple[Limit, Limit, Counts]:
    """The limits of a figure with the error of a shared scale as an unknown of its own.

    What was read is the mass, an error of its own and the scale's: mass + half-width x error lies within
    what is left of the doubt.
    """
    found = dict(counts)
    taken_out = {name: half for name, half in mass.shared.items() if name in biases}
    if not taken_out:
        return mass.low, mass.high, found
    low, high = mass.low - mass.raised, mass.high  # the doubt goes below nothing where the mass does not
    for name, half in taken_out.items():
        low, high = min(low + half, mass.best), max(high - half, mass.best)
        found[biases[name]] = half
    # A scale shows no less than nothing: what may have been read there says only how heavy it is at most.
    return (low if low > 0 else None), high, found
