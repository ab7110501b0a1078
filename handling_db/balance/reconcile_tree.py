"""Least squares on a tree of sums, by one message up and one down along each line.

Exact and linear in the number of lines. Each message is what one side of a line says about the mass on the
other: mean and variance, infinite where it says nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from handling_db.balance.equations import Lines, Network, Reading, by_node
from handling_db.balance.solution import UNKNOWN, AdjustedMasses, Belief, join
from handling_db.errors import HandlingError


def solve_tree(network: Network, readings: Sequence[Reading]) -> AdjustedMasses:
    """Adjust independent figures so that every sum holds, with the least sum of weighted squares.

    Parameters
    ----------
    network : Network
        In which nothing goes into more than one place.
    readings : sequence of Reading
        Without shared doubt.

    Raises
    ------
    HandlingError
        The network is no tree, or two figures share a doubt.

    References
    ----------
    .. [1] J. Pearl, "Probabilistic Reasoning in Intelligent Systems", Morgan Kaufmann, 1988, chapter 7:
       messages between Gaussian variables on a singly connected network (from memory; means and variances
       are compared with a dense inverse in the tests).
    """
    if not network.is_forest:
        raise HandlingError("something goes into more than one place: messages along a tree do not serve")
    if any(reading.shared for reading in readings):
        raise HandlingError("figures share the doubt of an instrument: messages along a tree do not serve")
    nodes = len(network.lines)
    places = by_node(readings, nodes)
    means = [float(reading.best) for reading in readings]
    own, sums, ups, downs = ([UNKNOWN] * nodes for _ in range(4))
    statistic, freedom = 0.0, 0
    for node in network.order:
        belief = UNKNOWN
        parts = [(means[p], readings[p].variance) for p in places[node]]
        for part in parts:
            statistic, freedom = _check(belief, part, statistic, freedom)
            belief = join(belief, part)
        own[node] = belief
        if network.lines[node]:
            sums[node] = _sum(network.lines[node], ups)
            statistic, freedom = _check(belief, sums[node], statistic, freedom)
            belief = join(belief, sums[node])
        ups[node] = belief
    for parent in reversed(network.order):
        if network.lines[parent]:
            _tell_children(network.lines[parent], join(own[parent], downs[parent]), ups, downs)
    gaps: list[tuple[float, float] | None] = [None] * len(readings)
    for node, here in enumerate(places):
        around = join(sums[node], downs[node])
        for place in here:
            others = around
            for other in here:
                if other != place:
                    others = join(others, (means[other], readings[other].variance))
            if math.isfinite(others[1]) and readings[place].variance > 0.0:
                gaps[place] = means[place] - others[0], readings[place].variance + others[1]
    beliefs = tuple(join(ups[node], downs[node]) for node in range(nodes))
    return AdjustedMasses(beliefs, tuple(gaps), statistic, freedom)


def _check(one: Belief, other: Belief, statistic: float, freedom: int) -> tuple[float, int]:
    """Count one more check where two sides both say something: the square of their gap over its variance."""
    variance = one[1] + other[1]
    if math.isinf(variance) or variance == 0.0:
        return statistic, freedom
    return statistic + (one[0] - other[0]) ** 2 / variance, freedom + 1


def _sum(lines: Lines, ups: Sequence[Belief]) -> Belief:
    mean = variance = 0.0
    for child, quantity in lines:
        count = float(quantity)
        mean += count * ups[child][0]
        variance += count * count * ups[child][1]
    return (mean, variance) if math.isfinite(variance) else UNKNOWN


def _tell_children(lines: Lines, whole: Belief, ups: Sequence[Belief], downs: list[Belief]) -> None:
    """What the whole less the other children says about each: sums from both ends, nothing subtracted."""
    if math.isinf(whole[1]):
        return
    after: list[Belief] = [(0.0, 0.0)]
    for child, quantity in reversed(lines):
        after.append(_add(after[-1], ups[child], float(quantity)))
    before: Belief = (0.0, 0.0)
    for place, (child, quantity) in enumerate(lines):
        count = float(quantity)
        rest = after[len(lines) - 1 - place]
        variance = whole[1] + before[1] + rest[1]
        if math.isfinite(variance):
            downs[child] = (whole[0] - before[0] - rest[0]) / count, variance / count**2
        before = _add(before, ups[child], count)


def _add(total: Belief, part: Belief, count: float) -> Belief:
    return total[0] + count * part[0], total[1] + count * count * part[1]
