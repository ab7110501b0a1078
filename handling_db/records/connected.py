"""Which components hang together: by part lines, or by figures of which one came from the other.

What the evidence says of a piece rests on what hangs together with it and on nothing else of a collection,
however large that is.
"""

from __future__ import annotations

from collections.abc import Collection as Several
from collections.abc import Iterator, Mapping
from dataclasses import replace

from handling_db.records.collection import Collection, components_by_id


def connected(collection: Collection) -> Mapping[str, frozenset[str]]:
    """By component, the ids of all that hang together with it, itself included."""
    return collection.once("connected", lambda: _connected(collection))


def _connected(collection: Collection) -> Mapping[str, frozenset[str]]:
    root = {code: code for code in collection.components}

    def find(one: str) -> str:
        while root[one] != one:
            root[one] = root[root[one]]  # halve the way for the next one
            one = root[one]
        return one

    for one, other in _ties(collection):
        if one in root and other in root:
            root[find(one)] = find(other)
    groups: dict[str, set[str]] = {}
    for code in root:
        groups.setdefault(find(code), set()).add(code)
    whole = {first: frozenset(codes) for first, codes in groups.items()}
    return {code: whole[find(code)] for code in root}


def _ties(collection: Collection) -> Iterator[tuple[str, str]]:
    """Pairs of components of which one speaks of the other."""
    named: dict[str, set[str]] = {}  # by id of a figure, the components with a figure of this id
    for code, component in collection.components.items():
        for statement in component.masses:
            named.setdefault(statement.key(code), set()).add(code)
    for weighing in collection.weighings.values():
        named.setdefault(weighing.id, set()).add(weighing.of)
    for code, component in collection.components.items():
        for line in component.parts:
            yield code, line.component
        for statement in component.masses:
            came_from = statement.derived.from_ if statement.derived is not None else ()
            for figure in (*came_from, *((statement.replaces,) if statement.replaces else ())):
                yield from ((code, other) for other in named.get(figure, ()))
    for weighing in collection.weighings.values():
        yield from ((weighing.of, other) for other in named.get(weighing.replaces or "", ()))
    for several in named.values():  # one id for several figures: a fault, yet one is taken for the other
        first, *others = sorted(several)
        yield from ((first, other) for other in others)


def part_of(collection: Collection, codes: Several[str]) -> Collection:
    """The collection with these components and their weighings only; all its other records stay."""
    components = {
        code: collection.components[code] for code in sorted(codes) if code in collection.components
    }
    weighings = {code: w for code, w in collection.weighings.items() if w.of in components}
    return replace(collection, components=components_by_id(components), weighings=weighings)
