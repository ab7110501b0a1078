"""29 CFR 1910.178, Appendix A: the stability triangle and moment balance about the front axle. [verified]

The triangle has the front wheels and the pivot of the rear axle as corners; it is the case of three
supports. The truck figures below are ours: the source prints no numbers. [computed here: statics]
"""

from __future__ import annotations

import pytest

from handling_db.carrying.floor import CentreOutsideFeetError, foot_shares

LEFT_WHEEL, RIGHT_WHEEL, PIVOT = (0.0, 0.4), (0.0, -0.4), (1.2, 0.0)


def test_centre_inside_the_triangle_has_one_answer():
    """A third of the way back: the pivot carries a third, the front wheels share the rest evenly."""
    shares = foot_shares([LEFT_WHEEL, RIGHT_WHEEL, PIVOT], (0.4, 0.0), patch=(0.0, 0.0))

    assert pytest.approx(shares.lowest) == shares.highest
    assert pytest.approx((1 / 3, 1 / 3, 1 / 3)) == shares.even


def test_load_moment_equal_to_truck_moment_empties_the_rear():
    """Combined centre over the front axle: nothing left on the pivot."""
    shares = foot_shares([LEFT_WHEEL, RIGHT_WHEEL, PIVOT], (0.0, 0.0), patch=(0.0, 0.0))

    assert pytest.approx((0.5, 0.5, 0.0)) == shares.even


def test_centre_ahead_of_the_front_axle_does_not_stand():
    """The vertical through the combined centre must stay inside."""
    with pytest.raises(CentreOutsideFeetError, match="outside the area between the feet"):
        foot_shares([LEFT_WHEEL, RIGHT_WHEEL, PIVOT], (-0.01, 0.0), patch=(0.0, 0.0))
