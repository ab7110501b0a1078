"""Reconciliation: hand-worked sums, tree and matrix solution against each other, who is named."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.balance import reconcile_graph
from handling_db.balance.equations import network
from handling_db.balance.reconcile import reconcile
from handling_db.balance.reconcile_graph import solve_graph
from handling_db.balance.reconcile_tree import solve_tree
from handling_db.balance.solution import UNKNOWN, join
from handling_db.errors import HandlingError
from tests.networks import figure, random_figures, random_network, true_masses

F = Fraction
PAIR = network(["whole", "a", "b"], [[(1, 1), (2, 1)], [], []])


def read(values, u):
    return [figure(node, F(value), F(3 * u), u=u) for node, value in enumerate(values) if value is not None]


def test_one_sum_by_hand():
    """Whole 31, parts 10 and 20, all u 1: the gap of 1 is shared out by thirds."""
    found = reconcile(PAIR, read([31, 10, 20], 1.0))

    assert [e.best for e in found.estimates] == pytest.approx([31 - 1 / 3, 10 + 1 / 3, 20 + 1 / 3])
    assert [e.u for e in found.estimates] == pytest.approx([math.sqrt(2 / 3)] * 3)
    assert found.freedom == 1
    assert found.statistic == pytest.approx(1 / 3)
    assert found.figures[0].others == pytest.approx((30.0, math.sqrt(2)))
    assert found.figures[0].normalised == pytest.approx(1 / math.sqrt(3))
    assert not found.beyond
    assert found.tree


def test_on_a_single_sum_nobody_can_be_told_apart():
    found = reconcile(PAIR, read([50, 10, 20], 1.0))

    assert found.beyond
    assert found.suspects == ("f0", "f1", "f2")


def test_a_second_figure_tells_who():
    figures = [*read([50, 10, 20], 1.0), figure(0, F(30), F(3), "second", u=1.0)]
    found = reconcile(PAIR, figures)

    assert found.freedom == 2
    assert found.suspects == ("f0",)


def test_an_unweighed_part_takes_up_the_gap():
    found = reconcile(PAIR, read([31, 10, None], 1.0))

    assert found.estimates[2].best == pytest.approx(21)
    assert found.estimates[2].u == pytest.approx(math.sqrt(2))
    assert (found.freedom, found.limit, found.beyond) == (0, 0.0, False)
    assert [f.normalised for f in found.figures] == [None, None]
    assert found.suspects == ()


def test_what_the_figures_do_not_determine_stays_unknown():
    found = reconcile(PAIR, read([31, None, None], 1.0))

    assert [e.best for e in found.estimates] == [31, None, None]


def test_pieces_count():
    net = network(["whole", "pin"], [[(1, 5)], []])
    found = reconcile(net, [figure(0, F(11), F(1), u=1.0), figure(1, F(2), F(1), u=0.2)])

    assert [e.best for e in found.estimates] == pytest.approx([10.5, 2.1])


def test_exact_nothing_stays_nothing():
    """Dry oil weighs exactly nothing, is not adjusted and is never a suspect."""
    figures = [*read([31, 10, None], 1.0), figure(2, F(0), F(0), "oil")]
    found = reconcile(PAIR, figures)

    assert [solve_graph(PAIR, figures).gaps[2], solve_tree(PAIR, figures).gaps[2]] == [None, None]
    assert found.estimates[2].best == 0
    assert found.estimates[2].u == 0
    assert found.estimates[1].best == pytest.approx(20.5)
    assert found.figures[2].normalised is None
    assert found.suspects == ("f0", "f1")


def test_joined_beliefs():
    assert join(UNKNOWN, (3.0, 1.0)) == (3.0, 1.0)
    assert join((3.0, 1.0), UNKNOWN) == (3.0, 1.0)
    assert join((2.0, 1.0), (4.0, 1.0)) == (3.0, 0.5)
    assert join((2.0, 0.0), (4.0, 1.0)) == (2.0, 0.0)


@settings(max_examples=24, deadline=None)
@given(st.integers(0, 10**6))
def test_messages_and_matrices_agree(seed):
    rnd = random.Random(seed)
    net = random_network(rnd, rnd.randrange(2, 40))
    figures = random_figures(rnd, net, true_masses(rnd, net), leaves=0.8, wholes=0.5)
    one, other = solve_tree(net, figures), solve_graph(net, figures)

    assert one.freedom == other.freedom
    assert one.statistic == pytest.approx(other.statistic, rel=1e-8, abs=1e-9)
    for (mean, variance), (mean2, variance2) in zip(one.nodes, other.nodes, strict=True):
        assert math.isinf(variance) == math.isinf(variance2)
        if math.isfinite(variance):
            assert abs(mean - mean2) <= 1e-9 * math.sqrt(variance) + 1e-12
            assert variance == pytest.approx(variance2, rel=1e-8)
    for gap, gap2 in zip(one.gaps, other.gaps, strict=True):
        assert (gap is None) == (gap2 is None)
        if gap is not None:
            assert gap == pytest.approx(gap2, rel=1e-7, abs=1e-8)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.booleans())
def test_every_sum_holds_afterwards(seed, shared):
    rnd = random.Random(seed)
    net = random_network(rnd, 20, shared=4 if shared else 0)
    found = reconcile(net, random_figures(rnd, net, true_masses(rnd, net)))

    for estimate, lines in zip(found.estimates, net.lines, strict=True):
        parts = [found.estimates[child].best for child, _ in lines]
        if lines and estimate.best is not None and None not in parts:
            total = math.fsum(float(q) * p for (_, q), p in zip(lines, parts, strict=True))
            assert estimate.best == pytest.approx(total, rel=1e-10)


def test_figures_on_one_scale_share_its_error():
    """Two parts and their sum, all on one scale: an error of the scale cannot be seen in the gap alone."""
    shared = {"scale": F(1)}
    figures = [replace(r, shared=shared) for r in read([31, 10, 20], 0.1)]
    found = reconcile(PAIR, figures)

    # the gap of whole less parts takes the scale's error once: variance 3 x 0.01 + 1/3
    assert not found.tree
    assert found.statistic == pytest.approx(1 / (0.03 + 1 / 3))
    assert found.figures[0].normalised == pytest.approx(1 / math.sqrt(0.03 + 1 / 3))


def test_a_large_shared_graph_is_refused(monkeypatch):
    monkeypatch.setattr(reconcile_graph, "MOST_LINES", 3)
    net = network(["a", "b", "x", "y"], [[(2, 1), (3, 1)], [(2, 1), (3, 2)], [], []])
    with pytest.raises(HandlingError, match=r"4 lines in a graph with shared parts .* ask about a smaller"):
        reconcile(net, [])


def test_too_many_checks_are_refused(monkeypatch):
    monkeypatch.setattr(reconcile_graph, "MOST_CHECKS", 0)
    with pytest.raises(HandlingError, match="1 figures check one another: up to 0"):
        solve_graph(PAIR, read([31, 10, 20], 1.0))


def test_refusals():
    shared = network(["a", "b", "x"], [[(2, 1)], [(2, 1)], []])
    with pytest.raises(HandlingError, match="goes into more than one place"):
        solve_tree(shared, [])
    with pytest.raises(HandlingError, match="share the doubt of an instrument"):
        solve_tree(PAIR, [replace(read([31], 1.0)[0], shared={"scale": F(1)})])
    with pytest.raises(HandlingError, match=r"write 0\.0001 to 0\.5"):
        reconcile(PAIR, [], significance=0.9)
    with pytest.raises(HandlingError, match="without any doubt"):
        solve_graph(PAIR, [figure(i, F(v), F(0)) for i, v in enumerate((31, 10, 20))])
