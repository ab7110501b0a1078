"""Worked examples on sling suppliers' pages and a rigging handbook's sample.

Verified: the pages were read; where a printed answer was not seen that is said beside it.
"""

from __future__ import annotations

import math

import pytest

from handling_db.mechanics.turn.two_hooks import two_hooks
from handling_db.quantities.amount import Amount
from handling_db.rigging.leg_rules import angle_factor
from handling_db.rigging.legs import carry


# Verified: 577 and 707; the third by the formula of the page.
@pytest.mark.parametrize(("degrees", "printed"), [(60, 577), (45, 707), (30, 1000)])
def test_a_thousand_pounds_on_two_legs(degrees, printed):
    rise = math.tan(math.radians(degrees))
    case = carry({"a": (-1, 0, 0), "b": (1, 0, 0)}, (0, 0, rise), (0, 0, -0.1), 1000.0)

    assert [leg.tension_kg for leg in case.legs] == pytest.approx([printed] * 2, abs=0.5)


def test_rating_of_a_sling_at_an_angle():
    """8,000 lb straight; 84 in high, 96 in long: factor 0.875, 7,000 lb. Verified."""
    factor = 1 / angle_factor(math.asin(84 / 96))

    assert factor == pytest.approx(0.875)
    assert 8000 * factor == pytest.approx(7000)


@pytest.mark.parametrize(("steep", "flat"), [(0, 45), (10, 60), (30, 50)])
def test_two_legs_do_not_follow_the_guidance_that_the_flattest_carries_most(steep, flat):
    """Supplier guidance (read) says that the leg with the smallest angle from the horizontal carries most.

    Of two legs the level parts are alike, so the steeper one carries more; we follow statics.
    """
    across = [math.tan(math.radians(angle)) for angle in (steep, flat)]
    case = carry({"steep": (-across[0], 0, 0), "flat": (across[1], 0, 0)}, (0, 0, 1), (0, 0, -0.2), 100.0)

    assert case.legs[0].tension_kg > case.legs[1].tension_kg
    level = [leg.tension_kg * math.cos(leg.from_horizontal) for leg in case.legs]
    assert level[0] == pytest.approx(level[1], abs=1e-9)


def test_the_lower_pick_takes_more_than_the_level_formula_says():
    """Training note, secondary; 0027/ND 6.3.2 says to resolve at the point where the slings meet."""
    case = carry({"low": (-1, 0, -0.5), "high": (1, 0, 0.5)}, (0, 0, 2), (0, 0, -1))

    low, high = case.legs
    assert low.share_high == pytest.approx(
        2.5 / 4
    )  # heights 2.5 and 1.5 below the hook, level distances alike
    assert low.share_high > 0.5 > high.share_high


def test_trigonometric_rule(factors):
    """2, 3 and 3 times the cosine. Verified: secondary, note of a European supplier."""
    rule = factors.rule("trigonometric")
    lean = math.radians(40)

    assert [rule.multiplier(n, lean) / math.cos(lean) for n in (2, 3, 4)] == pytest.approx([2, 3, 3])


def test_rating_needed_for_a_share():
    """1,200 lb on each of two slings 120 in long and 96 in high: factor 1.25, 1,500 lb. Verified."""
    half = math.sqrt(120**2 - 96**2)
    case = carry({"a": (-half, 0.0, 0.0), "b": (half, 0.0, 0.0)}, (0.0, 0.0, 96.0), (0.0, 0.0, -1.0), 2400.0)
    assert [leg.tension_kg for leg in case.legs] == pytest.approx([1500.0, 1500.0])


@pytest.mark.parametrize(
    ("mass", "first", "second", "carried"),
    [
        (10000.0, 8.0, 2.0, 2000.0),  # 10,000 lb, 8 and 2 ft from the centre: verified; several others agree
        (600.0, 0.8, 0.6, 257.0),  # 600 kg, 800 and 600 mm: 257 kg printed at point 1, verified
    ],
)
def test_two_plumb_lines_share_by_the_distance_of_the_centre(mass, first, second, carried):
    found = two_hooks(Amount.exact(mass), (0.0, -0.2), (-first, 0.0), (second, 0.0))
    assert found.steps[0].head_kg == pytest.approx(carried, abs=0.5)
    assert found.steps[0].head_kg + found.steps[0].tail_kg == pytest.approx(mass)
