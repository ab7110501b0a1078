"""Where every figure comes from, and what becomes doubtful with it.

The links are those that the records state: the source of a figure, the source's instrument, the material of
a shape, and the figures it was converted, copied, summed or inferred from. Two figures that lead back to
one origin are one witness.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from handling_db.errors import UnknownNameError
from handling_db.families.shape_text import words_in
from handling_db.records.collection import Collection
from handling_db.weights.totals import Basis, Totals


@dataclass(frozen=True, slots=True)
class FigureOrigin:
    """One recorded figure and what it was made from.

    Parameters
    ----------
    id : str
        Of the statement or weighing.
    component : str
    source : str
        Id of the source it was read from.
    how : str
        converted, copied, summed or inferred; empty for a figure read at its source.
    made_from : tuple of ids
        The figures it was made from.
    materials : tuple of ids
        Whose density it uses.
    replaced : bool
        No longer in force.
    """

    id: str
    component: str
    source: str
    how: str = ""
    made_from: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    replaced: bool = False


@dataclass(frozen=True, slots=True)
class RestingOnSource:
    """A figure or a component that rests on a source, and how far away.

    Parameters
    ----------
    id : str
        Of the figure, or of the component.
    component : str
    depth : int
        Figures: 0 read there, 1 made from such a figure, and so on. Components: 0 it hands up such a
        figure itself, 1 it is a sum with such a part in it, and so on.
    by_way_of : str
        The figure or the part one step nearer; empty at depth 0.
    replaced : bool
        A figure no longer in force.
    """

    id: str
    component: str
    depth: int
    by_way_of: str = ""
    replaced: bool = False


@dataclass(frozen=True, slots=True)
class DoubtfulIfOff:
    """What becomes doubtful if one source was off.

    Parameters
    ----------
    source : str
    direct : tuple of RestingOnSource
        Figures read from it.
    derived : tuple of RestingOnSource
        Figures made from these, the nearest first.
    components : tuple of RestingOnSource
        Components whose handed-up figure rests on any of them in any state, the nearest first.
    """

    source: str
    direct: tuple[RestingOnSource, ...]
    derived: tuple[RestingOnSource, ...]
    components: tuple[RestingOnSource, ...]


class Provenance:
    """The graph of derivation of one collection."""

    def __init__(self, collection: Collection) -> None:
        self.collection = collection
        self._roots: dict[str, frozenset[str]] = {}

    @cached_property
    def figures(self) -> Mapping[str, FigureOrigin]:
        """Every recorded figure by id, replaced ones too."""
        found: dict[str, FigureOrigin] = {}
        replaced = {w.replaces for w in self.collection.weighings.values()}
        for component in self.collection.components.values():
            replaced.update(s.replaces for s in component.masses)
        for code, component in sorted(self.collection.components.items()):
            for statement in component.masses:
                key = statement.key(code)
                derived = statement.derived
                found[key] = FigureOrigin(
                    key,
                    code,
                    statement.source,
                    derived.how if derived else "",
                    derived.from_ if derived else (),
                    tuple(sorted(words_in(statement.shape) & set(self.collection.materials))),
                    key in replaced,
                )
        for key, weighing in sorted(self.collection.weighings.items()):
            found[key] = FigureOrigin(key, weighing.of, weighing.source, replaced=key in replaced)
        return found

    def roots(self, figure: str) -> frozenset[str]:
        """The figures at the far end of a figure's derivation: itself if it was made from nothing.

        An id that is not in the collection is an end, too. Circles end where they close.
        """
        if figure not in self._roots:
            reached = {figure}
            ends: set[str] = set()
            waiting = [figure]
            while waiting:
                here = waiting.pop()
                origin = self.figures.get(here)
                if origin is None or not origin.made_from:
                    ends.add(here)
                    continue
                for below in origin.made_from:
                    if below not in reached:
                        reached.add(below)
                        waiting.append(below)
            self._roots[figure] = frozenset(ends or {min(reached)})
        return self._roots[figure]

    def derivation(self, one: str, other: str) -> str:
        """Why two figures are one witness as far as they were made from one another; empty if not."""
        common = self.roots(one) & self.roots(other)
        if not common:
            return ""
        if one in common or other in common:
            first, second = (other, one) if one in common else (one, other)
            how = self.figures[first].how if first in self.figures else ""
            return f"{first} was {how or 'made'} from {second}"
        return f"both come from {', '.join(sorted(common))}"

    def read_from(self, source: str) -> tuple[FigureOrigin, ...]:
        """The figures read from a source, or using the density of a material, by id.

        Raises
        ------
        UnknownNameError
            Neither a source nor a material has that id.
        """
        if source not in self.collection.sources and source not in self.collection.materials:
            raise UnknownNameError(f"no source or material has the id {source!r}")
        return tuple(
            origin
            for _, origin in sorted(self.figures.items())
            if source == origin.source or source in origin.materials
        )

    def doubtful(self, source: str, totals: Iterable[Totals]) -> DoubtfulIfOff:
        """Everything that becomes doubtful if a source (a scale, a list, a material) was off.

        Parameters
        ----------
        source : str
            Id of a source or a material.
        totals : iterable of Totals
            Of each state to look at.

        Raises
        ------
        UnknownNameError
            Nothing has that id.
        """
        direct = [RestingOnSource(o.id, o.component, 0, "", o.replaced) for o in self.read_from(source)]
        made: dict[str, list[FigureOrigin]] = {}
        for origin in self.figures.values():
            for below in origin.made_from:
                made.setdefault(below, []).append(origin)
        reached = {figure.id: figure for figure in direct}
        waiting = deque(direct)
        derived: list[RestingOnSource] = []
        while waiting:
            here = waiting.popleft()
            for origin in made.get(here.id, ()):
                if origin.id not in reached:
                    found = RestingOnSource(
                        origin.id, origin.component, here.depth + 1, here.id, origin.replaced
                    )
                    reached[origin.id] = found
                    derived.append(found)
                    waiting.append(found)
        nearest: dict[str, RestingOnSource] = {}
        for one in totals:
            for resting in _resting(one, set(reached)):
                known = nearest.get(resting.id)
                if known is None or resting.depth < known.depth:
                    nearest[resting.id] = resting
        components = sorted(nearest.values(), key=lambda r: (r.depth, r.id))
        return DoubtfulIfOff(source, tuple(direct), tuple(derived), tuple(components))


def _resting(totals: Totals, figures: set[str]) -> Iterable[RestingOnSource]:
    """The components that hand up one of these figures, or a sum with one in it, children first."""
    depth: dict[int, RestingOnSource] = {}
    for node in totals.tree.order:
        figure = totals.figures[node]
        code = totals.tree.component(node)
        if figure.witness is not None and figure.witness.id in figures:
            depth[node] = RestingOnSource(code, code, 0, figure.witness.id)
        elif figure.basis is Basis.SUM:
            inside = [depth[use.child] for use in totals.tree.uses[node] if use.child in depth]
            if inside:
                nearest = min(inside, key=lambda r: r.depth)
                depth[node] = RestingOnSource(code, code, nearest.depth + 1, nearest.id)
    return depth.values()
