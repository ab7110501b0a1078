"""Totals up the tree: what each component hands to whatever contains it, and what is not known.

A leaf hands up its most trusted figure. A component with parts hands up the sum if its list is complete
and every part is known; otherwise a stated whole whose boundary is known and which the known parts do not
outweigh already ("whole, not from parts"); otherwise the sum, "at least". A stated whole never changes a sum.
"""

from __future__ import annotations

from collections.abc import Collection as Several
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from handling_db.families.build import Build, BuildError, read_value
from handling_db.families.family import Parameters
from handling_db.quantities.mass import NOTHING, Mass, add_masses
from handling_db.records.collection import Collection
from handling_db.records.kinds.choice import Choice
from handling_db.records.kinds.component import Component, Fluid
from handling_db.records.parts.texts import State
from handling_db.weights.choose import Chosen, choose, not_replaced
from handling_db.weights.fluid import fluid_mass
from handling_db.weights.tree import Node, Tree
from handling_db.weights.witness import Witness, build_spoken_of, varies, witnesses


class Basis(StrEnum):
    """What a handed-up figure rests on."""

    STATEMENT = "statement"
    SUM = "sum of parts"
    WHOLE = "whole, not from parts"
    FLUID = "litres times density"
    UNKNOWN = "nobody knows"


@dataclass(frozen=True, slots=True)
class Figure:
    """What one node hands upward.

    Parameters
    ----------
    mass : Mass or None
        None where nothing at all is known.
    basis : Basis
    witness : Witness, optional
        The source of a statement or of a whole.
    choice : Choice, optional
        Where somebody chose that figure over the ranking of sources.
    """

    mass: Mass | None
    basis: Basis
    witness: Witness | None = None
    choice: Choice | None = None

    def several(self, quantity: Fraction) -> Mass | None:
        """So many pieces of it together; None where nothing is known. [kg]"""
        if self.mass is None:
            return None
        if self.basis is Basis.STATEMENT and self.witness is not None:
            return self.witness.several(quantity)
        return self.mass.times(quantity)


@dataclass(frozen=True, slots=True)
class Share:
    """One figure that a total is made of: so many pieces of one node, each this heavy."""

    node: int
    component: str
    pieces: Fraction
    figure: Figure


@dataclass(frozen=True, slots=True)
class Total:
    """The mass of one component in one build and state, and what it is made of.

    Parameters
    ----------
    mass : Mass
        With the doubt of every share counted once: N times one statement is N times its doubt. Not
        complete ("at least") if anything below has no mass or a list of parts is not known to be complete.
    figure : Figure
        What it rests on.
    shares : tuple of Share
        The figures that were added, with how many pieces of each.
    unknown : tuple of (component id, pieces)
        Components without a mass.
    open_lists : tuple of component ids
        Assemblies whose parts are listed in part only, or where nobody looked.
    left_out : tuple of component ids
        Taken off in this question.
    """

    component: str
    state: State
    mass: Mass
    figure: Figure
    shares: tuple[Share, ...]
    unknown: tuple[tuple[str, Fraction], ...]
    open_lists: tuple[str, ...]
    left_out: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        """Whether the figure has an upper limit."""
        return self.mass.complete


@dataclass(frozen=True, eq=False)
class Totals:
    """All totals of one tree in one state.

    Parameters
    ----------
    collection, tree
    state : State
        Dry counts every fluid as nothing, drained what stays inside, filled all litres.
    without : set of component ids
        Taken off wherever they occur.
    """

    collection: Collection
    tree: Tree
    state: State
    without: frozenset[str] = frozenset()
    _witnesses: dict[str, tuple[Witness, ...]] = field(default_factory=dict)
    _worked: dict[Node, tuple[Witness, ...]] = field(default_factory=dict)

    def like(self, tree: Tree, state: State) -> Totals:
        """Totals of another tree or state of the same collection, which read no figure a second time."""
        return Totals(self.collection, tree, state, frozenset(), self._witnesses, self._worked)

    def witnesses_at(self, node: int) -> tuple[Witness, ...]:
        """The figures in force for a node, those by formula or shape worked out in its build."""
        which = code, build = self.tree.nodes[node]
        component = self.collection.components[code]
        if not component.parameters or not varies(component):
            return self.witnesses_of(code)
        if which not in self._worked:
            self._worked[which] = witnesses(self.collection, component, build)
        return self._worked[which]

    def witnesses_of(self, code: str) -> tuple[Witness, ...]:
        """The figures in force for a component in its default build, the most trusted first."""
        if code not in self._witnesses:
            self._witnesses[code] = witnesses(self.collection, self.collection.components[code])
        return self._witnesses[code]

    @cached_property
    def figures(self) -> tuple[Figure, ...]:
        """What each node hands upward, by node."""
        found = [Figure(None, Basis.UNKNOWN)] * len(self.tree.nodes)
        taken = [NOTHING] * len(self.tree.nodes) if self.without else []
        for node in self.tree.order:
            component = self.collection.components[self.tree.component(node)]
            if component.fluid is not None:
                found[node] = self._fluid(component.fluid, component.parameters, self.tree.nodes[node][1])
            elif not component.parts:
                found[node] = self._leaf(node)
            else:
                off = self._taken_off(node, found, taken) if self.without else None
                if off is not None:
                    taken[node] = off
                found[node] = self._assembly(component, node, found, off)
        return tuple(found)

    @cached_property
    def _faulty(self) -> frozenset[str]:
        return frozenset(fault.component for fault in self.tree.faults)

    def lines_lost(self, node: int) -> bool:
        """Whether a part line could not be followed, so that the sum is too low."""
        code, known = self.tree.component(node), self.collection.components
        return code in self._faulty or any(line.component not in known for line in known[code].parts)

    @cached_property
    def has_fluid(self) -> tuple[bool, ...]:
        """Whether a fluid is listed anywhere below each node."""
        found = [False] * len(self.tree.nodes)
        for node in self.tree.order:
            component = self.collection.components[self.tree.component(node)]
            found[node] = component.fluid is not None or any(found[use.child] for use in self.tree.uses[node])
        return tuple(found)

    @cached_property
    def derived_below(self) -> tuple[bool, ...]:
        """Whether a figure that each node's own is made of was copied, converted, summed or inferred."""
        found = [False] * len(self.tree.nodes)
        for node in self.tree.order:
            figure = self.figures[node]
            if figure.witness is not None:
                found[node] = figure.witness.derived
            elif figure.basis is Basis.SUM:
                found[node] = any(found[use.child] for use in self.tree.uses[node])
        return tuple(found)

    @cached_property
    def source_below(self) -> tuple[str | None, ...]:
        """The one source of the figures each node's own is made of; empty for several, None for none."""
        found: list[str | None] = [None] * len(self.tree.nodes)
        for node in self.tree.order:
            figure = self.figures[node]
            if figure.basis is Basis.SUM:
                below = {found[use.child] for use in self.tree.uses[node]} - {None}
                found[node] = (below.pop() if len(below) == 1 else "") if below else None
            elif figure.mass is not None:
                found[node] = figure.witness.source.id if figure.witness is not None else ""
        return tuple(found)

    @cached_property
    def step_play_below(self) -> tuple[tuple[Fraction, Fraction], ...]:
        """How much each node's figure would be narrower, and wider, with other steps of rounding. [kg]"""
        found = [(Fraction(0), Fraction(0))] * len(self.tree.nodes)
        for node in self.tree.order:
            figure = self.figures[node]
            if figure.witness is not None:
                found[node] = figure.witness.step_play
            elif figure.basis is Basis.SUM:
                uses = self.tree.uses[node]
                less = sum((found[use.child][0] * use.quantity for use in uses), start=Fraction(0))
                more = sum((found[use.child][1] * use.quantity for use in uses), start=Fraction(0))
                found[node] = (less, more)
        return tuple(found)

    def usable(self, node: int) -> tuple[Witness, ...]:
        """The figures stated for this node in the state asked for and in its build."""
        return tuple(w for w in self.witnesses_at(node) if self.applies(w, node))

    def applies(self, witness: Witness, node: int) -> bool:
        """Whether a figure speaks of this node as it is asked about: unpacked, same state, same build.

        Something that lists no fluid is the same in every state, so a dry figure, or one that names no
        state, speaks of an assembly without fluid lines; any figure speaks of a single part.
        """
        if witness.packed or not self.same_build(witness, node):
            return False
        if self.has_fluid[node]:
            return witness.state == self.state
        if self.collection.components[self.tree.component(node)].parts:
            return witness.state in (None, "dry", self.state)
        return True

    def same_build(self, witness: Witness, node: int) -> bool:
        """Whether a figure's build is the node's; a figure that names none is taken for the default one."""
        code, build = self.tree.nodes[node]
        component = self.collection.components[code]
        return not component.parameters or build_spoken_of(witness, component) == build

    def _fluid(self, fluid: Fluid, parameters: Parameters, build: Build) -> Figure:
        mass = fluid_mass(fluid, self.state, build, parameters)
        return Figure(mass, Basis.UNKNOWN if mass is None else Basis.FLUID)

    def settled(self, node: int) -> Chosen | None:
        """What somebody chose for a node in this state and build; None where nobody did."""
        chosen = self.decided(node) if self.collection.choices else None
        return chosen if chosen is not None and chosen.choice is not None else None

    def decided(self, node: int) -> Chosen | None:
        """What the choices in force say of a node, settled or open; None where there are none."""
        code, build = self.tree.nodes[node]
        speaking = [
            choice
            for choice in self._choices.get(code, ())
            if choice.state in (None, self.state) and self._of_build(choice, code, build)
        ]
        return choose(self.usable(node), speaking) if speaking else None

    @cached_property
    def _choices(self) -> Mapping[str, tuple[Choice, ...]]:
        return not_replaced(self.collection.choices.values())

    def _of_build(self, choice: Choice, code: str, build: Build) -> bool:
        """Whether a choice speaks of a build; one that names none speaks of every one."""
        if choice.build is None:
            return True
        values, parameters = dict(build), self.collection.components[code].parameters
        try:
            return all(
                name in values and read_value(name, parameters[name], text) == values[name]
                for name, text in choice.build.items()
            )
        except BuildError:
            return False  # the checker reports it

    def _leaf(self, node: int) -> Figure:
        chosen = self.settled(node)
        if chosen is not None and chosen.witness is not None:
            return Figure(chosen.witness.mass, Basis.STATEMENT, chosen.witness, chosen.choice)
        for witness in self.usable(node):
            if witness.chosen:
                return Figure(witness.mass, Basis.STATEMENT, witness)
        return Figure(None, Basis.UNKNOWN)

    def _assembly(
        self, component: Component, node: int, found: list[Figure], taken_off: Mass | None
    ) -> Figure:
        total = self._sum(node, found, component)
        if total.complete:
            return Figure(total, Basis.SUM)
        whole = self.whole_at(node)
        if whole is not None and (taken_off is None or taken_off.complete):
            mass = whole.mass if taken_off is None or taken_off is NOTHING else whole.mass - taken_off
            if total.low > mass.high:
                # The parts that are known weigh more already: that figure cannot stand for the whole.
                return Figure(total, Basis.SUM)
            chosen = self.settled(node)
            by_choice = chosen is not None and chosen.witness is whole
            return Figure(mass, Basis.WHOLE, whole, chosen.choice if chosen and by_choice else None)
        return Figure(total, Basis.SUM)

    def whole_at(self, node: int) -> Witness | None:
        """The chosen or most trusted figure for the whole whose boundary is known and leaves nothing out."""
        chosen = self.settled(node)
        first: tuple[Witness, ...] = ()
        if chosen is not None and chosen.witness is not None:
            first = (chosen.witness,)
        for witness in (*first, *self.usable(node)):
            if (witness.chosen or witness in first) and witness.is_whole:
                return witness
        return None

    def _sum(self, node: int, found: list[Figure], component: Component) -> Mass:
        complete = component.parts_listed == "all" and not self._broken(node)
        masses: list[Mass] = []
        for use in self.tree.uses[node]:
            if self.tree.component(use.child) in self.without:
                continue
            mass = found[use.child].several(use.quantity)
            if mass is None:
                complete = False
            else:
                masses.append(mass)
        total = add_masses(masses)
        return total if complete else total.at_least()

    def _broken(self, node: int) -> list[str]:
        """Parts of a node that cannot be worked out in its build, but for what this question takes off."""
        lines = self.tree.broken.get(node, ())
        parts = self.collection.components[self.tree.component(node)].parts if lines else ()
        return [parts[i].component for i in lines if parts[i].component not in self.without]

    def _taken_off(self, node: int, found: list[Figure], taken: list[Mass]) -> Mass:
        """The mass of what this question takes off a node, "at least" where a piece of it is not known."""
        masses: list[Mass] = []
        complete = True
        for use in self.tree.uses[node]:
            if self.tree.component(use.child) in self.without:
                mass = found[use.child].mass
                if mass is None or not mass.complete:
                    complete = False
            else:
                mass = taken[use.child]
                complete = complete and mass.complete
            if mass is not None and mass is not NOTHING:
                masses.append(mass.times(use.quantity))
        if not masses:
            return NOTHING if complete else NOTHING.at_least()
        total = add_masses(masses)
        return total if complete else total.at_least()

    def of(self, node: int) -> Total:
        """The total of one node as it is handed upward."""
        figure = self.figures[node]
        if figure.basis is Basis.SUM:
            return self.sum_of(node)
        code = self.tree.component(node)
        if figure.mass is None:
            return Total(
                code,
                self.state,
                NOTHING.at_least(),
                figure,
                (),
                ((code, Fraction(1)),),
                (),
                self._left_out(node),
            )
        share = Share(node, code, Fraction(1), figure)
        mass = figure.several(Fraction(1)) or figure.mass
        return Total(code, self.state, mass, figure, (share,), (), (), self._left_out(node))

    def sum_of(
        self, node: int, *, leave_out: Several[str] = frozenset(), only: Several[str] | None = None
    ) -> Total:
        """The sum of a node's parts, whatever is stated for the whole.

        Parameters
        ----------
        node : int
        leave_out : component ids
            Not counted, wherever they occur below the node.
        only : component ids, optional
            Count nothing but these.
        """
        pieces = {node: Fraction(1)}
        shares: list[Share] = []
        unknown: list[tuple[str, Fraction]] = []
        open_lists: list[str] = []
        inside = {node: only is None}
        for here in self._below(node, {*leave_out, *self.without}):
            if here not in pieces:
                continue  # inside a whole that stands for its parts, and nowhere else
            many = pieces[here]
            code = self.tree.component(here)
            component = self.collection.components[code]
            figure = self.figures[here]
            counted = inside[here] or (only is not None and code in only)
            opened = here == node or figure.basis is Basis.SUM or self._hides(here, leave_out, only)
            if opened and component.parts:
                if component.parts_listed != "all" and counted:
                    open_lists.append(code)
                if counted:
                    broken = [c for c in self._broken(here) if c not in leave_out]
                    unknown += [(c, many) for c in broken if only is None or c in only]
                for use in self.tree.uses[here]:
                    below = self.tree.component(use.child)
                    if below in leave_out or below in self.without:
                        continue
                    pieces[use.child] = pieces.get(use.child, Fraction(0)) + many * use.quantity
                    inside[use.child] = inside.get(use.child, False) or counted
            elif counted and figure.mass is None:
                unknown.append((code, many))
            elif counted:
                shares.append(Share(here, code, many, figure))
        mass = add_masses(mass for s in shares if (mass := s.figure.several(s.pieces)) is not None)
        if unknown or open_lists:
            mass = mass.at_least()
        code = self.tree.component(node)
        figure = Figure(mass, Basis.SUM)
        left_out = tuple(sorted({*self._left_out(node), *leave_out}))
        return Total(
            code, self.state, mass, figure, tuple(shares), tuple(unknown), tuple(open_lists), left_out
        )

    def _hides(self, node: int, leave_out: Several[str], only: Several[str] | None) -> bool:
        """Whether a whole has to be opened because something inside it is asked about by itself."""
        asked = {*leave_out, *(only or ())}
        if not asked or self.figures[node].basis is not Basis.WHOLE:
            return False
        return any(self.tree.component(n) in asked for n in self._below(node, ()))

    def _below(self, node: int, leave_out: Several[str]) -> Iterable[int]:
        """A node and everything below it, every parent before its children."""
        reached = {node}
        stack = [node]
        while stack:
            for use in self.tree.uses[stack.pop()]:
                if use.child not in reached and self.tree.component(use.child) not in leave_out:
                    reached.add(use.child)
                    stack.append(use.child)
        place = self._place_in_order
        return sorted(reached, key=lambda n: place.get(n, -1), reverse=True)

    @cached_property
    def _place_in_order(self) -> dict[int, int]:
        return {node: place for place, node in enumerate(self.tree.order)}

    def below(self, node: int) -> tuple[int, ...]:
        """A node and everything below it, children before parents; empty inside a cycle."""
        if node not in self.tree.height:
            return ()
        return tuple(reversed([*self._below(node, ())]))

    def _left_out(self, node: int) -> tuple[str, ...]:
        if not self.without:
            return ()
        below = {self.tree.component(n) for n in self._below(node, ())}
        return tuple(sorted(self.without & below))
