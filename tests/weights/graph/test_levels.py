"""Totals level by level: the reference against a definition by paths, the arrays against the reference."""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.weights.graph.level_arrays import (
    _in_floats,
    add_up_arrays,
    array_heights,
    sort_by_level,
)
from handling_db.weights.graph.levels import (
    CYCLE,
    PartLines,
    add_up,
    heights,
    ring,
)


@st.composite
def graphs(draw, most=14):
    """Lines that point from a smaller to a larger number, so that there is no cycle; and figures."""
    count = draw(st.integers(1, most))
    pairs = [(i, j) for i in range(count) for j in range(i + 1, count)]
    lines = draw(st.lists(st.sampled_from(pairs), max_size=3 * count)) if pairs else []
    parent = [line[0] for line in lines]
    child = [line[1] for line in lines]
    quantity = draw(st.lists(st.sampled_from([1, 2, 3, 0.5, 7.25]), min_size=len(lines), max_size=len(lines)))
    best = draw(st.lists(st.floats(0.001, 1e4), min_size=count, max_size=count))
    half = draw(st.lists(st.floats(0, 1), min_size=count, max_size=count))
    known = draw(st.lists(st.sampled_from([True, True, True, False]), min_size=count, max_size=count))
    low = [b * (1 - h) for b, h in zip(best, half, strict=True)]
    high = [b * (1 + h) for b, h in zip(best, half, strict=True)]
    return parent, child, quantity, best, low, high, known


def exact(parent, child, quantity, best, low, high, known):
    return add_up(
        PartLines(parent, child, [Fraction(q) for q in quantity]),
        tuple([Fraction(v) for v in column] for column in (best, low, high)),
        known,
        Fraction(0),
    )


def by_definition(node, parent, child, quantity, figures, known):
    """One node by walking every path: its own figure, its parts' sum, or a whole in their place.

    A whole stands in only where the known parts do not outweigh it already. Best, low and high together.
    """
    own = tuple(Fraction(figure[node]) for figure in figures)
    lines = [line for line, over in enumerate(parent) if over == node]
    if not lines:
        return (own, True, False) if known[node] else ((Fraction(0),) * 3, False, False)
    total, complete = (Fraction(0),) * 3, True
    for line in lines:
        part, full, _ = by_definition(child[line], parent, child, quantity, figures, known)
        total = tuple(kept + Fraction(quantity[line]) * more for kept, more in zip(total, part, strict=True))
        complete = complete and full
    if not complete and known[node] and total[1] <= own[2]:
        return own, True, True
    return total, complete, False


@given(graphs(most=8))
def test_the_reference_is_the_definition(graph):
    parent, child, quantity, best, low, high, known = graph
    sums = exact(*graph)

    for node in range(len(best)):
        total, complete, whole = by_definition(node, parent, child, quantity, (best, low, high), known)
        found = (sums.best[node], sums.low[node], sums.high[node])
        assert (found, sums.complete[node], sums.whole[node]) == (total, complete, whole)


def arrays(graph):
    parent, child, quantity, best, low, high, known = graph
    levels = sort_by_level(
        len(best), np.array(parent, np.int32), np.array(child, np.int32), np.array(quantity, float)
    )
    return levels, [np.array(c, float) for c in (best, low, high)], np.array(known, bool)


@given(graphs())
@settings(max_examples=40)
def test_arrays_enclose_the_exact_sums_closely(graph):
    sums = exact(*graph)
    levels, figures, known = arrays(graph)
    for found in (
        add_up_arrays(levels, *figures, known),
        _in_floats(levels, figures, known),
    ):
        assert found.complete.tolist() == sums.complete
        assert found.known.tolist() == sums.known
        assert found.whole.tolist() == sums.whole
        for node in range(len(graph[3])):
            assert Fraction(float(found.low[node])) <= sums.low[node]
            assert Fraction(float(found.high[node])) >= sums.high[node]
            for got, wanted in (
                (found.low[node], sums.low[node]),
                (found.high[node], sums.high[node]),
                (found.best[node], sums.best[node]),
            ):
                assert abs(Fraction(float(got)) - wanted) <= Fraction(1, 10**12) * wanted


@given(graphs())
def test_both_ways_to_the_heights_agree(graph):
    parent, child, *_, known = graph
    plain = heights(len(known), parent, child)

    assert array_heights(len(known), np.array(parent, np.int32), np.array(child, np.int32)).tolist() == plain
    for over, under in zip(parent, child, strict=True):
        assert plain[over] > plain[under]


@given(graphs(), st.integers(0, 13), st.integers(0, 13))
def test_a_cycle_is_found_and_named(graph, one, other):
    parent, child, *_, known = graph
    count = len(known)
    one, other = one % count, other % count
    parent, child = [*parent, one, other], [*child, other, one]

    height = heights(count, parent, child)
    assert height[one] == CYCLE
    assert array_heights(count, np.array(parent, np.int32), np.array(child, np.int32)).tolist() == height
    walk = ring(parent, child, height)
    assert walk[0] == walk[-1]
    assert all(pair in set(zip(parent, child, strict=True)) for pair in itertools.pairwise(walk))
    with pytest.raises(ValueError, match="the graph has a cycle; nothing in or above it has a total"):
        sort_by_level(count, np.array(parent, np.int32), np.array(child, np.int32), np.ones(len(parent)))
    with pytest.raises(ValueError, match="the graph has a cycle; nothing in or above it has a total"):
        add_up(PartLines(parent, child, [1] * len(parent)), ([1] * count,) * 3, [True] * count, 0)


def test_no_cycle_no_ring():
    assert ring([0, 1], [1, 2], [2, 1, 0]) == []


def test_forty_levels_of_diamonds_cost_their_lines_not_their_paths():
    parent = [level for level in range(40) for _ in range(2)]
    child = [level + 1 for level in range(40) for _ in range(2)]
    known = [False] * 40 + [True]
    figures = [[0.0] * 40 + [value] for value in (1.5, 1.25, 2.0)]

    sums = exact(parent, child, [1] * 80, *figures, known)
    assert sums.best[0] == Fraction(3, 2) * 2**40
    levels, columns, there = arrays((parent, child, [1] * 80, *figures, known))
    assert float(add_up_arrays(levels, *columns, there).best[0]) == 1.5 * 2**40


@pytest.mark.slow
@pytest.mark.parametrize("depth", [20_000])
def test_a_chain_is_as_deep_as_it_likes(depth):
    """Each link weighs a tenth: too deep for floating point to keep twelve digits, so added up exactly."""
    parent, child = [*range(depth), *range(depth)], [*range(1, depth + 1), *[depth + 1] * depth]
    known = [False] * depth + [True, True]
    tenth = [0.0] * depth + [0.1, 0.1]

    sums = exact(parent, child, [1] * len(parent), tenth, tenth, tenth, known)
    levels, columns, there = arrays((parent, child, [1] * len(parent), tenth, tenth, tenth, known))
    found = add_up_arrays(levels, *columns, there)

    assert sums.best[0] == Fraction(0.1) * (depth + 1)
    assert int(levels.height[0]) == depth
    assert Fraction(float(found.low[0])) <= sums.low[0] <= Fraction(float(found.high[0]))
    assert float(found.high[0] - found.low[0]) <= 1e-12 * float(sums.best[0])


def test_a_very_long_list_keeps_twelve_digits():
    """Half a million parts in one assembly: the running sums of the array library are in pairs."""
    rng = np.random.default_rng(20_26)
    count = 500_001
    best = np.r_[0.0, rng.uniform(0.001, 1000.0, count - 1)]
    known = np.r_[False, np.ones(count - 1, bool)]
    levels = sort_by_level(
        count, np.zeros(count - 1, np.int32), np.arange(1, count, dtype=np.int32), np.full(count - 1, 3.0)
    )
    found = _in_floats(levels, (best, best, best), known)
    # each is a whole number of 2^-63, since none but the nothing is below 2^-10: as exact as fractions, and quick
    wanted = Fraction(3 * sum(map(int, (best * 2.0**63).tolist())), 2**63)

    assert Fraction(float(found.low[0])) <= wanted <= Fraction(float(found.high[0]))
    assert float(found.high[0] - found.low[0]) <= 1e-12 * float(wanted)
