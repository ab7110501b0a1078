"""Totals of a whole graph over plain arrays, level by level: for tables too large for records.

The same rules as in `totals`: a part hands up its figure; an assembly the sum of its parts where all of them
are known and listed, else a stated whole that may stand for it, else the sum, "at least". There are two ways
to the same numbers: `add_up` here, in plain Python for any kind of number (with fractions it is exact), and
`level_arrays.add_up_arrays`, in floating point with limits rounded outward.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, TypeVar

Number = TypeVar("Number", Fraction, float, int)

CYCLE = -1


@dataclass(frozen=True, slots=True)
class Sums(Generic[Number]):
    """Totals by node.

    Parameters
    ----------
    best, low, high : list of Number
        Of the known part; nothing where nothing is known. [kg]
    known : list of bool
        Whether there is any figure at all.
    complete : list of bool
        False means "at least".
    whole : list of bool
        Whether a stated whole stands for parts of which some are not known.
    """

    best: list[Number]
    low: list[Number]
    high: list[Number]
    known: list[bool]
    complete: list[bool]
    whole: list[bool]


def heights(count: int, parent: Sequence[int], child: Sequence[int]) -> list[int]:
    """Longest way down from each node, by peeling leaves off.

    Parameters
    ----------
    count : int
        Number of nodes.
    parent, child : sequence of int
        One entry a line.

    Returns
    -------
    list of int
        `CYCLE` for nodes that are in a cycle or contain one.
    """
    above: list[list[int]] = [[] for _ in range(count)]
    waiting = [0] * count
    for over, under in zip(parent, child, strict=True):
        above[under].append(over)
        waiting[over] += 1
    height = [0 if left == 0 else CYCLE for left in waiting]
    queue = [node for node in range(count) if height[node] == 0]
    for node in queue:
        for over in above[node]:
            waiting[over] -= 1
            if waiting[over] == 0:
                height[over] = height[node] + 1
                queue.append(over)
    return height


def ring(parent: Sequence[int], child: Sequence[int], height: Sequence[int]) -> list[int]:
    """One closed walk among nodes that contain each other: the first stands at the end again; or nothing."""
    below: dict[int, int] = {}
    for over, under in zip(parent, child, strict=True):
        if height[over] == CYCLE and height[under] == CYCLE:
            below.setdefault(int(over), int(under))
    if not below:
        return []
    node = min(below)
    place: dict[int, int] = {}
    while node not in place:
        place[node] = len(place)
        node = below[node]
    walk = [*place][place[node] :]
    turn = walk.index(min(walk))
    return [*walk[turn:], *walk[:turn], walk[turn]]


@dataclass(frozen=True, slots=True)
class PartLines(Generic[Number]):
    """What is in what, and how many of it: one entry a line.

    Parameters
    ----------
    parent, child : sequence of int
        Nodes.
    quantity : sequence of Number
    """

    parent: Sequence[int]
    child: Sequence[int]
    quantity: Sequence[Number]


def add_up(
    lines: PartLines[Number],
    figures: tuple[Sequence[Number], Sequence[Number], Sequence[Number]],
    known: Sequence[bool],
    zero: Number,
    incomplete: Sequence[bool] | None = None,
) -> Sums[Number]:
    """Totals of every node: the reference, for any kind of number.

    Parameters
    ----------
    lines : PartLines
        No cycles.
    figures : three sequences of Number
        Best, low and high by node: of a part its figure, of an assembly a stated whole that may stand for
        it. [kg]
    known : sequence of bool
        Whether there is such a figure.
    zero : Number
        Of the kind of number that is wanted: ``Fraction(0)`` adds exactly.
    incomplete : sequence of bool, optional
        By node, whether its list of parts may lack something: then its sum is "at least".

    Returns
    -------
    Sums
        Not rounded outward: with fractions there is nothing to round.

    Raises
    ------
    ValueError
        The graph has a cycle.
    """
    best, low, high = figures
    count = len(best)
    height = heights(count, lines.parent, lines.child)
    if CYCLE in height:
        raise ValueError("the graph has a cycle; nothing in or above it has a total")
    below: list[list[int]] = [[] for _ in range(count)]
    for line, over in enumerate(lines.parent):
        below[over].append(line)
    out = Sums(
        [zero] * count, [zero] * count, [zero] * count, [False] * count, [False] * count, [False] * count
    )
    for node in sorted(range(count), key=height.__getitem__):
        if below[node]:
            _sum_of_parts(node, below[node], lines, out)
            if incomplete is not None and incomplete[node]:
                out.complete[node] = False
        disproved = bool(below[node]) and out.low[node] > high[node]  # the known parts weigh more already
        if known[node] and not out.complete[node] and not disproved:
            out.best[node], out.low[node], out.high[node] = best[node], low[node], high[node]
            out.known[node] = out.complete[node] = True
            out.whole[node] = bool(below[node])
    return out


def _sum_of_parts(node: int, own: Sequence[int], lines: PartLines[Number], out: Sums[Number]) -> None:
    out.known[node] = out.complete[node] = True
    for line in own:
        part, number = lines.child[line], lines.quantity[line]
        out.best[node] += number * out.best[part]
        out.low[node] += number * out.low[part]
        out.high[node] += number * out.high[part]
        out.complete[node] = out.complete[node] and out.complete[part]
