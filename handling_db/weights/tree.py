"""The graph of what contains what, each component in each build it occurs in, children before parents."""

from __future__ import annotations

from collections import deque
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from handling_db.families.build import Build, BuildError, Value, build_of, handed_down, pieces, worked_measure
from handling_db.records.collection import Collection
from handling_db.records.in_hand import below as with_all_below
from handling_db.records.kinds.component import Component, PartLine
from handling_db.records.last_worked import LastWorked
from handling_db.records.parts.common import Placement
from handling_db.records.parts.measures import Measure

# Places of part lines that are written as formulas, worked out in the parent's build.


@dataclass(frozen=True, slots=True)
class WorkedPlace:
    """A place with formulas, worked out in the parent's build.

    Parameters
    ----------
    at : (x, y, z)
        The child's datum in the parent's frame. [m]
    turned : (roll, pitch, yaw)
        About the parent's fixed axes, roll first. [deg]
    """

    at: tuple[float, float, float]
    turned: tuple[float, float, float]


def _placements(line: PartLine) -> tuple[Placement, ...]:
    if line.places is not None:
        return line.places
    return (Placement.model_construct(at=line.at, turned=line.turned),) if line.at is not None else ()


def has_formula(line: PartLine) -> bool:
    """Whether any coordinate or angle of a line is a formula."""
    if line.at is not None and line.turned is None:
        return any(value.is_formula for value in line.at)
    return any(
        value is not None and value.is_formula
        for place in _placements(line)
        for value in (*place.at, *_angles(place))
    )


def _angles(place: Placement) -> tuple[Measure | None, ...]:
    turned = place.turned
    return (turned.roll, turned.pitch, turned.yaw) if turned is not None else ()


MOST_KEPT = 512  # lines whose places stay worked out, for several trees
_kept: LastWorked[tuple[WorkedPlace, ...]] = LastWorked(MOST_KEPT)


def worked_places(line: PartLine, parent: Component, build: Build) -> tuple[WorkedPlace, ...]:
    """The places of a line in a build.

    Raises
    ------
    BuildError
        A formula cannot be worked out: then the place is not known, and never the origin.
    """
    own = (line, parent.parameters)
    kept = _kept.get(own, build)
    if kept is not None:
        return kept

    def figure(value: Measure | None) -> float:
        return 0.0 if value is None else float(worked_measure(value, build, parent.parameters))

    found: list[WorkedPlace] = []
    for place in _placements(line):
        x, y, z = (figure(value) for value in place.at)
        roll, pitch, yaw = (figure(value) for value in _angles(place) or (None, None, None))
        found.append(WorkedPlace((x, y, z), (roll, pitch, yaw)))
    return _kept.keep(tuple(found), own, build)


Node = tuple[str, Build]

# Places that one answer or list looks at, a choice of this program: assemblies that share their parts have
# places without end.
MOST_PLACES = 200_000


@dataclass(frozen=True, slots=True)
class Use:
    """One part line of one parent, worked out in the parent's build.

    Parameters
    ----------
    child : int
        Index of the child's node.
    quantity : Fraction
        How many; never zero, since a count of zero means the part is absent in this build.
    line : PartLine
        The record of the line.
    index : int
        Its place among the parent's part lines.
    worked : tuple of WorkedPlace, optional
        Where the pieces lie, for a line whose places have formulas; empty where one cannot be worked out.
        None for a line of plain figures, which stand in the record.
    """

    child: int
    quantity: Fraction
    line: PartLine
    index: int
    worked: tuple[WorkedPlace, ...] | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """A part line that cannot be worked out."""

    component: str
    index: int
    message: str


@dataclass(frozen=True, slots=True)
class Tree:
    """Nodes, their uses and an order in which every child stands before its parents.

    Parameters
    ----------
    nodes : tuple of (component id, build)
    uses : tuple of tuples of Use
        By node.
    order : tuple of int
        Children first; leaves out what is in a cycle or contains one.
    height : mapping of node to int
        Longest way down to a leaf, for nodes in `order`.
    cycles : tuple of tuples of component ids
        Each closed: the first id stands at the end again.
    faults : tuple of Fault
    start : mapping of (component id, build) to int
    broken : mapping of node to tuple of int
        Part lines of a node whose count or whose child cannot be worked out in its build: their mass is not
        known, and never nothing.
    """

    nodes: tuple[Node, ...]
    uses: tuple[tuple[Use, ...], ...]
    order: tuple[int, ...]
    height: Mapping[int, int]
    cycles: tuple[tuple[str, ...], ...]
    faults: tuple[Fault, ...]
    start: Mapping[Node, int]
    broken: Mapping[int, tuple[int, ...]] = field(default_factory=dict)

    def component(self, node: int) -> str:
        """The component's id."""
        return self.nodes[node][0]

    def places(self, node: int) -> int:
        """How many lines a list of a node with everything below it has, shared parts at each of their places.

        Counted without going through them: a graph that shares its assemblies doubles with every level.
        """
        counted: dict[int, int] = {}
        for one in self.order:
            counted[one] = 1 + sum(counted.get(use.child, 1) for use in self.uses[one])
        return counted.get(node, 1)


def unfold(
    collection: Collection,
    roots: Iterable[tuple[str, Mapping[str, Value]]] | None = None,
    *,
    known: Container[Node] = (),
) -> Tree:
    """Follow the part lines from some components, or from all of them in their default build.

    No recursion, and each component once a build: a diamond costs its lines, not its paths.

    Parameters
    ----------
    collection : Collection
    roots : iterable of (component id, given parameter values), optional
    known : container of (component id, build), optional
        Builds that nothing is to be said of again: what lies below them is left out.

    Raises
    ------
    BuildError
        A root is given values it cannot take. Faults further down are listed instead.
    """
    if roots is None:
        roots = [(code, {}) for code in sorted(collection.components)]
        strict = False
    else:
        strict = True
    start: dict[Node, int] = {}
    nodes: list[Node] = []
    uses: list[tuple[Use, ...]] = []
    faults: list[Fault] = []
    broken: dict[int, tuple[int, ...]] = {}
    queue: deque[int] = deque()

    def reach(code: str, given: Mapping[str, Value]) -> int:
        node = (code, build_of(collection.components[code], given))
        if node not in start:
            start[node] = len(nodes)
            nodes.append(node)
            queue.append(start[node])
        return start[node]

    for code, given in roots:
        try:
            reach(code, given)
        except BuildError as error:
            if strict:
                raise
            faults.append(Fault(code, -1, str(error)))
    while queue:
        here = queue.popleft()
        code, build = nodes[here]
        below: list[Use] = []
        parent = collection.components[code]
        for index, line in enumerate(() if nodes[here] in known else parent.parts):
            child = collection.components[line.component]  # of an id that is not there: an unknown part
            try:
                quantity = pieces(line, parent, build, child)
                if quantity > 0:
                    node = reach(line.component, handed_down(child, line.set, build, parent))
                    by_formula = has_formula(line)
                    use = Use(node, quantity, line, index, () if by_formula else None)
                    below.append(use)
                    if by_formula:
                        below[-1] = replace(use, worked=worked_places(line, parent, build))
            except BuildError as error:
                faults.append(Fault(code, index, str(error)))
                if not below or below[-1].index != index:
                    broken[here] = (*broken.get(here, ()), index)
        while len(uses) <= here:
            uses.append(())
        uses[here] = tuple(below)
    order, height = _children_first(uses)
    cycles = _cycles(nodes, uses, height)
    return Tree(tuple(nodes), tuple(uses), order, height, cycles, tuple(faults), start, broken)


def below(collection: Collection, code: str) -> frozenset[str]:
    """Ids of everything listed below a component, in whatever build; without the component itself."""
    return with_all_below(collection, code) - {code}


def _children_first(uses: list[tuple[Use, ...]]) -> tuple[tuple[int, ...], dict[int, int]]:
    """Peel leaves off level by level; what is never peeled is in or above a cycle."""
    parents: list[list[int]] = [[] for _ in uses]
    waiting = [0] * len(uses)
    for parent, below in enumerate(uses):
        children = {use.child for use in below}
        waiting[parent] = len(children)
        for child in children:
            parents[child].append(parent)
    height = {node: 0 for node, left in enumerate(waiting) if left == 0}
    order = list(height)
    for node in order:
        for parent in parents[node]:
            height[parent] = max(height.get(parent, 0), height[node] + 1)
            waiting[parent] -= 1
            if waiting[parent] == 0:
                order.append(parent)
    done = set(order)
    return tuple(order), {node: level for node, level in height.items() if node in done}


def _cycles(
    nodes: list[Node], uses: list[tuple[Use, ...]], peeled: Mapping[int, int]
) -> tuple[tuple[str, ...], ...]:
    """One closed walk for each group of components that contain each other."""
    found: list[tuple[str, ...]] = []
    seen: set[int] = set()
    for first in range(len(nodes)):
        walk: list[int] = []
        place: dict[int, int] = {}
        node: int | None = first
        while node is not None and node not in peeled and node not in seen:
            if node in place:
                ring = [nodes[i][0] for i in walk[place[node] :]]
                turn = ring.index(min(ring))
                closed = (*ring[turn:], *ring[:turn], ring[turn])
                if closed not in found:
                    found.append(closed)
                break
            place[node] = len(walk)
            walk.append(node)
            node = next((use.child for use in uses[node] if use.child not in peeled), None)
        seen.update(walk)
    return tuple(found)
