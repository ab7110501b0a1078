from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.axles import axle_loads
from handling_db.carrying.checks import MovingInputError

TRUCK = {"truck_kg": 2740.0, "wheelbase": 1.4, "centre_behind_front_axle": 0.9}


@given(st.floats(0, 5000), st.floats(0.1, 3))
def test_forces_and_moments_balance(load, ahead):
    found = axle_loads(**TRUCK, load_kg=load, load_ahead=ahead)

    assert found.rear_kg + found.front_kg == pytest.approx(2740 + load)
    # Moments about the rear axle, which the calculation does not use.
    assert found.front_kg * 1.4 == pytest.approx(2740 * 0.5 + load * (1.4 + ahead))


def test_at_its_tipping_load_the_rear_axle_carries_nothing():
    tips = axle_loads(**TRUCK, load_kg=100, load_ahead=0.98).tips_at_kg
    found = axle_loads(**TRUCK, load_kg=tips, load_ahead=0.98)

    assert found.rear_kg == pytest.approx(0, abs=1e-9)
    assert found.rear_kg == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"wheelbase": None}, "wheelbase"),
        ({"truck_kg": None}, "the mass of the truck"),
        ({"load_kg": -1.0}, "the load"),
        ({"load_ahead": 0.0}, "from front axle"),
    ],
)
def test_what_is_not_given_is_asked_for(changed, says):
    with pytest.raises(MovingInputError, match=says):
        axle_loads(**{**TRUCK, "load_kg": 1.0, "load_ahead": 1.0, **changed})
