"""Reconciliation of flow networks: published data through the program's sums.

A flow that splits is a whole with its branches as parts; a flow that goes on unchanged is a whole with one
part; and a flow that joins again makes the graph a shared one.

.. [1] Six flows, weighted: the unit-test fixture of a public repository, which says that its data are those
   of a 2003 university module on data reconciliation. Verified: inputs and answers read in that fixture
   (tolerance 1e-10); the statistic was computed here by two methods.
.. [2] S. Narasimhan, C. Jordache, "Data Reconciliation and Gross Error Detection", Gulf, 2000, chapter 1,
   heat exchanger with bypass. From memory; reproduced exactly by arithmetic.
.. [3] Published explanatory text on reconciling one balance: equal uncertainties move equally, only what is
   uncertain moves, the larger uncertainty moves more, uncertainty shrinks. Verified in words.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.balance.equations import Reading, network
from handling_db.balance.reconcile import reconcile

F1, F2, F3, F4, F5, F6 = range(6)
FLOWS = network(
    ["F1", "F2", "F3", "F4", "F5", "F6"],
    [[(F2, 1), (F3, 1)], [(F4, 1)], [(F5, 1)], [], [], [(F4, 1), (F5, 1)]],
)


def readings(values, variances):
    return [
        Reading(f"F{i + 1}", i, Fraction(value), Fraction(value), Fraction(value), float(variance))
        for i, (value, variance) in enumerate(zip(values, variances, strict=True))
    ]


SIX = readings(
    ["110.5", "60.8", "35.0", "68.9", "38.6", "101.4"],
    [0.6724, 0.2809, 0.2116, 0.5041, 0.2025, 1.44],
)


def test_six_flows_to_the_printed_digits():  # [1]
    found = reconcile(FLOWS, SIX)

    printed = [103.24010824868768, 65.41556048765828, 37.82454776102939]
    expected = [*printed, printed[1], printed[2], printed[0]]
    assert [e.best for e in found.estimates] == pytest.approx(expected, rel=0, abs=1e-10)
    assert [e.u for e in found.estimates[:3]] == pytest.approx([0.4187, 0.3695, 0.2984], rel=0, abs=5e-5)


def test_six_flows_are_flagged():  # [1]; limit of the chi-square table for 4 degrees of freedom, 95 %
    found = reconcile(FLOWS, SIX)

    assert found.freedom == 4
    assert found.statistic == pytest.approx(221.33, abs=0.005)
    assert found.limit == pytest.approx(9.488, abs=0.0005)
    assert found.beyond
    assert found.suspects
    assert not found.tree


def test_heat_exchanger_with_bypass():  # [2]
    found = reconcile(FLOWS, readings(["101.91", "64.45", "34.65", "64.20", "36.44", "98.88"], [1] * 6))

    assert [round(e.best, 2) for e in found.estimates] == [100.22, 64.50, 35.72, 64.50, 35.72, 100.22]
    assert found.statistic == pytest.approx(6.4075, abs=5e-5)
    assert not found.beyond
    assert found.suspects == ()


ONE = network(["in", "out"], [[(1, 1)], []])


@pytest.mark.parametrize(
    ("variances", "expected"),
    [((1.0, 1.0), (-1.0, 1.0)), ((1.0, 1e-12), (-2.0, 0.0)), ((3.0, 1.0), (-1.5, 0.5))],
    ids=["equal", "only one uncertain", "larger moves more"],
)
def test_one_balance(variances, expected):  # [3]
    found = reconcile(ONE, readings(["102", "100"], variances))

    assert [f.adjustment for f in found.figures] == pytest.approx(expected, abs=1e-9)
    assert all(e.u**2 <= v for e, v in zip(found.estimates, variances, strict=True))
