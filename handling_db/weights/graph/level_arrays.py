"""Totals of a whole graph in floating point, one pass a level; rules and reference stand in `levels`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from handling_db.weights.graph.levels import CYCLE, PartLines, add_up

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

EPS = 2.0**-53
WIDEST = 5e-13  # how far a limit may be moved outward for what floating point may have lost, relative


@dataclass(frozen=True, slots=True)
class ArraySums:
    """Totals by node as arrays; see `levels.Sums`. Low and high are rounded outward.

    Parameters
    ----------
    height : array of int
    """

    best: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    known: NDArray[np.bool_]
    complete: NDArray[np.bool_]
    whole: NDArray[np.bool_]
    height: NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Levels:
    """The lines of a graph without cycles, sorted by the height of their parents.

    Parameters
    ----------
    height : array of int
        By node.
    child, quantity : array
        Lines in their new order.
    parents : array of int
        The nodes with parts, each once, in that order.
    first : array of int
        Where the lines of each of them begin.
    ends : list of (int, int)
        By level from 1: where its parents end among `parents`, and its lines among `child`.
    longest : int
        The most lines of one parent.
    order : array of int
        Which line of the graph stands at each place.
    """

    height: NDArray[np.int32]
    child: NDArray[np.int32]
    quantity: NDArray[np.float64]
    parents: NDArray[np.int32]
    first: NDArray[np.intp]
    ends: list[tuple[int, int]]
    longest: int
    order: NDArray[np.intp]

    def each(self) -> Iterator[tuple[NDArray[np.int32], slice, NDArray[np.intp]]]:
        """By level, the lowest first: its parents, their lines, and where those of each begin."""
        node_start = line_start = 0
        for node_end, line_end in self.ends:
            here = slice(node_start, node_end)
            yield self.parents[here], slice(line_start, line_end), self.first[here] - line_start
            node_start, line_start = node_end, line_end


def array_heights(count: int, parent: NDArray[np.int32], child: NDArray[np.int32]) -> NDArray[np.int32]:
    """As `levels.heights`, a whole level at a time.

    Only lines between assemblies are peeled: most lines end at a single part, which is 0 from the start.
    """
    import numpy as np

    assembly = np.zeros(count, dtype=np.bool_)
    assembly[parent] = True
    between = np.flatnonzero(assembly[child])
    over, under = parent[between], child[between]
    waiting = np.bincount(over, minlength=count).astype(np.int32)
    by_child = np.argsort(under, kind="stable")
    above = over[by_child]
    start = np.zeros(count + 1, dtype=np.intp)
    np.cumsum(np.bincount(under, minlength=count), out=start[1:])
    height = np.where(assembly, CYCLE, 0).astype(np.int32)
    front = np.flatnonzero(assembly & (waiting == 0))
    level = 1
    while front.size:
        height[front] = level
        holding = above[_ranges(start[front], start[front + 1])]
        np.subtract.at(waiting, holding, 1)
        ready = holding[waiting[holding] == 0]
        waiting[ready] = -1  # so that each is taken once
        front = np.unique(ready) if ready.size else ready
        level += 1
    return height


def _ranges(first: NDArray[np.intp], last: NDArray[np.intp]) -> NDArray[np.intp]:
    """The numbers from each first up to each last, one range after the other."""
    import numpy as np

    sizes = last - first
    total = int(sizes.sum())
    ends = np.cumsum(sizes)
    out: NDArray[np.intp] = np.arange(total, dtype=np.intp) + np.repeat(first - (ends - sizes), sizes)
    return out


def sort_by_level(
    count: int,
    parent: NDArray[np.int32],
    child: NDArray[np.int32],
    quantity: NDArray[np.float64],
    height: NDArray[np.int32] | None = None,
) -> Levels:
    """Heights, and the lines in the order in which they can be added up.

    Raises
    ------
    ValueError
        The graph has a cycle.
    """
    import numpy as np

    if height is None:
        height = array_heights(count, parent, child)
    if height.size and int(height.min()) == CYCLE:
        raise ValueError("the graph has a cycle; nothing in or above it has a total")
    deepest = int(height.max(initial=0))
    if parent.size and bool(np.any(parent[1:] < parent[:-1])):
        order = np.argsort(parent, kind="stable")
        level = height[parent[order]]
    else:
        order, level = None, height[parent]
    small = level.astype(np.int16) if deepest < 2**15 else level  # 16 bits are sorted in one pass
    by_level = np.argsort(small, kind="stable")
    order = by_level if order is None else order[by_level]
    sorted_parent = parent[order]
    first = np.flatnonzero(np.r_[True, sorted_parent[1:] != sorted_parent[:-1]]) if parent.size else order
    parents = sorted_parent[first]
    levels = np.arange(1, deepest + 1)
    nodes_end = np.searchsorted(height[parents], levels, side="right")
    lines_end = np.searchsorted(level[by_level], levels, side="right")
    ends = list(zip(nodes_end.tolist(), lines_end.tolist(), strict=True))
    sizes = np.diff(np.r_[first, parent.size])
    longest = int(sizes.max(initial=0))
    return Levels(height, child[order], quantity[order], parents, first, ends, longest, order)


def loss_per_level(longest: int) -> float:
    """What one level may lose: pairwise sums of products, relative to what is added.

    Parts are added in blocks of 128 by eight running sums, the blocks in pairs (the way of the library's own
    sums); one rounding more for the product and two for the figure as it was read.
    """
    blocks = max(1.0, longest / 128)
    return EPS * (math.ceil(math.log2(blocks)) + 16 + 8 + 3)


def add_up_arrays(
    levels: Levels,
    best: NDArray[np.float64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    known: NDArray[np.bool_],
    incomplete: NDArray[np.bool_] | None = None,
) -> ArraySums:
    """Totals of every node in floating point; low and high rounded outward.

    Parameters
    ----------
    levels : Levels
    best, low, high, known : array
        By node; see `levels.add_up`.
    incomplete : array of bool, optional
        Nodes whose lists of parts may lack something: their sums are "at least".

    Returns
    -------
    ArraySums
        Low is never above and high never below the exact sum, and neither is off by more than a relative
        1e-12. A graph too deep for that in floating point is added up exactly instead.
    """
    loss = loss_per_level(levels.longest)
    if (len(levels.ends) + 1) * loss > WIDEST:
        return _exactly(levels, best, low, high, known, incomplete)
    return _in_floats(levels, (best, low, high), known, incomplete)


def sum_below(levels: Levels, own: NDArray[np.float64], summed: NDArray[np.bool_]) -> NDArray[np.float64]:
    """One value of every node added up: its own, or where so said that of all its parts; not rounded outward.

    Parameters
    ----------
    levels : Levels
    own : array of float
        By node.
    summed : array of bool
        By node, whether its parts count in place of its own value.
    """
    import numpy as np

    out = own.copy()
    for nodes, lines, starts in levels.each():
        values = levels.quantity[lines] * out[levels.child[lines]]
        sums = np.add.reduceat(values, starts)
        adds = summed[nodes]
        out[nodes[adds]] = sums[adds]
    return out


def _in_floats(
    levels: Levels,
    figures: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]],
    known: NDArray[np.bool_],
    incomplete: NDArray[np.bool_] | None = None,
) -> ArraySums:
    import numpy as np

    loss = loss_per_level(levels.longest)
    found = known.copy()
    complete = known.copy()
    whole = np.zeros(known.size, dtype=np.bool_)
    out = [np.where(known, figure, 0.0) for figure in figures]
    # Where every part is known and every list is whole, every sum is complete.
    all_known = incomplete is None and bool(known[levels.height == 0].all())
    if all_known:
        found[:] = complete[:] = True
    for nodes, lines, starts in levels.each():
        child, number = levels.child[lines], levels.quantity[lines]
        if all_known:
            full = None
        else:
            full = np.logical_and.reduceat(complete[child], starts)
            if incomplete is not None:
                full &= ~incomplete[nodes]
            least = np.add.reduceat(number * out[1][child], starts)
            # A whole that the known parts outweigh already cannot stand for them.
            stands = ~full & known[nodes] & (least <= out[2][nodes])
        for kept in out:
            sums = np.add.reduceat(number * kept[child], starts)
            kept[nodes] = sums if full is None else np.where(stands, kept[nodes], sums)
        if full is not None:
            whole[nodes] = stands
            complete[nodes] = full | stands
            found[nodes] = True
    # Each level loses no more than so much of what it adds, and what lies below was rounded already.
    widen = (levels.height + 1.0) * loss
    return ArraySums(
        out[0], out[1] * (1 - widen), out[2] * (1 + widen), found, complete, whole, levels.height
    )


def _exactly(
    levels: Levels,
    best: NDArray[np.float64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    known: NDArray[np.bool_],
    incomplete: NDArray[np.bool_] | None,
) -> ArraySums:
    """The same by way of fractions, each limit then rounded once."""
    import numpy as np

    sizes = np.diff(np.r_[levels.first, levels.child.size])
    parent = np.repeat(levels.parents, sizes).tolist()
    figures = [
        [
            Fraction(value) if there else Fraction(0)
            for value, there in zip(column, known.tolist(), strict=True)
        ]
        for column in (best.tolist(), low.tolist(), high.tolist())
    ]
    sums = add_up(
        PartLines(parent, levels.child.tolist(), [Fraction(number) for number in levels.quantity.tolist()]),
        (figures[0], figures[1], figures[2]),
        known.tolist(),
        Fraction(0),
        None if incomplete is None else incomplete.tolist(),
    )
    return ArraySums(
        np.array([float(value) for value in sums.best]),
        np.array([float(value) * (1 - 4 * EPS) for value in sums.low]),
        np.array([float(value) * (1 + 4 * EPS) for value in sums.high]),
        np.array(sums.known, dtype=np.bool_),
        np.array(sums.complete, dtype=np.bool_),
        np.array(sums.whole, dtype=np.bool_),
        levels.height,
    )
