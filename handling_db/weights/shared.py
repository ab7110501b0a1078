"""What the two sides of a comparison share: one scale, one list, one density. An error of it hides."""

from __future__ import annotations

from typing import Literal

from handling_db.families.shape_text import words_in
from handling_db.records.collection import Collection
from handling_db.records.kinds.source import Source
from handling_db.records.parts.texts import State
from handling_db.weights.sum_of_parts import SumOfParts
from handling_db.weights.totals import Basis, Totals
from handling_db.weights.verdict import Shared
from handling_db.weights.witness import Witness

Ground = tuple[Literal["source", "material"], str]
Grounds = frozenset[Ground]
_NONE: Grounds = frozenset()


class GroundsOf:
    """What figures rest on, each worked out once: sources and densities, of their origins too."""

    def __init__(self, collection: Collection) -> None:
        self.collection = collection
        self._figures: dict[str, Grounds] = {}
        self._below: dict[State, tuple[Grounds, ...]] = {}
        self._stated: dict[str, tuple[Grounds, tuple[str, ...]]] | None = None

    def shared(
        self, witness: Witness, parts: SumOfParts, totals: Totals, node: int, *, whole: bool
    ) -> tuple[Shared, ...]:
        """What a stated figure and the sum of its parts both rest on.

        Parameters
        ----------
        witness : Witness
        parts : SumOfParts
        totals : Totals
            Of the state they were compared in.
        node : int
        whole : bool
            The sum is of all parts and is handed upward, so that nobody has to walk through it again.

        Returns
        -------
        tuple of Shared
            Scales first, then documents, then densities, each by id.
        """
        ours = self.of(witness)
        if whole and totals.figures[node].basis is Basis.SUM:
            theirs = self._by_node(totals)[node]
        else:
            figures = (share.figure.witness for share in parts.shares)
            theirs = _NONE.union(*(self.of(one) for one in figures if one is not None))
        order = ("scale", "document", "density")
        found = [self._told(*ground) for ground in ours & theirs]
        return tuple(sorted(found, key=lambda one: (order.index(one.what), one.id)))

    def of(self, witness: Witness) -> Grounds:
        """What one figure rests on, by way of the figures it was made from."""
        if witness.id not in self._figures:
            found: set[Ground] = {("source", witness.source.id)}
            reached, waiting = {witness.id}, [witness.id]
            while waiting:
                grounds, made_from = self._records().get(waiting.pop(), (_NONE, ()))
                found |= grounds
                waiting += [one for one in made_from if one not in reached]
                reached |= {*made_from}
            self._figures[witness.id] = frozenset(found)
        return self._figures[witness.id]

    def _records(self) -> dict[str, tuple[Grounds, tuple[str, ...]]]:
        """By figure, what it rests on itself, and the figures it was made from."""
        if self._stated is None:
            materials = set(self.collection.materials)
            origins = any(
                s.derived is not None for c in self.collection.components.values() for s in c.masses
            )
            self._stated = {
                statement.key(code): (
                    frozenset(
                        [
                            ("source", statement.source),
                            *(("material", one) for one in words_in(statement.shape) & materials),
                        ]
                    ),
                    statement.derived.from_ if statement.derived else (),
                )
                for code, component in self.collection.components.items()
                for statement in component.masses
                if origins or statement.shape is not None  # any figure may be what another was made from
            }
            for code, weighing in self.collection.weighings.items():
                self._stated[code] = frozenset([("source", weighing.source)]), ()
        return self._stated

    def _by_node(self, totals: Totals) -> tuple[Grounds, ...]:
        """By node, what the figures that its own is made of rest on; alike sets are one object."""
        if totals.state not in self._below:
            found = [_NONE] * len(totals.tree.nodes)
            for node in totals.tree.order:
                figure = totals.figures[node]
                if figure.basis is Basis.SUM:
                    below = {found[use.child] for use in totals.tree.uses[node]}
                    found[node] = below.pop() if len(below) == 1 else _NONE.union(*below)
                elif figure.witness is not None:
                    found[node] = self.of(figure.witness)
            self._below[totals.state] = tuple(found)
        return self._below[totals.state]

    def _told(self, kind: Literal["source", "material"], code: str) -> Shared:
        if kind == "material":
            return Shared("density", code, self.collection.materials[code].name)
        source = self.collection.sources[code]
        return Shared(kind_of(source), code, source.name)


def kind_of(source: Source) -> Literal["scale", "document"]:
    """Whether figures are read on a source or in it."""
    return "scale" if source.instrument is not None else "document"
