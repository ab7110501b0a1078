"""Doubt against general libraries: propagation, least squares, linear programming, distributions, brute force.

.. [1] GTC, the GUM Tree Calculator: propagation with correlations.
.. [2] uncertainties: linear propagation.
.. [3] statsmodels: weighted least squares.
.. [4] scipy: HiGHS, chi-square and normal distributions.
"""

from __future__ import annotations

import importlib
import math
import random
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest

from handling_db.balance.combining import combine_weighings
from handling_db.balance.equations import network
from handling_db.balance.reconcile import normal_limit_outside, reconcile
from handling_db.balance.reconcile_tree import solve_tree
from handling_db.evidence.provenance import Provenance
from handling_db.quantities.mass import add_masses, within
from handling_db.weights.compare import Judge
from tests.from_text import collection
from tests.networks import figure, limits, random_figures, random_network, true_masses

np = importlib.import_module("numpy")
linprog = importlib.import_module("scipy.optimize").linprog
stats = importlib.import_module("scipy.stats")

F = Fraction


# Propagation


def scales(rnd):
    """Twelve weighings on three scales, each with its own doubt and its scale's."""
    shared = [F(rnd.randrange(1, 9), 10) for _ in range(3)]
    return [
        (F(rnd.randrange(10, 900)), rnd.randrange(3), F(rnd.randrange(1, 20), 10), rnd.randrange(1, 6))
        for _ in range(12)
    ], shared


@pytest.mark.parametrize("seed", range(5))
def test_a_sum_over_three_scales(seed):  # [1], [2]
    gtc = importlib.import_module("GTC")
    uncertainties = importlib.import_module("uncertainties")
    weighings, shared = scales(random.Random(seed))
    total = add_masses(
        within(best, own + shared[s], own + shared[s], shared={f"scale {s}": shared[s]}).times(F(n))
        for best, s, own, n in weighings
    )

    root = math.sqrt(3)
    errors = [gtc.ureal(0, float(half) / root) for half in shared]
    by_gtc = sum(n * (gtc.ureal(float(b), float(own) / root) + errors[s]) for b, s, own, n in weighings)
    errors = [uncertainties.ufloat(0, float(half) / root) for half in shared]
    by_other = sum(
        n * (uncertainties.ufloat(float(b), float(own) / root) + errors[s]) for b, s, own, n in weighings
    )

    assert float(total.best) == pytest.approx(by_gtc.x, rel=1e-14)
    assert total.u == pytest.approx(by_gtc.u, rel=1e-12)
    assert total.u == pytest.approx(by_other.std_dev, rel=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_a_difference_on_one_scale(seed):  # [1]
    gtc = importlib.import_module("GTC")
    rnd = random.Random(seed)
    half = [F(rnd.randrange(1, 9), 10) for _ in range(2)]
    root = math.sqrt(3)
    error = gtc.ureal(0, float(half[0]) / root)
    gross, tare = (gtc.ureal(kg, float(half[1]) / root) + error for kg in (500, 40))
    ours = [within(F(kg), sum(half), sum(half), shared={"scale": half[0]}) for kg in (500, 40)]

    assert (ours[0] - ours[1]).u == pytest.approx((gross - tare).u, rel=1e-12)


SCALES = """
- {source: floor, name: floor, kind: weighed, instrument: {name: floor, step: 0.5 kg, calibration doubt: 0.6 kg}}
- {source: cell, name: cell, kind: weighed, instrument: {name: cell, step: 1 kg, calibration doubt: 0.9 kg}}
- component: case
  name: case
  kind: part
  masses:
    - {id: a, printed: 100.0 kg, plus or minus: 1.0 kg, source: floor}
    - {id: b, printed: 100.4 kg, plus or minus: 0.8 kg, source: floor}
    - {id: c, printed: 101.0 kg, plus or minus: 2.0 kg, source: cell}
    - {id: d, printed: 100.6 kg, plus or minus: 1.4 kg, source: cell}
"""


def test_the_mean_of_weighings_is_generalised_least_squares():  # [3]
    sm = importlib.import_module("statsmodels.api")
    found = collection(SCALES)
    witnesses = Judge(found).totals("dry").witnesses_of("case")
    ours = combine_weighings(Provenance(found), witnesses)
    covariance = np.array(
        [
            [
                sum(float(h) * float(v.mass.shared.get(n, 0)) / 3 for n, h in w.mass.shared.items())
                + (w.mass.variance if w.id == v.id else 0)
                for v in witnesses
            ]
            for w in witnesses
        ]
    )
    y = np.array([float(w.mass.best) for w in witnesses])
    theirs = sm.GLS(y, np.ones((4, 1)), sigma=covariance).fit(cov_type="fixed scale")

    assert ours.best == pytest.approx(theirs.params[0], rel=1e-12)
    assert ours.u == pytest.approx(theirs.bse[0], rel=1e-10)


# Distributions


@pytest.mark.parametrize("within_share", [0.001, 0.5, 0.95, 0.999999])
def test_normal(within_share):  # [4]
    assert normal_limit_outside(1 - within_share) == pytest.approx(
        stats.norm.ppf((1 + within_share) / 2), rel=1e-9
    )


# Least squares


def leaf_rows(net):
    """Every node as a sum over leaves."""
    leaves = [node for node in net.order if not net.lines[node]]
    rows = np.zeros((len(net.lines), len(leaves)))
    for node in net.order:
        if not net.lines[node]:
            rows[node, leaves.index(node)] = 1
        for child, q in net.lines[node]:
            rows[node] += float(q) * rows[child]
    return rows


@pytest.mark.parametrize("shared", [0, 6])
@pytest.mark.parametrize("seed", range(8))
def test_reconciliation_is_weighted_least_squares(seed, shared):  # [3]
    sm = importlib.import_module("statsmodels.api")
    rnd = random.Random(seed)
    net = random_network(rnd, 30, shared=shared)
    figures = random_figures(rnd, net, true_masses(rnd, net), leaves=1.0, wholes=0.6)
    ours = reconcile(net, figures)
    rows = leaf_rows(net)
    a = rows[[f.node for f in figures]]
    y = np.array([float(f.best) for f in figures])
    weights = np.array([1 / f.variance for f in figures])
    theirs = sm.WLS(y, a, weights=weights).fit(cov_type="fixed scale")
    covariance = np.linalg.inv(a.T @ (weights[:, None] * a))

    assert ours.tree is (shared == 0)
    assert [e.best for e in ours.estimates] == pytest.approx(rows @ theirs.params, rel=1e-9)
    u = np.sqrt(np.einsum("ij,jk,ik->i", rows, covariance, rows))
    assert [e.u for e in ours.estimates] == pytest.approx(u, rel=1e-7)
    assert ours.statistic == pytest.approx(float(weights @ (y - a @ theirs.params) ** 2), rel=1e-6, abs=1e-9)
    assert ours.freedom == len(figures) - a.shape[1]
    spread = np.array([f.variance for f in figures]) - np.einsum("ij,jk,ik->i", a, covariance, a)
    for one, moved, variance in zip(ours.figures, y - a @ theirs.params, spread, strict=True):
        if one.normalised is not None and variance > 1e-6 * one.reading.variance:
            assert one.normalised == pytest.approx(moved / math.sqrt(variance), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_shared_instruments_are_generalised_least_squares(seed):  # [3]
    sm = importlib.import_module("statsmodels.api")
    rnd = random.Random(seed)
    net = random_network(rnd, 20)
    figures = [
        replace(f, shared={f"scale {rnd.randrange(2)}": F(rnd.randrange(1, 30), 100)})
        for f in random_figures(rnd, net, true_masses(rnd, net), leaves=1.0, wholes=0.6)
    ]
    ours = reconcile(net, figures)
    rows = leaf_rows(net)
    a = rows[[f.node for f in figures]]
    y = np.array([float(f.best) for f in figures])
    names = sorted({n for f in figures for n in f.shared})
    h = np.array([[float(f.shared.get(n, 0)) / math.sqrt(3) for n in names] for f in figures])
    sigma = np.diag([f.variance for f in figures]) + h @ h.T
    theirs = sm.GLS(y, a, sigma=sigma).fit(cov_type="fixed scale")
    covariance = np.linalg.inv(a.T @ np.linalg.solve(sigma, a))
    residual = y - a @ theirs.params

    assert [e.best for e in ours.estimates] == pytest.approx(rows @ theirs.params, rel=1e-9)
    u = np.sqrt(np.einsum("ij,jk,ik->i", rows, covariance, rows))
    assert [e.u for e in ours.estimates] == pytest.approx(u, rel=1e-6)
    assert ours.statistic == pytest.approx(float(residual @ np.linalg.solve(sigma, residual)), rel=1e-6)


def test_message_variances_against_a_dense_inverse():
    """A tree of 300 nodes with unweighed leaves: the inverse of the information of what is determined."""
    rnd = random.Random(7)
    net = random_network(rnd, 300, fan=5)
    figures = random_figures(rnd, net, true_masses(rnd, net), leaves=1.0, wholes=0.5)
    rows = leaf_rows(net)
    a = rows[[f.node for f in figures]]
    covariance = np.linalg.inv(a.T @ (np.array([1 / f.variance for f in figures])[:, None] * a))
    expected = np.einsum("ij,jk,ik->i", rows, covariance, rows)

    assert [v for _, v in solve_tree(net, figures).nodes] == pytest.approx(expected, rel=1e-9)


def test_false_alarms_stay_near_the_stated_share():
    """2,000 sound sets of figures with normal errors: the global test errs at 5 %, the naming test at most."""
    rnd = random.Random(20)
    net = random_network(rnd, 25)
    true = true_masses(rnd, net)
    beyond = named = 0
    for _ in range(2000):
        figures = []
        for node in range(25):
            if not net.lines[node] or node % 2:
                u = float(true[node]) * 0.01
                figures.append(figure(node, F(rnd.gauss(float(true[node]), u)), F(1), u=u))
        found = reconcile(net, figures)
        beyond += found.beyond
        named += bool(found.suspects)

    assert 70 <= beyond <= 130
    assert named <= 130


# Bounds


def by_program(net, figures, node):
    """Least and most of one node by linear programming written here; infinite where nothing limits it."""
    spans = [(0.0, math.inf)] * len(net.lines)
    for one in figures:
        low, high = spans[one.node]
        spans[one.node] = max(low, float(one.low)), min(high, float(one.high))
    sums = np.zeros((len(net.lines), len(net.lines)))
    for whole, parts in enumerate(net.lines):
        for part, quantity in parts:
            sums[whole, whole] = -1.0
            sums[whole, part] += float(quantity)
    found = []
    for sign in (1.0, -1.0):
        cost = np.zeros(len(net.lines))
        cost[node] = sign
        solved = linprog(cost, A_eq=sums, b_eq=np.zeros(len(net.lines)), bounds=spans, method="highs")
        found.append(math.inf if solved.status == 3 else sign * solved.fun)
    return found


@pytest.mark.parametrize("shared", [0, 8])
@pytest.mark.parametrize("seed", range(5))
def test_limits_of_sums_are_those_of_linear_programming(seed, shared):  # [4]
    rnd = random.Random(seed)
    net = random_network(rnd, 25, shared=shared)
    figures = random_figures(rnd, net, true_masses(rnd, net), leaves=0.7, wholes=0.5)
    found = limits(net, figures)
    for node in range(0, 25, 2):
        low, high = by_program(net, figures, node)
        most = found.most(((node, F(1)),))
        assert float(found.least(((node, F(1)),)) or 0) == pytest.approx(low, rel=3e-6, abs=3e-6)
        assert (math.inf if most is None else float(most)) == pytest.approx(high, rel=3e-6, abs=3e-6)


def test_a_small_shared_graph_by_brute_force():
    """Two wholes over two parts: try every pair of a fine grid, keep what fits all figures."""
    net = network(["a", "b", "x", "y"], [[(2, 1), (3, 1)], [(2, 1), (3, 2)], [], []])
    figures = [figure(0, F(10), F(1)), figure(1, F(15), F(1)), figure(2, F(5), F(3))]
    grid = [F(i, 10) for i in range(121)]
    fitting = [
        x for x, y in product(grid, grid) if 9 <= x + y <= 11 and 14 <= x + 2 * y <= 16 and 2 <= x <= 8
    ]
    found = limits(net, figures)

    assert float(found.least(((2, F(1)),))) == pytest.approx(float(min(fitting)), abs=0.01)
    assert float(found.most(((2, F(1)),))) == pytest.approx(float(max(fitting)), abs=0.01)
