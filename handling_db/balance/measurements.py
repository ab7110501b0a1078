"""Which figures of a collection may be used together, on which node, and which may not and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from handling_db.balance.equations import Network, Reading, network
from handling_db.evidence.provenance import Provenance
from handling_db.quantities.mass import Mass
from handling_db.weights.totals import Basis, Totals
from handling_db.weights.witness import Witness


@dataclass(frozen=True, slots=True)
class Unused:
    """A figure that takes no part, and why."""

    id: str
    component: str
    because: str


@dataclass(frozen=True, eq=False)
class Gathered:
    """The figures of one collection in one state, on the sums they belong to.

    Parameters
    ----------
    network : Network
        Its first nodes are those of the tree, in the same numbering; then what stands for unlisted parts
        and for wholes that a figure counts without some of their parts.
    readings : tuple of Reading
    unused : tuple of Unused
    tree_nodes : int
        How many of the nodes are the tree's.
    """

    network: Network
    readings: tuple[Reading, ...]
    unused: tuple[Unused, ...]
    tree_nodes: int


def gather(totals: Totals) -> Gathered:
    """Collect every figure that speaks of a node in this state and build, each witness once.

    Left out, with the reason: figures of another state, build or packing; wholes whose boundary is not
    known; guesses by eye; what was summed or inferred; a converted or copied figure beside its origin;
    hints beside something better. A figure that leaves some direct parts out is put on a node of its own.

    Parameters
    ----------
    totals : Totals
        Of the state asked for, nothing taken off.
    """
    gathering = _Gathering(totals)
    for node in totals.tree.order:
        gathering.visit(node)
    return gathering.done()


class _Gathering:
    def __init__(self, totals: Totals) -> None:
        self.totals = totals
        self.provenance = Provenance(totals.collection)
        tree = totals.tree
        self.names = [tree.component(node) for node in range(len(tree.nodes))]
        listed = set(tree.order)
        self.lines: list[list[tuple[int, Fraction]]] = [
            [(use.child, use.quantity) for use in uses] if node in listed else []
            for node, uses in enumerate(tree.uses)
        ]
        self.readings: list[Reading] = []
        self.unused: list[Unused] = []

    def done(self) -> Gathered:
        tree_nodes = len(self.totals.tree.nodes)
        readings = tuple(_own_where_alone(self.readings))
        return Gathered(network(self.names, self.lines), readings, tuple(self.unused), tree_nodes)

    def visit(self, node: int) -> None:
        code = self.totals.tree.component(node)
        component = self.totals.collection.components[code]
        if component.fluid is not None:
            figure = self.totals.figures[node]
            if figure.basis is Basis.FLUID and figure.mass is not None:
                mass = figure.mass
                self.readings.append(
                    Reading(
                        f"litres of {code}", node, mass.best, mass.low, mass.high, mass.variance, mass.shared,
                        f"{component.name}: litres times density",
                    )
                )  # fmt: skip
            return
        if component.parts and (component.parts_listed != "all" or self.totals.lines_lost(node)):
            self._add_node(f"parts of {component.name} that are not listed", node)
        accepted: list[Witness] = []
        split: tuple[int, frozenset[int]] | None = None
        for witness in self.totals.witnesses_at(node):
            because = self._refused(witness, node, accepted)
            if because:
                self.unused.append(Unused(witness.id, code, because))
                continue
            where = node
            if component.parts:
                kept = self._kept(witness, node)
                if kept is None:
                    self.unused.append(
                        Unused(witness.id, code, "what it leaves out or counts is not a part line of this")
                    )
                    continue
                if len(kept) < len(self.totals.tree.uses[node]):
                    if split is None:
                        split = self._split(node, witness, kept), kept
                    if split[1] != kept:
                        self.unused.append(
                            Unused(witness.id, code, "another figure of this leaves other parts out")
                        )
                        continue
                    where = split[0]
            accepted.append(witness)
            mass = self._each(witness, node)
            says = f"{self.totals.collection.components[code].name}: {witness.printed}, {witness.source.name}"
            self.readings.append(
                Reading(
                    witness.id, where, mass.best, mass.low, mass.high, mass.variance, mass.shared, says
                )
            )  # fmt: skip

    def _each(self, witness: Witness, node: int) -> Mass:
        """What a figure says of one piece, on the average of as many as are used: they scatter."""
        if witness.pieces == 1 or not witness.scatter:
            return witness.mass
        used = {use.quantity for uses in self.totals.tree.uses for use in uses if use.child == node}
        means = [witness.several(quantity).times(1 / quantity) for quantity in used or {Fraction(1)}]
        return max(means, key=lambda mass: (mass.variance, mass.half_width_worst))

    def _add_node(self, name: str, parent: int) -> int:
        self.names.append(name)
        self.lines.append([])
        self.lines[parent].append((len(self.names) - 1, Fraction(1)))
        return len(self.names) - 1

    def _split(self, node: int, witness: Witness, kept: frozenset[int]) -> int:
        """Put the parts that a figure counts under a node of their own, between the whole and them."""
        uses = self.totals.tree.uses[node]
        moved = [(uses[place].child, uses[place].quantity) for place in sorted(kept)]
        left = [(use.child, use.quantity) for place, use in enumerate(uses) if place not in kept]
        unlisted = self.lines[node][len(uses) :]
        inside = witness.counts == "as listed"
        name = self.totals.collection.components[self.totals.tree.component(node)].name
        self.names.append(f"{name}, as far as {witness.source.name} counts it")
        self.lines.append(moved + (unlisted if inside else []))
        new = len(self.names) - 1
        self.lines[node] = [(new, Fraction(1)), *left, *([] if inside else unlisted)]
        return new

    def _kept(self, witness: Witness, node: int) -> frozenset[int] | None:
        """Which part lines a figure counts, by place; None where it names something else."""
        uses = self.totals.tree.uses[node]
        codes = [self.totals.tree.component(use.child) for use in uses]
        without, only = witness.left_out, codes if witness.only is None else witness.only
        if not {*without, *only} <= set(codes):
            return None
        return frozenset(place for place, code in enumerate(codes) if code in only and code not in without)

    def _refused(self, witness: Witness, node: int, accepted: list[Witness]) -> str:
        if witness.packed:
            return "it was weighed with its packing"
        if not self.totals.same_build(witness, node):
            return "it is for another build"
        if not self.totals.applies(witness, node):
            return f"it is not for the state asked about ({self.totals.state})"
        if witness.changed is not None:
            return "a part in it was changed after it was weighed"
        if witness.waits:
            return "nobody confirmed this reading"
        if not witness.chosen:
            return "figures of this kind are never used in sums"
        if witness.derived_how in ("summed", "inferred") or witness.kind.id == "inferred":
            return "it was worked out from other figures"
        if self.totals.collection.components[witness.component].parts and not witness.boundary_known:
            return "it is not stated what the figure counts"
        if witness.hint and (accepted or self.totals.tree.uses[node]):
            return "a hint beside something better is a cross-check only"
        for other in accepted:
            if self.provenance.derivation(witness.id, other.id):
                return f"it is one witness with {_printed(other)}"
            if witness.serials and other.serials and not witness.serials.overlaps(other.serials):
                return f"it is for other serial numbers than {_printed(other)}"
        return ""


def _own_where_alone(readings: Sequence[Reading]) -> Iterator[Reading]:
    """A doubt that no second figure shares is that figure's own: sums stay a tree where they are one."""
    many = Counter(name for reading in readings for name in reading.shared)
    for reading in readings:
        alone = {name: half for name, half in reading.shared.items() if many[name] == 1}
        if not alone:
            yield reading
            continue
        variance = reading.variance + sum(float(half) ** 2 for half in alone.values()) / 3  # rectangular
        shared = {name: half for name, half in reading.shared.items() if name not in alone}
        yield replace(reading, variance=variance, shared=shared)


def _printed(witness: Witness) -> str:
    return f"{witness.printed} ({witness.source.name})"
