"""Which stated wholes of a large table rest on the same source as parts that they agree with."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from handling_db.tables.bulk.figures import StateTotals
from handling_db.tables.bulk.graph import Graph, SharedTerms
from handling_db.weights.shared import kind_of
from handling_db.weights.verdict import Shared

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_AT_ONCE = 62  # sources in one pass: a bit each of a signed number of 64


def shared_sources(
    graph: Graph, said: SharedTerms, one: StateTotals, statements: Iterable[int]
) -> dict[int, tuple[Shared, ...]]:
    """By statement of a whole, the source it was read from if any figure in the sum of its parts was, too.

    Parameters
    ----------
    graph, said
    one : StateTotals
        Of the state in which they were compared.
    statements : iterable of int
        Those of wholes that agree with their parts.
    """
    import numpy as np

    asked = list(statements)
    sources = graph.table.statements.source
    number = {name: place for place, name in enumerate(dict.fromkeys(sources[index] for index in asked))}
    handed = one.handed
    has = np.flatnonzero(handed >= 0)
    of_node = np.full(len(handed), -1, dtype=np.int64)  # the source of the figure a node hands up
    of_node[has] = [number.get(sources[index], -1) for index in handed[has].tolist()]
    order = np.argsort(one.sums.height[graph.parent], kind="stable")
    found: dict[int, tuple[Shared, ...]] = {}
    for first in range(0, len(number), _AT_ONCE):
        bits = np.zeros(len(handed), dtype=np.int64)
        mine = (of_node >= first) & (of_node < first + _AT_ONCE)
        bits[mine] = np.left_shift(np.int64(1), of_node[mine] - first)
        _hand_up(graph, one, order, bits)
        for index in asked:
            place = number[sources[index]] - first
            if not 0 <= place < _AT_ONCE:
                continue
            node = graph.table.statements.node[index]
            inside = np.bitwise_or.reduce(bits[graph.child[graph.lines_of(node)]], initial=np.int64(0))
            if int(inside) >> place & 1:
                source = said.sources[sources[index] or ""]
                found[index] = (Shared(kind_of(source), source.id, source.name),)
    return found


def _hand_up(graph: Graph, one: StateTotals, order: NDArray[np.intp], bits: NDArray[np.int64]) -> None:
    """Give every sum the bits of its parts, a level of parents at a time, the lowest first."""
    import numpy as np

    height = one.sums.height[graph.parent][order]
    ends = np.flatnonzero(np.diff(height)) + 1
    for lines in np.split(order, ends):
        lines = lines[~one.sums.whole[graph.parent[lines]]]  # a whole that stands for its parts hides them
        np.bitwise_or.at(bits, graph.parent[lines], bits[graph.child[lines]])
