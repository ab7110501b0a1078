"""Rigging page of a university's maritime training course: two unequal legs. Verified: page read.

The printed inputs are impossible as geometry: 4 ft and 14 ft legs do not fit 2 ft and 10 ft across with 3 ft
of height.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.leg_rules import length_faults, two_unequal_legs
from handling_db.rigging.legs import carry


def test_the_formula_gives_the_printed_tensions_and_says_that_the_lengths_cannot_be():
    found = two_unequal_legs(4000, 2, 10, 4, 14, 3)

    assert found.tension_1 == pytest.approx(4444.44, abs=0.005)
    assert found.tension_2 == pytest.approx(3111.11, abs=0.005)
    assert found.impossible == (
        "leg 1 is given as 4, but 2 across and 3 high need 3.606: these measures cannot all be right. "
        "Measure again.",
        "leg 2 is given as 14, but 10 across and 3 high need 10.440: these measures cannot all be right. "
        "Measure again.",
    )


def test_consistent_lengths_by_formula_and_by_statics():
    """4,006.2 and 2,320.1 are our own arithmetic, not printed."""
    found = two_unequal_legs(4000, 2, 10, math.hypot(2, 3), math.hypot(10, 3), 3)
    case = carry(
        {"1": (-2, 0, 0), "2": (10, 0, 0)}, (0, 0, 3), (0, 0, -1), 4000.0, flat_angle_stated_by="the example"
    )

    assert found.impossible == ()
    assert (found.tension_1, found.tension_2) == pytest.approx((4006.2, 2320.1), abs=0.05)
    assert [leg.tension_kg for leg in case.legs] == pytest.approx([found.tension_1, found.tension_2])


def test_the_same_lengths_are_flagged_by_their_places():
    faults = length_faults({"1": (-2, 0, 0), "2": (10, 0, 0)}, (0, 0, 3), {"1": 4.0, "2": 10.44})

    assert faults == (
        "leg at 1: 4.000 m long, but its ends are 3.606 m apart: these measures cannot both be right. "
        "Measure again.",
    )
