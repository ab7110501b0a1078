"""Tipping and sliding: problems from a physics text, a state university's statics and a university course.

Verified: inputs and, where said, conclusions; the forces are our own arithmetic from the inputs.
"""

from __future__ import annotations

import pytest

from handling_db.mechanics.tipping import tip_or_slide, tipping_push_n
from handling_db.quantities.amount import GRAVITY

POUND_FORCE = 4.4482216152605


def test_square_crate_pushed_at_its_top():
    """580 N, uniform: least level push W / 2 = 290 N. Inputs verified."""
    assert tipping_push_n(580 / GRAVITY, 0.5, 1.0) == pytest.approx(290)


def test_cabinet_tips_before_it_slides():
    """250 lb, base 32 in, push at 66 in, friction 0.4: limit 100 lb, 60.6 lb tips it. Conclusion verified."""
    found = tip_or_slide(250 * POUND_FORCE / GRAVITY, 16.0, 66.0, 0.4)

    assert found.first == "tips"
    assert found.tips_at_n / POUND_FORCE == pytest.approx(60.6, abs=0.05)
    assert found.slides_at_n / POUND_FORCE == pytest.approx(100)


def test_cube_with_a_force_at_its_top_edge():
    """M g / 2. Verified."""
    assert tipping_push_n(10.0, 0.1, 0.2) == pytest.approx(10.0 * GRAVITY / 2)


@pytest.mark.parametrize(("friction", "first"), [(0.51, "tips"), (0.5, "either"), (0.49, "slides")])
def test_half_base_over_height_against_friction(friction, first):
    """Tips first if a / h is under the coefficient, slides first if over. Verified."""
    assert tip_or_slide(100.0, 0.5, 1.0, friction).first == first
