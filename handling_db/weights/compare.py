"""One stated figure against the sum of the parts: what may be said, and why not more."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from handling_db.families.build import BuildError, build_of
from handling_db.findings import Verdict
from handling_db.records.collection import Collection
from handling_db.records.parts.texts import State
from handling_db.weights.shared import GroundsOf
from handling_db.weights.sum_of_parts import SumOfParts, handed_sum
from handling_db.weights.totals import Totals
from handling_db.weights.tree import Tree, unfold
from handling_db.weights.verdict import Comparison, Shared, compare
from handling_db.weights.witness import Witness, build_spoken_of


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict on one figure, with the sum it was compared with.

    Parameters
    ----------
    verdict : Verdict
    because : str
        Why it cannot be checked; empty otherwise.
    state : State
        The state in which the two were compared.
    parts : SumOfParts, optional
        The sum; None where the two could not be brought together at all.
    comparison : Comparison, optional
    shared : tuple of Shared
        Where the two agree, what both rest on.
    """

    verdict: Verdict
    because: str
    state: State
    parts: SumOfParts | None = None
    comparison: Comparison | None = None
    shared: tuple[Shared, ...] = ()


class Judge:
    """Judges figures of one collection, keeping the totals of each state."""

    def __init__(self, collection: Collection, tree: Tree | None = None) -> None:
        self.collection = collection
        self.tree = tree or unfold(collection)
        self._totals: dict[State, Totals] = {}
        self._grounds = GroundsOf(collection)

    def totals(self, state: State) -> Totals:
        """The totals of the collection in a state, worked out once."""
        if state not in self._totals:
            other = next(iter(self._totals.values()), None)
            made = Totals(self.collection, self.tree, state)
            self._totals[state] = made if other is None else other.like(self.tree, state)
        return self._totals[state]

    def judge(self, witness: Witness) -> Judgement | None:
        """Compare a figure with the sum of the parts of what it is about.

        Returns
        -------
        Judgement or None
            None where the component lists no parts, or stands in a cycle.
        """
        component = self.collection.components[witness.component]
        if not component.parts:
            return None
        state: State = witness.state or "dry"
        node = self.node_of(witness)
        if node is None:
            return Judgement(Verdict.CANNOT_BE_CHECKED, "it is for a build that cannot be worked out", state)
        if node not in self.tree.height:
            return None
        refused = self._cannot_be_brought_together(witness, node)
        if refused:
            return Judgement(Verdict.CANNOT_BE_CHECKED, refused, state)
        totals = self.totals(state)
        every = not witness.left_out and witness.only is None
        if every:
            parts = handed_sum(totals, node)
        else:
            parts = SumOfParts.of(totals.sum_of(node, leave_out=witness.left_out, only=witness.only))
        circle = self._circle(witness, parts)
        if circle:
            return Judgement(Verdict.CANNOT_BE_CHECKED, circle, state, parts)
        result = compare(parts.mass, witness.mass, boundary_known=witness.boundary_known)
        because = result.because
        if result.verdict is Verdict.CANNOT_BE_CHECKED and not parts.mass.complete:
            because = self._what_is_missing(parts)
        shared: tuple[Shared, ...] = ()
        if result.verdict is Verdict.AGREES:
            shared = self._grounds.shared(witness, parts, totals, node, whole=every)
        return Judgement(result.verdict, because, state, parts, result, shared)

    def node_of(self, witness: Witness) -> int | None:
        """The node of the figure's build; a figure that names none is taken for the default build."""
        component = self.collection.components[witness.component]
        build = build_spoken_of(witness, component)
        return None if build is None else self.tree.start.get((component.id, build))

    def node_by_default(self, code: str) -> int:
        """The node of a component in its default build.

        Raises
        ------
        BuildError
            It contains itself.
        """
        component = self.collection.components[code]
        node = self.tree.start.get((code, build_of(component)))
        if node is None or node not in self.tree.height:
            raise BuildError(f"{component.name} contains itself, so its mass cannot be worked out")
        return node

    def _cannot_be_brought_together(self, witness: Witness, node: int) -> str:
        """Why the figure and the parts are not about the same state, or nothing."""
        if witness.packed:
            return "it was weighed with its packing"
        if witness.changed is not None:
            return f"a part in it was changed on {witness.changed.isoformat()}, after it was weighed"
        if self.totals("dry").has_fluid[node]:
            if witness.state is None:
                return "it is not stated whether it is dry, drained or filled"
            return ""
        if witness.state in ("drained", "filled"):
            around = self.fluid_around(node)
            if around:
                name = self.collection.components[around[0]].name
                return f"fluid is listed at {name}; the share in this part is not recorded"
        return ""

    def fluid_around(self, node: int) -> tuple[str, ...]:
        """Assemblies above a node that list a fluid of their own, when the node itself lists none."""
        has_fluid = self.totals("dry").has_fluid
        if has_fluid[node]:
            return ()
        over = (one for one in self.above(node) if has_fluid[one] and self._lists_fluid(one))
        return tuple(sorted({self.tree.component(one) for one in over}))

    def _lists_fluid(self, node: int) -> bool:
        codes = (self.tree.component(use.child) for use in self.tree.uses[node])
        return any(self.collection.components[code].fluid is not None for code in codes)

    @cached_property
    def parents(self) -> tuple[tuple[int, ...], ...]:
        """By node, the nodes that use it, each once."""
        found: list[dict[int, None]] = [{} for _ in self.tree.uses]
        for parent, uses in enumerate(self.tree.uses):
            for use in uses:
                found[use.child][parent] = None
        return tuple(map(tuple, found))

    def above(self, node: int) -> frozenset[int]:
        """A node and everything that holds it."""
        found, waiting = {node}, [node]
        while waiting:
            more = [parent for parent in self.parents[waiting.pop()] if parent not in found]
            found.update(more)
            waiting += more
        return frozenset(found)

    def _circle(self, witness: Witness, parts: SumOfParts) -> str:
        """Why the two are one witness and not two, or nothing."""
        if witness.derived_how in ("summed", "inferred") or witness.kind.id == "inferred":
            return "it was itself worked out from other figures, so it proves nothing about them"
        if not parts.any_derived:
            return ""
        ours = self._origins(witness)
        for share in parts.shares:
            inside = share.figure.witness
            if inside is None or not inside.derived:
                continue
            name = self.collection.components[inside.component].name
            inferred = inside.derived_how == "inferred" or inside.kind.id == "inferred"
            if inferred and not inside.derived_from:
                return f"the figure of {name} is inferred, and it is not recorded from what"
            shared = ours & self._origins(inside)
            if witness.id in shared:
                return f"circular: the figure of {name} was inferred from this very whole"
            if shared:
                origin = self._figure_words(min(shared))
                return f"circular: this figure and that of {name} come from the same one{origin}"
        return ""

    def _figure_words(self, figure: str) -> str:
        """`` (1790 lb, PT-34 handbook)``, never an id made of a hash; empty for what is not here."""
        for code, component in self.collection.components.items():
            for statement in component.masses:
                if statement.key(code) == figure and statement.printed is not None:
                    source = self.collection.sources.get(statement.source)
                    return f" ({statement.printed.text}, {source.name if source else statement.source})"
        return ""

    def _origins(self, witness: Witness) -> frozenset[str]:
        """The id of a figure and of every figure it was copied, converted, summed or inferred from."""
        found = {witness.id}
        waiting = list(witness.derived_from)
        while waiting:
            origin = waiting.pop()
            if origin not in found:
                found.add(origin)
                waiting += self._derived_from.get(origin, ())
        return frozenset(found)

    @cached_property
    def _derived_from(self) -> dict[str, tuple[str, ...]]:
        """By id of a statement that is no witness of its own, the ids of those it came from."""
        return {
            statement.key(code): statement.derived.from_
            for code, component in self.collection.components.items()
            for statement in component.masses
            if statement.derived is not None
        }

    def _what_is_missing(self, parts: SumOfParts) -> str:
        names = [self.collection.components[code].name for code, _ in parts.unknown]
        if names:
            has = "has" if len(names) == 1 else "have"
            return f"{_listed(names)} {has} no mass"
        lists = [self.collection.components[code].name for code in parts.open_lists]
        return f"nobody says that all parts of {_listed(lists)} are listed"


def judge_of(collection: Collection) -> Judge:
    """The judge of a whole collection in its default builds, one for all who ask."""
    return collection.once("judge", lambda: Judge(collection))


def _listed(names: list[str]) -> str:
    shown = names[:3]
    more = len(names) - len(shown)
    tail = f" and {more} more" if more > 0 else ""
    return ", ".join(shown) + tail
