from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.hang.sudden import drop_on_slack_legs, let_go_from_overpull
from handling_db.quantities.amount import StaticsError, UnknownMassError


def test_release_from_overpull_swings_as_far_below_the_weight():
    case = let_go_from_overpull(380.0, 420.0)

    assert (case.highest_kg, case.lowest_kg, case.goes_slack) == (420.0, 340.0, False)


def test_twice_the_weight_goes_slack():
    assert let_go_from_overpull(100.0, 200.0).goes_slack is False
    assert let_go_from_overpull(100.0, 201.0).goes_slack is True
    assert let_go_from_overpull(100.0, 201.0).lowest_kg == 0.0


# Common practice, no source: 5 mm and 10 mm of fall on 3 mm of stretch.
@pytest.mark.parametrize(("drop", "times"), [(0.005, 3.1), (0.010, 3.8), (0.0, 2.0)])
def test_a_fall_into_slack_legs(drop, times):
    assert drop_on_slack_legs(100.0, drop, 0.003).times_weight == pytest.approx(times, abs=0.05)


@given(st.floats(1, 1000), st.floats(0, 0.1), st.floats(0.001, 0.05))
def test_energy_is_kept(mass, drop, stretch):
    """At the lowest point the fall has gone into the spring: W (h + x) = k x2 / 2 with k = W / stretch."""
    force = drop_on_slack_legs(mass, drop, stretch).highest_kg
    deepest = force / mass * stretch

    assert mass * (drop + deepest) == pytest.approx(mass / stretch * deepest**2 / 2, rel=1e-9)


@given(st.floats(1, 1000), st.floats(1, 3))
def test_an_overpulled_spring_run_in_small_steps(mass, over):
    """The lowest force against the closed motion over half a period: W + (P - W) cos."""
    case = let_go_from_overpull(mass, mass * over)
    lowest = min(mass + (mass * over - mass) * math.cos(math.pi * i / 50) for i in range(51))

    assert case.lowest_kg == pytest.approx(max(0.0, lowest), abs=1e-9 * mass)


def test_refusals():
    with pytest.raises(UnknownMassError, match="release from over-pull: the mass is not known"):
        let_go_from_overpull(None, 100.0)
    with pytest.raises(StaticsError, match="over-pull means more than the weight"):
        let_go_from_overpull(100.0, 99.0)
    with pytest.raises(UnknownMassError, match="fall into slack legs: the mass is not known"):
        drop_on_slack_legs(None, 0.01, 0.003)
    with pytest.raises(StaticsError, match="the stretch of the rigging under the load is not known"):
        drop_on_slack_legs(100.0, 0.01, None)
    with pytest.raises(StaticsError, match="a fall must be 0 or more and a stretch more than 0"):
        drop_on_slack_legs(100.0, 0.01, 0.0)
