"""Which disagreements of a large table follow from others further down."""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from handling_db.checker.consequences import Apart, consequences
from handling_db.findings import Finding, Verdict
from handling_db.tables.bulk.compare import JudgedRow
from handling_db.tables.bulk.graph import Graph
from handling_db.weights.graph.level_arrays import ArraySums

MOST_STEPS = 1_000_000  # up from all disagreements together


def with_causes(
    graph: Graph, sums: ArraySums, judged: Mapping[int, JudgedRow], height: list[int]
) -> tuple[dict[int, JudgedRow], Finding | None]:
    """The verdicts, each disagreement that follows from others below it marked with these.

    Parameters
    ----------
    graph : Graph
    sums : ArraySums
        Of any state: what stands for its parts hides what is in it.
    judged : mapping of statement to JudgedRow
    height : list of int

    Returns
    -------
    (dict of statement to JudgedRow, Finding or None)
        A remark where there is too much to look through.
    """
    node = graph.table.statements.node
    apart = {
        index: Apart(node[index], height[node[index]], graph.table.codes[node[index]], one.gap, one.complete)
        for index, one in judged.items()
        if one.verdict is Verdict.DISAGREES and one.gap is not None
    }
    if len(apart) < 2:
        return dict(judged), None
    pieces = _pieces_above(graph, sums, {one.node for one in apart.values()}, height)
    if pieces is None:
        told = (
            f"{len(apart):,} stated figures disagree; which of them only follow from others further down was "
            "not worked out, there are too many ways up;"
        )
        return dict(judged), Finding("parts-sum", Verdict.REMARK, "", told, "settle the deepest first.")
    found = dict(judged)
    for index, causes in consequences(apart, pieces).items():
        nodes = tuple(dict.fromkeys(node[cause] for cause in causes))
        found[index] = replace(judged[index], because_of=nodes)
    return found, None


def _pieces_above(
    graph: Graph, sums: ArraySums, wanted: set[int], height: list[int]
) -> dict[int, dict[int, Fraction]] | None:
    """By node, how many of each wanted node its sum counts, going up from each; None for too many steps."""
    import numpy as np

    by_child = np.argsort(graph.child, kind="stable")
    start = np.searchsorted(graph.child[by_child], np.arange(len(graph.table.codes) + 1))
    found: dict[int, dict[int, Fraction]] = {}
    steps = 0
    for bottom in sorted(wanted):
        pieces = {bottom: Fraction(1)}
        waiting = [(height[bottom], bottom)]
        while waiting:
            _, here = heapq.heappop(waiting)
            if here != bottom and here in wanted:
                found.setdefault(here, {})[bottom] = pieces[here]
            if bool(sums.whole[here]) and here != bottom:
                continue
            lines = by_child[start[here] : start[here + 1]].tolist()
            steps += len(lines) + 1
            if steps > MOST_STEPS:
                return None
            for line in lines:
                over = int(graph.parent[line])
                if over not in pieces:
                    pieces[over] = Fraction(0)
                    heapq.heappush(waiting, (height[over], over))
                pieces[over] += pieces[here] * Fraction(float(graph.quantity[line]))
    return found
