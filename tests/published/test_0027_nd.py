"""0027/ND, Guidelines for marine lifting operations, Rev 11 (2016).

Verified: pages 24, 27, and the formulas and inputs of B.1; the answers of B.1.2 and B.1.4 are our own
arithmetic, the printed ones were not seen. Rev 5: one-page extract, its columns as we read them.
"""

from __future__ import annotations

import math

import pytest

from handling_db.mechanics.body import Body
from handling_db.mechanics.turn.two_hooks import two_hooks
from handling_db.quantities.amount import Amount
from handling_db.rigging.crane import crane_figure

# Table 5-1, page 24. Gross tonnes, onshore, inshore, offshore.
TABLE = [
    (100, 1.05, 1.12, 1.25),
    (299, 1.05, 1.12, 1.25),
    (300, 1.05, 1.10, 1.20),
    (999, 1.05, 1.10, 1.20),
    (1000, 1.03, 1.08, 1.15),
    (2499, 1.03, 1.08, 1.15),
    (2501, 1.03, 1.05, 1.10),
]


@pytest.mark.parametrize(("tonnes", "onshore", "inshore", "offshore"), TABLE)
def test_dynamic_amplification(tonnes, onshore, inshore, offshore, factors):
    found = [
        factors.allowance(f"air-{place}-2016").factor(tonnes) for place in ("onshore", "inshore", "offshore")
    ]

    assert found == pytest.approx([onshore, inshore, offshore])


@pytest.mark.parametrize("tonnes", [3, 10, 50, 99.999])
def test_dynamic_amplification_up_to_a_hundred_tonnes(tonnes, factors):
    assert factors.allowance("air-onshore-2016").factor(tonnes) == pytest.approx(1.10)
    inshore = factors.allowance("air-inshore-2016").factor(tonnes)
    offshore = factors.allowance("air-offshore-2016").factor(tonnes)
    assert inshore == pytest.approx(1.07 + 0.05 * math.sqrt(100 / tonnes))
    assert offshore == pytest.approx(1 + 0.25 * math.sqrt(100 / tonnes))


def test_the_columns_meet_at_a_hundred_tonnes(factors):
    assert factors.allowance("air-inshore-2016").factor(99.9999) == pytest.approx(1.12, abs=1e-4)
    assert factors.allowance("air-offshore-2016").factor(99.9999) == pytest.approx(1.25, abs=1e-4)


def test_under_three_tonnes_three_are_assumed(factors):
    rule = factors.allowance("air-offshore-2016")

    assert rule.factor(0.4) == rule.factor(3)


def test_revision_five(factors):
    moving, offshore = factors.allowance("air-onshore-moving-rev-5"), factors.allowance("air-offshore-rev-5")

    assert moving.factor(50) == pytest.approx(1.15)
    assert 500 * moving.factor(500) == pytest.approx(115 + 1.094 * 400)
    assert offshore.factor(99) == pytest.approx(1.30)
    assert 999.999 * offshore.factor(999.999) == pytest.approx(1200, abs=0.05)


def test_an_allowance_is_off_unless_chosen(factors):
    load = {"load": Amount.exact(1000.0)}

    plain = crane_figure(load, 2000.0)
    chosen = crane_figure(load, 2000.0, allowance=factors.allowance("air-onshore-2016"), quantity=1.0)

    assert plain.gross.best == 1000.0
    assert [one.kind for one in plain.says] == ["no dynamic allowance"]
    assert chosen.gross.best == pytest.approx(1100.0)
    assert "Rev 11 (2016)" in str(chosen.says[0].facts["book"])


def test_skew_load_factor(factors):
    """5.6.12: 1.25 on each diagonal pair in turn with four slings; 1.0 where statics decides."""
    rule = factors.rule("skew-load-four-slings")

    assert 1 / rule.multiplier(4, 0.0) == pytest.approx(1.25 / 4)
    assert 1 / rule.multiplier(3, 0.0) == pytest.approx(1 / 3)


CRANE_1, CRANE_2 = (-12.0, 10.0), (13.0, 14.0)


@pytest.mark.parametrize(("head", "tail", "share"), [(CRANE_1, CRANE_2, 0.5821), (CRANE_2, CRANE_1, 0.5432)])
def test_each_of_two_cranes_at_three_degrees_with_its_worst_centre(head, tail, share):
    """B.1.2: L 25, 12 and 13 across, 10 and 14 above, 0.9 and 0.8 of doubt: the crane that pulls up."""
    doubt = Body.of([(1.0, 1.0, 1.0)], [(0.0, 0.0, 0.0)], [(0.9, 0.0, 0.8)])
    three = math.radians(3.0)
    found = two_hooks(Amount.exact(1.0), (0.0, 0.0), head, tail, body=doubt, to_angle=three, step=three)

    assert found.steps[-1].head_kg == pytest.approx(share, abs=0.00005)
    level = two_hooks(Amount.exact(1.0), (0.0, 0.0), CRANE_1, CRANE_2)
    assert (level.steps[0].head_part, level.steps[0].tail_part) == pytest.approx((0.52, 0.48))
