"""Worked examples on sling suppliers' pages and a rigging handbook's sample.

Verified: the pages were read; where a printed answer was not seen that is said beside it.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.leg_rules import angle_factor, equal_leg_tension
from handling_db.rigging.legs import carry, plumb_shares


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


def test_rating_needed_for_a_share():
    """1,200 lb on a sling 120 in long and 96 in high: factor 1.25, 1,500 lb. Verified."""
    assert equal_leg_tension(1200, 1, 120, 96) == pytest.approx(1500)


def test_plumb_legs_eight_and_two_feet_from_the_centre():
    """10,000 lb: 2,000 and 8,000 lb; the nearer point takes more. Verified; several others agree."""
    shares = plumb_shares({"1": (-8, 0, 0), "2": (2, 0, 0)}, (0, 0, 0))

    assert [10000 * shares[name][0] for name in "12"] == pytest.approx([2000, 8000])


def test_rigging_handbook_sample():
    """600 kg, 800 and 600 mm: 257 kg printed at point 1; 343 is the rest. Verified: the printed one."""
    shares = plumb_shares({"1": (-0.8, 0, 0), "2": (0.6, 0, 0)}, (0, 0, -0.2))

    assert 600 * shares["1"][0] == pytest.approx(257, abs=0.5)
    assert 600 * (shares["1"][0] + shares["2"][0]) == pytest.approx(600)


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
