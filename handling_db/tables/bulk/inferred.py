"""What stated wholes of a large table leave for parts nobody weighed: limits from above, level by level.

What is in a whole weighs no more than the whole less the least that everything else in it weighs. Limits are
outer ones: never too narrow where the figures are right. A whole that weighs less than its parts do at least
says nothing of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from handling_db.records.parts.texts import State
from handling_db.tables.bulk.figures import Own, StateTotals, incomplete_lists
from handling_db.tables.bulk.graph import Graph, SharedTerms
from handling_db.weights.graph.level_arrays import EPS, Levels

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NOBODY = -1  # no one statement is behind a limit


@dataclass(frozen=True, slots=True)
class LeftByWholes:
    """Limits of the nodes that have no upper figure of their own.

    Parameters
    ----------
    low, high : array of float
        By node; as the totals where these are complete, `high` infinity where nothing bounds it. [kg]
    inferred : array of bool
        Nodes with an upper limit that only something around them gives.
    behind : array of int
        By node, the statement that gives the upper limit, -1 where that is not one alone.
    alone : array of bool
        One figure on one way: nothing checks it.
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    inferred: NDArray[np.bool_]
    behind: NDArray[np.int64]
    alone: NDArray[np.bool_]


def left_by_wholes(
    graph: Graph, levels: Levels, own: Own, said: SharedTerms, totals: StateTotals
) -> LeftByWholes:
    """Go down from the wholes, once up, and once down again for the lower limits.

    Parameters
    ----------
    graph : Graph
    levels : Levels
    own : Own
    said : SharedTerms
    totals : StateTotals
        In one state.
    """
    import numpy as np

    sums = totals.sums
    low = np.where(sums.known, sums.low, 0.0)
    high = np.where(sums.complete, np.fmax(sums.high, totals.plan), np.inf)
    for node in own.several:  # of figures that contradict one another the lowest is possible too
        if sums.complete[node]:
            low[node] = min([float(low[node]), *(own.low[index] for index in own.of(node))])
    behind = np.where(sums.whole, totals.handed, NOBODY)
    for node, index in totals.raised_by.items():
        if sums.whole[node]:
            behind[node] = index
    single = sums.whole & (own.first >= 0)
    open_ = ~sums.complete
    if not open_.any() or not sums.whole.any():
        return LeftByWholes(low, high, np.zeros_like(open_), behind, single)
    lines = _Lines(levels)
    # What the lines of one parent add up to may be off by this much, and so may what is left of it.
    lost = 8.0 * EPS * (lines.count + 8)
    least = lines.added(lines.quantity * low[lines.child])
    # Hints bound nothing, nor do lists that may lack something, nor a whole below the least of its parts.
    silent = least * (1.0 - lost) > high
    for node in np.flatnonzero(sums.whole).tolist():
        source = graph.table.statements.source[int(behind[node])]
        silent[node] |= said.kind_of[source].chosen == "hint"
    some = incomplete_lists(graph)
    silent |= False if some is None else some
    ways = np.zeros(low.size, dtype=np.int64)
    for which in lines.by_level():
        over, under, many = lines.parent[which], lines.child[which], lines.quantity[which]
        speaks = open_[under] & np.isfinite(high[over]) & ~silent[over]
        over, under, many = over[speaks], under[speaks], many[speaks]
        left = high[over] - least[over] + many * low[under]
        left = (left + lost[over] * (high[over] + least[over])) / many
        np.minimum.at(high, under, np.maximum(left, low[under]))
        np.add.at(ways, under, 1)
        gives = high[under] == np.maximum(left, low[under])
        behind[under[gives]] = behind[over[gives]]
        single[under[gives]] = single[over[gives]]
    for which in reversed(lines.by_level()):  # an assembly weighs no more than its parts at most
        over, place = np.unique(lines.parent[which], return_inverse=True)
        most = _added(place, lines.quantity[which] * high[lines.child[which]], over.size) * (1.0 + lost[over])
        better = open_[over] & ~silent[over] & (most < high[over])
        high[over[better]] = most[better]
        behind[over[better]], single[over[better]] = NOBODY, False
    _from_below(lines, low, high, open_, silent, lost)
    inferred = open_ & np.isfinite(high)
    return LeftByWholes(low, np.maximum(high, low), inferred, behind, single & (ways == 1))


def in_any_state(found: Mapping[State, LeftByWholes]) -> Mapping[State, LeftByWholes]:
    """Upper limits out of every state: a table lists no fluid, and a piece weighs no more than filled."""
    import numpy as np

    if len(found) < 2:
        return found
    every = [*found.values()]
    least = np.argmin([one.high for one in every], axis=0)
    high, behind, alone = (
        np.choose(least, [getattr(one, name) for one in every]) for name in ("high", "behind", "alone")
    )
    told: dict[State, LeftByWholes] = {}
    for state, one in found.items():
        better = (one.inferred | ~np.isfinite(one.high)) & (high < one.high)
        told[state] = replace(
            one,
            low=np.where(better, np.minimum(one.low, high), one.low),
            high=np.where(better, high, one.high),
            inferred=one.inferred | better,
            behind=np.where(better, behind, one.behind),
            alone=np.where(better, alone, one.alone),
        )
    return told


def _from_below(
    lines: _Lines,
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    open_: NDArray[np.bool_],
    silent: NDArray[np.bool_],
    lost: NDArray[np.float64],
) -> None:
    """What is in a whole weighs no less than the whole less the most that everything else in it weighs."""
    import numpy as np

    most = lines.quantity * high[lines.child]
    bounded = np.isfinite(most)
    rest = lines.added(np.where(bounded, most, 0.0))
    endless = lines.added(np.where(bounded, 0.0, 1.0))
    for which in lines.by_level():
        over, under, many = lines.parent[which], lines.child[which], lines.quantity[which]
        others = endless[over] - np.where(bounded[which], 0.0, 1.0)
        own = np.where(bounded[which], most[which], 0.0)
        left = low[over] - (rest[over] - own) - lost[over] * (low[over] + rest[over])
        speaks = open_[under] & ~silent[over] & (others == 0.0) & (left > 0.0)
        np.maximum.at(low, under[speaks], left[speaks] / many[speaks])
    np.minimum(low, high, out=low)


class _Lines:
    """Part lines by the height of their parents, the highest first."""

    def __init__(self, levels: Levels) -> None:
        import numpy as np

        self.child, self.quantity = levels.child, levels.quantity
        self.parent = np.repeat(levels.parents, np.diff([*levels.first, self.child.size]))
        self.nodes = levels.height.size
        self.count = _added(self.parent, np.ones(self.child.size), self.nodes)
        ends = [0, *(lines for _, lines in levels.ends)]
        self._levels = [slice(a, b) for a, b in pairwise(ends)][::-1]

    def by_level(self) -> list[slice]:
        """The lines of each height, the highest parents first."""
        return self._levels

    def added(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """A value of each line, added up by parent."""
        return _added(self.parent, values, self.nodes)


def _added(places: NDArray[Any], values: NDArray[np.float64], size: int) -> NDArray[np.float64]:
    import numpy as np

    return np.bincount(places, weights=values, minlength=size).astype(np.float64)
