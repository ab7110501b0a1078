"""A provincial crane-safety body's rigging practice and load chart quizzes.

Verified: inputs, formulas and printed answers read; 10,000 lb and the percentages are our own arithmetic.
"""

from __future__ import annotations

import math

import pytest

from handling_db.quantities.amount import Amount
from handling_db.rigging.crane import crane_figure, net_capacity
from handling_db.rigging.legs import carry


@pytest.mark.parametrize(("straight", "printed"), [(16627, 12470), (9900, 7425)])
def test_choker_on_a_bridle(straight, printed, factors):
    assert straight * factors.hitch("choker").factor == pytest.approx(printed, abs=0.5)


@pytest.mark.parametrize(
    ("capacity", "deductions", "taken", "net"),
    [
        (18300, {"block": 380, "ball": 338, "stowed extension": 930, "auxiliary head": 220}, 1868, 16432),
        (7000, {"ball": 560}, 560, 6440),
        (14450, {"block": 380, "ball": 338, "auxiliary head": 220, "extension": 1163}, 2101, 12349),
    ],
)
def test_net_capacity(capacity, deductions, taken, net):
    found = net_capacity(
        capacity,
        {name: Amount.exact(kg) for name, kg in deductions.items()},
        block="block",
        block_included=False,
    )

    assert capacity - found.net_kg == pytest.approx(taken)
    assert found.net_kg == pytest.approx(net)


@pytest.mark.parametrize(
    ("parts", "capacity", "gross", "percent"),
    [
        ({"block": 380, "extension": 930, "rigging": 225, "load": 10000}, 11700, 11535, 98.6),
        ({"ball": 338, "rigging": 150, "load": 7000}, 7600, 7488, 98.5),
    ],
)
def test_gross_load(parts, capacity, gross, percent):
    found = crane_figure({name: Amount.exact(kg) for name, kg in parts.items()}, capacity)

    assert found.gross.best == pytest.approx(gross)
    assert 100 * found.part == pytest.approx(percent, abs=0.05)
    assert found.over_capacity is False
    assert found.over_planning is True


def test_shackle_on_two_legs():
    """15,000 lb, legs 16 ft, height 12 ft: L W / 2 H; a 13,000 lb shackle is more."""
    half = math.sqrt(16**2 - 12**2)
    case = carry({"a": (-half, 0.0, 0.0), "b": (half, 0.0, 0.0)}, (0.0, 0.0, 12.0), (0.0, 0.0, -1.0), 15000.0)
    assert [leg.tension_kg for leg in case.legs] == pytest.approx([10000.0, 10000.0])
