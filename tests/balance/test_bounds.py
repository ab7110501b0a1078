"""Bounds of every node: hand-worked cases, soundness and exactness on random sums, contradictions."""

from __future__ import annotations

import math
import random
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.balance.bounds import ANYTHING, bounds, down, inferred_nodes, up
from handling_db.balance.equations import by_node, network
from handling_db.errors import HandlingError
from tests.networks import figure, random_figures, random_network, true_masses

F = Fraction
UNIT = network(["unit", "half", "pump", "case", "pin"], [[(1, 1), (2, 1)], [(3, 1), (4, 5)], [], [], []])


def near(span, low, high):
    return span == pytest.approx((low, high), rel=1e-12)


def test_up_a_tree_and_down_again():
    figures = [figure(3, F(100), F(1)), figure(4, F(2), F(1, 10)), figure(0, F(150), F(2))]
    found = bounds(UNIT, figures)
    unit, half, pump, case, pin = found.nodes

    assert found.exact
    assert near((half.low, half.high), 108.5, 111.5)
    assert near((pump.low, pump.high), 36.5, 43.5)
    assert pump.inferred
    assert pump.own is None
    assert near(pump.around, 36.5, 43.5)
    assert near((unit.low, unit.high), 148, 152)
    assert (case.inferred, pin.inferred, unit.inferred) == (False, False, False)
    assert list(inferred_nodes(found)) == [2]


def test_a_whole_narrows_its_parts():
    """99 to 101 and five times 1.9 to 2.1: a half of 111 to 112 leaves no case under 100.5."""
    figures = [figure(3, F(100), F(1)), figure(4, F(2), F(1, 10)), figure(1, F("111.5"), F(1, 2))]
    case, pin = bounds(UNIT, figures).nodes[3:]

    assert near((case.low, case.high), 100.5, 101)
    assert near((pin.low, pin.high), 2.0, 2.1)
    assert not case.inferred


def test_nothing_read_gives_nothing():
    found = bounds(UNIT, [])

    assert all((b.low, b.high) == ANYTHING and not b.inferred and b.around is None for b in found.nodes)


def test_two_unknown_parts_get_an_upper_limit_each():
    found = bounds(UNIT, [figure(1, F(50), F(1))])
    case, pin = found.nodes[3:]

    assert case.low == 0
    assert near((0, case.high), 0, 51)
    assert near((0, pin.high), 0, 51 / 5)
    assert case.inferred
    assert pin.inferred


def test_figures_of_one_node_that_contradict_are_all_kept():
    figures = [figure(2, F(40), F(1), "new"), figure(2, F(45), F(1), "old")]
    pump = bounds(UNIT, figures).nodes[2]

    assert near((pump.low, pump.high), 39, 46)
    assert pump.contradicts == ("figures of pump: new, old",)


def test_a_whole_that_contradicts_its_parts_tells_them_nothing():
    figures = [figure(3, F(100), F(1)), figure(4, F(2), F(1, 10)), figure(1, F(130), F(2))]
    found = bounds(UNIT, figures)

    assert near((found.nodes[1].low, found.nodes[1].high), 108.5, 132)
    assert near((found.nodes[3].low, found.nodes[3].high), 99, 101)
    assert found.nodes[1].contradicts == (
        "the sum of its parts (108.5 to 111.5 kg) and its own figure (128 to 132 kg)",
    )
    assert not found.exact


def test_a_part_too_heavy_for_its_whole_is_found_at_the_whole():
    found = bounds(UNIT, [figure(2, F(40), F(1)), figure(0, F(30), F(1))])

    assert found.nodes[0].contradicts[0].startswith("the sum of its parts (39 to inf kg)")


def test_intervals_that_touch_do_not_contradict():
    """103 + 5 x 2.1 is 113.5, the low end of the whole: rounding must not open a gap."""
    figures = [figure(3, F(100), F(3)), figure(4, F(2), F(1, 10)), figure(1, F("113.6"), F(1, 10))]

    assert bounds(UNIT, figures).nodes[1].contradicts == ()


@given(st.fractions(min_value=0, max_value=10**6))
def test_floats_enclose_the_exact_value(value):
    assert Fraction(down(value)) <= value <= Fraction(up(value))
    assert math.nextafter(down(value), math.inf) >= up(value)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.booleans())
def test_the_truth_is_never_outside(seed, shared):
    rnd = random.Random(seed)
    net = random_network(rnd, rnd.randrange(2, 25), shared=5 if shared else 0)
    true = true_masses(rnd, net)
    found = bounds(net, random_figures(rnd, net, true))

    for bound, mass in zip(found.nodes, true, strict=True):
        assert bound.contradicts == ()
        assert Fraction(bound.low) <= mass
        assert math.isinf(bound.high) or mass <= Fraction(bound.high)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_the_bounds_of_a_tree_are_reached(seed):
    """Exact: for each limit there are masses that keep all sums and figures and reach it."""
    rnd = random.Random(seed)
    net = random_network(rnd, rnd.randrange(2, 15))
    true = true_masses(rnd, net)
    figures = random_figures(rnd, net, true)
    found = bounds(net, figures)
    for node in rnd.sample(range(len(net.lines)), 2):
        for limit in (found.nodes[node].low, found.nodes[node].high):
            if math.isfinite(limit):
                again = bounds(net, [*figures, figure(node, Fraction(limit), Fraction(1, 10**6))])
                assert not any(bound.contradicts for bound in again.nodes)


def test_a_shared_part_is_outer_and_sound():
    """Two wholes over one part: the sweeps say so and stay on the wide side."""
    net = network(["a", "b", "x", "y"], [[(2, 1), (3, 1)], [(2, 1), (3, 2)], [], []])
    found = bounds(net, [figure(0, F(10), F(1, 10)), figure(1, F(15), F(1, 10))])

    assert not found.exact
    assert found.nodes[2].low <= 5 <= found.nodes[2].high
    assert found.nodes[3].low <= 5 <= found.nodes[3].high


def test_a_network_puts_lines_together_and_refuses_circles():
    net = network(["a", "b"], [[(1, 2), (1, 3)], []])

    assert net.lines[0] == ((1, 5),)
    assert net.is_forest
    assert by_node([figure(1, F(1), F(1))], 2) == [[], [0]]
    with pytest.raises(HandlingError, match="something contains itself"):
        network(["a", "b"], [[(1, 1)], [(0, 1)]])
    with pytest.raises(HandlingError, match="quantity 0"):
        network(["a", "b"], [[(1, 0)], []])
