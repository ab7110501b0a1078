"""Which disagreements follow from others further down: what is wrong below is wrong in all that holds it.

A figure that is stated for an assembly and lies apart from the sum of its parts may be wrong itself, and then
nothing above is touched by it; or a part is, and then every sum above is out by as much, so many times. A
disagreement is a consequence if some of those below, each so many times, could make up the whole of its gap.
"""

from __future__ import annotations

import itertools
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

Number = Fraction | float
Key = TypeVar("Key", bound=Hashable)

TRIED = 12  # disagreements below one assembly that are put together; of more, the deepest
TOGETHER = 4  # so many at once, a choice of this program: more explain almost anything


@dataclass(frozen=True, slots=True)
class Apart:
    """One stated whole that disagrees with its parts.

    Parameters
    ----------
    node : int
    height : int
        Longest way down to a part: the deepest come first.
    name : str
        For good order among equals.
    gap : (low, high)
        Parts less whole; its high is no limit where parts are missing. [kg]
    complete : bool
        Whether all parts are known and listed.
    """

    node: int
    height: int
    name: str
    gap: tuple[Number, Number]
    complete: bool


def consequences(
    apart: Mapping[Key, Apart], pieces: Mapping[int, Mapping[int, Number]]
) -> dict[Key, tuple[Key, ...]]:
    """For each disagreement that follows from others below it, the fewest and deepest that explain it.

    Parameters
    ----------
    apart : mapping
        The disagreements.
    pieces : mapping of node to mapping of node to number
        By node, how many of each other node with a disagreement are in it; those with none may be left out.
    """
    by_node: dict[int, list[Key]] = {}
    for key in sorted(apart, key=lambda key: (apart[key].height, apart[key].name)):
        by_node.setdefault(apart[key].node, []).append(key)
    found: dict[Key, tuple[Key, ...]] = {}
    for key, one in apart.items():
        inside = pieces.get(one.node, {})
        nodes = [node for node in by_node if node != one.node and inside.get(node)]
        causes = _causes(one, [(node, by_node[node]) for node in nodes], apart, pieces)
        if causes:
            found[key] = causes
    return found


def _causes(
    outer: Apart,
    below: Sequence[tuple[int, Sequence[Key]]],
    apart: Mapping[Key, Apart],
    pieces: Mapping[int, Mapping[int, Number]],
) -> tuple[Key, ...]:
    for _, keys in below:  # each by itself, however many there are
        for key in keys:
            if _explain(outer, [apart[key]], pieces):
                return (key,)
    tried = below[:TRIED]
    for many in range(2, min(TOGETHER, len(tried)) + 1):
        for some in itertools.combinations(tried, many):
            for keys_of_each in itertools.product(*(keys for _, keys in some)):
                if _explain(outer, [apart[key] for key in keys_of_each], pieces):
                    return keys_of_each
    return ()


def _explain(outer: Apart, inner: Sequence[Apart], pieces: Mapping[int, Mapping[int, Number]]) -> bool:
    """Whether gaps below, each as often as it is reached without passing another, can make up the gap."""
    often = _reached_first(outer.node, [one.node for one in inner], pieces)
    low = sum((number * one.gap[0] for one, number in zip(inner, often, strict=True)), start=Fraction(0))
    high = sum((number * one.gap[1] for one, number in zip(inner, often, strict=True)), start=Fraction(0))
    up_to_low = outer.complete is False or low <= outer.gap[1]
    up_to_high = not all(one.complete for one in inner) or high >= outer.gap[0]
    return up_to_low and up_to_high


def _reached_first(
    top: int, nodes: Sequence[int], pieces: Mapping[int, Mapping[int, Number]]
) -> list[Number]:
    """How many of each node lie in the top outside of all the other nodes.

    All of a node are those outside of the others and, for each other node, those within it: counting by the
    first of them that a way down meets.
    """
    inside = pieces[top]
    order = sorted(nodes, key=lambda node: sum(1 for other in nodes if pieces.get(other, {}).get(node)))
    first: dict[int, Number] = {}
    for node in order:
        within: Iterable[Number] = (
            first[other] * pieces.get(other, {}).get(node, 0) for other in first if other != node
        )
        first[node] = inside[node] - sum(within, start=Fraction(0))
    return [first[node] for node in nodes]
