"""What several figures share: one list's bias, one density, pieces of one part number; against numpy."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import linprog

from handling_db.balance.measurements import gather
from handling_db.balance.reconcile import reconcile
from handling_db.balance.together.reach import AllEvidence
from handling_db.weights.compare import Judge
from handling_db.weights.witness import witnesses
from tests.from_text import collection, reading

TEXT = """
- {source: list, name: a list, kind: supplier's list, all off alike: ALIKE}
- {source: floor, name: floor scale, kind: weighed, instrument: {name: floor scale, step: 0.1 kg}}
- component: unit
  name: unit
  kind: assembly
  parts listed: all
  parts: [{component: one, quantity: 1}, {component: two, quantity: 2}, {component: three, quantity: 1}]
  masses: [{printed: 104 kg, plus or minus: 0.5 kg, counts: as listed, without: none, checked by: me, source: floor}]
- {component: one, name: one, kind: part, masses: [{printed: 40 kg, plus or minus: 5 %, source: list}]}
- {component: two, name: two, kind: part, masses: [{printed: 20 kg, plus or minus: 5 %, source: list}]}
- {component: three, name: three, kind: part, masses: [{printed: 21 kg, plus or minus: 1 kg, source: floor}]}
"""


def judge(alike="4 %"):
    return Judge(collection(TEXT.replace("ALIKE", alike)))


def test_what_a_list_may_be_off_alike_adds_directly():
    found = judge()
    total = found.totals("dry").sum_of(found.tree.start["unit", ()]).mass
    own = [0.01 * 40, 0.01 * 40, 1.0]  # what is left of the 5 %, twice the second; the weighed one
    assert total.u == pytest.approx(math.hypot(0.04 * 80, *own) / math.sqrt(3))
    # the worst case is as it was: what is shared is a part of the doubt of each
    assert total.half_width_worst == Fraction("0.05") * 80 + 1


def test_it_is_never_more_than_a_stated_doubt_and_widens_one_that_nobody_stated():
    text = TEXT.replace("ALIKE", "30 %").replace("printed: 40 kg, plus or minus: 5 %", "printed: 40 kg")
    found = collection(text)
    (one,) = witnesses(found, found.components["one"])
    assert (one.mass.half_width_worst, one.doubt_from) == (12, "all of its source alike")
    (two,) = witnesses(found, found.components["two"])
    assert dict(two.mass.shared) == {"list, all alike": 1}


def test_all_figures_adjusted_together_know_what_they_share():
    """Generalised least squares by numpy: covariances of the list's parts, one sum as a constraint."""
    gathered = gather(judge().totals("dry"))
    found = reconcile(gathered.network, gathered.readings)
    half = {"one": 0.4, "two": 0.2, "three": 1.0, "unit": 0.5}
    names = ["one", "two", "three", "unit"]
    cov = np.diag([half[name] ** 2 / 3 for name in names])
    bias = np.array([0.04 * 40, 0.04 * 20, 0.0, 0.0])
    cov += np.outer(bias, bias) / 3
    read, sums = np.array([40.0, 20.0, 21.0, 104.0]), np.array([[1.0, 2.0, 1.0, -1.0]])
    adjusted = read - cov @ sums.T @ np.linalg.inv(sums @ cov @ sums.T) @ (sums @ read)
    ours = {gathered.network.names[one.reading.node]: one.adjusted for one in found.figures}
    assert [ours[name] for name in names] == pytest.approx(adjusted.tolist())
    assert not found.tree


def test_a_bias_that_nothing_shares_leaves_a_tree():
    text = TEXT.replace("ALIKE", "4 %").replace("printed: 20 kg, plus or minus: 5 %, source: list",
                                                "printed: 20 kg, plus or minus: 1 kg, source: floor")  # fmt: skip
    gathered = gather(Judge(collection(text)).totals("dry"))
    assert reconcile(gathered.network, gathered.readings).tree
    (one,) = [r for r in gathered.readings if gathered.network.names[r.node] == "one"]
    assert (one.shared, one.variance) == ({}, pytest.approx((0.4**2 + 1.6**2) / 3))


def test_limits_use_it():
    """Against linear programming: x and y with one bias b and errors e, f of their own; x + 2 y is 81.5 to 84.5."""
    body = AllEvidence(judge().collection)
    reach = body.of(("one", ()), "dry")
    cost = np.array([1.6, 0.4, 0.0])  # x = 40 + 1.6 b + 0.4 e, y = 20 + 0.8 b + 0.2 f
    rows = np.array([[3.2, 0.4, 0.4], [-3.2, -0.4, -0.4]])
    ends = [
        sign * linprog(sign * cost, A_ub=rows, b_ub=[4.5, -1.5], bounds=[(-1, 1)] * 3).fun for sign in (1, -1)
    ]
    assert [float(reach.low), float(reach.high)] == pytest.approx([40 + end for end in ends], abs=1e-6)


def test_shapes_of_one_density_are_off_alike():
    text = """
    - {material: iron, name: iron, lowest: 7000 kg/m3, highest: 7400 kg/m3, basis: a book}
    - {source: shape, name: worked out, kind: from shape casting}
    - {component: box, name: box, kind: assembly, parts listed: all, parts: [PARTS]}
    """.replace("from shape casting", "'from shape, casting'").replace(
        "PARTS", ", ".join(f"{{component: p{i}, quantity: 1}}" for i in range(3))
    )
    shape = "shape: {box: {length: 0.1 m, width: 0.1 m, height: 0.1 m}, density: iron}, made: machined"
    parts = "".join(
        f"- {{component: p{i}, name: p{i}, kind: part, masses: [{{{shape}, source: shape}}]}}\n"
        for i in range(3)
    )
    import textwrap

    found = collection(textwrap.dedent(text) + parts)
    (one,) = witnesses(found, found.components["p0"])
    assert dict(one.mass.shared) == {"density of iron": pytest.approx(7.2 * 200 / 7200)}
    total = Judge(found).totals("dry").sum_of(Judge(found).tree.start["box", ()]).mass
    assert total.shared["density of iron"] == 3 * one.mass.shared["density of iron"]


def test_pieces_of_one_part_scatter():
    """Four weighed together, six used: two that were not among them scatter by as much as they may."""
    text = (
        TEXT.replace("ALIKE", "1 %")
        .replace("two, quantity: 2", "two, quantity: 6")
        .replace(
            "printed: 20 kg, plus or minus: 5 %, source: list",
            "printed: 80 kg, plus or minus: 2 kg, pieces: 4, scatter: 0.6 kg, source: floor",
        )
    )
    found = Judge(collection(text))
    (two,) = [r for r in gather(found.totals("dry")).readings if r.says.startswith("two")]
    assert two.variance == pytest.approx((0.5**2 + (2 * 0.6 / 6) ** 2) / 3)


def test_a_share_that_is_no_share_is_refused():
    found = reading(TEXT.replace("ALIKE", "much")).findings
    assert ["all off alike" in one.field for one in found] == [True]
    assert "much" in found[0].sentence
