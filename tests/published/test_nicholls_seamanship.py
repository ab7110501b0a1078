"""Nicholls's Seamanship and Nautical Knowledge: slings, pp 280-283, and examination paper 3.

Verified: text of the page scans; where an answer is our own arithmetic that is said beside it.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.leg_rules import by_rules
from handling_db.rigging.legs import carry

HALF_DIAGONAL = 2 * math.sqrt(2)  # of a tray four feet square, in feet


def tray():
    corners = {f"{x:+d}{y:+d}": (2.0 * x, 2.0 * y, 0.0) for x in (-1, 1) for y in (-1, 1)}
    hook = (0.0, 0.0, math.sqrt(49 - 8))
    return carry(corners, hook, (0.0, 0.0, -0.5), 20.0)


def test_the_tray_on_four_corner_legs():
    """20 cwt on four 7 ft legs: 2.83 ft, 23 deg 51 min; one diagonal pair alone 10.9 cwt each."""
    case = tray()

    assert pytest.approx(2.83, abs=0.005) == HALF_DIAGONAL
    assert 90.0 - math.degrees(case.legs[0].from_horizontal) == pytest.approx(23 + 51 / 60, abs=0.02)
    assert case.shared_by_stiffness
    for leg in case.legs:
        assert leg.tension_kg == pytest.approx(10.9, abs=0.05)
        assert leg.tension_low_n == 0.0


def test_four_sharing_is_the_middle_of_the_range():
    """Printed 5.45 cwt (exact 5.466)."""
    case = tray()

    for leg in case.legs:
        assert leg.tension_kg is not None
        assert leg.tension_kg / 2 == pytest.approx(5.45, abs=0.02)


def test_the_two_leg_rule_gives_the_same_figure(factors):
    lean = math.asin(HALF_DIAGONAL / 7)

    (figure,) = by_rules((factors.rule("rigid-load-two-carry"),), 4, lean, 20.0)

    assert figure.single_leg_rating_kg == pytest.approx(10.9, abs=0.05)


def test_spread_at_which_two_legs_reach_their_limit():
    """3 tons on two 6 ft legs of 2 tons each: 41 deg 25 min, 7.944 ft apart (exact 7.937). Verified."""
    half = 6 * math.sin(math.acos(1.5 / 2))
    case = carry({"a": (-half, 0, 0), "b": (half, 0, 0)}, (0, 0, math.sqrt(36 - half**2)), (0, 0, -1), 3.0)

    assert [leg.tension_kg for leg in case.legs] == pytest.approx([2.0, 2.0])
    assert 90.0 - math.degrees(case.legs[0].from_horizontal) == pytest.approx(41 + 25 / 60, abs=0.01)
    assert 2 * half == pytest.approx(7.944, abs=0.01)


def test_two_pendants():
    """8 tons, pendants at 30 and 50 degrees to the vertical. Question verified; answers by the sine rule."""
    case = carry(
        {"30": (-math.tan(math.radians(30)), 0, 0), "50": (math.tan(math.radians(50)), 0, 0)},
        (0, 0, 1),
        (0, 0, -1),
        8.0,
    )

    assert [leg.tension_kg for leg in case.legs] == pytest.approx([6.22, 4.06], abs=0.005)
