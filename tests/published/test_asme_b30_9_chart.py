"""Sling angle chart and alloy chain tables of the ASME B30.9 kind.

Source: sling and chain suppliers' charts, which say that they follow ASME B30.9 "Slings"; the standard itself
was not read.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.leg_rules import FlatLegError, angle_factor

# Verified: secondary, supplier chart. Printed: degrees from the horizontal, capacity factor, tension factor.
CHART = [
    (90, 1.000, 1.000),
    (85, 0.996, 1.004),
    (80, 0.985, 1.015),
    (75, 0.966, 1.035),
    (70, 0.940, 1.064),
    (65, 0.906, 1.104),  # exact 1.103
    (60, 0.866, 1.155),
    (55, 0.819, 1.221),
    (50, 0.766, 1.305),
    (45, 0.707, 1.414),
    (40, 0.643, 1.555),  # exact 1.556
    (35, 0.574, 1.742),  # exact 1.743
    (30, 0.500, 2.000),
]


@pytest.mark.parametrize(("degrees", "capacity", "tension"), CHART)
def test_the_chart_of_angle_factors(degrees, capacity, tension):
    found = angle_factor(math.radians(degrees))

    assert found == pytest.approx(tension, abs=0.0015)
    assert 1.0 / found == pytest.approx(capacity, abs=0.0015)


# Verified: secondary, a restatement of OSHA guidance on ASME B30.9.
@pytest.mark.parametrize("degrees", [29.9, 20.0, 5.0])
def test_under_thirty_degrees_is_refused_unless_somebody_says_so(degrees):
    with pytest.raises(FlatLegError, match="under 30°, where slings are not used unless the sling maker"):
        angle_factor(math.radians(degrees))

    assert angle_factor(math.radians(degrees), flat_angle_stated_by="sling maker") > 2.0


# Verified: secondary, chain supplier table. lb: one leg; two legs at 60, 45, 30; three or four legs at 60,
# 45, 30.
CHAIN = [
    ("9/32", 100, 4300, (7400, 6100, 4300), (11200, 9100, 6400)),
    ("3/8", 100, 8800, (15200, 12400, 8800), (22900, 18700, 13200)),
    ("1/2", 100, 15000, (26000, 21200, 15000), (39000, 31800, 22500)),
    ("5/8", 100, 22600, (39100, 32000, 22600), (58700, 47900, 33900)),
    ("9/32", 80, 3500, (6100, 4900, 3500), (9100, 7400, 5200)),
    ("3/8", 80, 7100, (12300, 10000, 7100), (18400, 15100, 10600)),
    ("1/2", 80, 12000, (20800, 17000, 12000), (31200, 25500, 18000)),
    ("5/8", 80, 18100, (31300, 25600, 18100), (47000, 38400, 27100)),
    ("3/4", 80, 28300, (49000, 40000, 28300), (73500, 60000, 42400)),
]


@pytest.mark.parametrize(("size", "grade", "single", "double", "triple"), CHAIN)
def test_alloy_chain_tables_are_two_and_three_times_the_sine(size, grade, single, double, triple, factors):
    rule = factors.rule("chain-tables-quad-as-triple")
    for degrees, two, three in zip((60, 45, 30), double, triple, strict=True):
        lean = math.radians(90 - degrees)
        assert single * rule.multiplier(2, lean) == pytest.approx(two, abs=100)
        assert single * rule.multiplier(3, lean) == pytest.approx(three, abs=100)
        assert rule.multiplier(4, lean) == rule.multiplier(3, lean)
        assert three / two == pytest.approx(1.5, abs=0.04)


# Verified: secondary, two suppliers agree up to 900 F. Loss of rating while hot, percent.
@pytest.mark.parametrize(
    ("grade", "losses"),
    [("80", (10, 15, 20, 30, 40, 50, 60)), ("100", (15, 25, 30, 40, 50, 60, 70))],
)
def test_alloy_chain_while_hot(grade, losses, factors):
    rule = factors.heat(f"alloy-chain-{grade}")

    for fahrenheit, loss in zip((400, 500, 600, 700, 800, 900, 1000), losses, strict=True):
        assert rule.factor(fahrenheit) == pytest.approx(1 - loss / 100)
    assert rule.factor(1001) is None
    assert rule.factor(450) == rule.factor(500)
