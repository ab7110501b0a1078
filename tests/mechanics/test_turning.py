from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handling_db.mechanics.turning import goes_over_angle, hold_back_n, over_edge, spot_in_plane, turned_spot
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError, newtons

HUNDRED = Amount.around(100, 2)


def test_the_hook_starts_with_the_share_of_a_lever():
    turn = over_edge(HUNDRED, (0.5, 0.5), (1.0, 0.5), (0.0, 0.0))

    assert turn.steps[0].hook_kg == pytest.approx((49, 50, 51))
    assert turn.steps[0].hook_n[1] == pytest.approx(newtons(50))
    assert turn.goes_over == pytest.approx(math.pi / 4)
    assert turn.steps[-1].hook_part == pytest.approx(0, abs=1e-12)
    assert turn.says == (
        "goes over by itself at 45°: from there a line has to hold it back; one hook on the lifted side "
        "cannot.",
    )


@given(
    st.floats(0.1, 1),
    st.floats(0.05, 1),
    st.floats(0.1, 2),
    st.floats(-0.5, 0.5),
    st.floats(-2, 2),
    st.floats(-2, 2),
)
def test_moments_about_the_edge_balance_at_every_step(cx, cz, px, pz, ex, ez):
    assume(goes_over_angle((px, pz), (0, 0)) > goes_over_angle((cx, cz), (0, 0)) + 0.05)
    pivot = (ex, ez)
    turn = over_edge(Amount.exact(100.0), (cx + ex, cz + ez), (px + ex, pz + ez), pivot, step=math.radians(5))

    for step in turn.steps:
        weight_arm = turned_spot((cx + ex, cz + ez), pivot, step.turned)[0]
        hook_arm = turned_spot((px + ex, pz + ez), pivot, step.turned)[0]
        assert step.hook_kg[1] * hook_arm == pytest.approx(100.0 * weight_arm, abs=1e-6)
    assert turn.worst.hook_part >= max(step.hook_part for step in turn.steps) - 1e-12


def test_a_worst_step_between_the_listed_ones_is_found():
    """With the pick high over the edge it swings in faster than the centre: the hook load rises."""
    turn = over_edge(Amount.exact(100), (1.0, -0.2), (1.2, 0.9), (0.0, 0.0), to_angle=0.5, step=0.4)

    assert turn.worst.turned == pytest.approx(0.5)
    assert turn.worst.hook_part > turn.steps[0].hook_part
    assert turn.goes_over is None


def test_the_patch_widens_the_angle_and_the_load():
    turn = over_edge(HUNDRED, (0.5, 0.5), (1.0, 0.5), (0.0, 0.0), patch=(0.05, 0.02))

    assert turn.goes_over_range is not None
    low, high = turn.goes_over_range
    assert low == pytest.approx(math.atan2(0.45, 0.52))
    assert high == pytest.approx(math.atan2(0.55, 0.48))
    assert turn.says[0] == "over the doubt of the centre of gravity the hook takes up to 56 kg."


@pytest.mark.parametrize(
    ("mass", "says"),
    [
        (None, "turning over an edge: the mass is not known, and an unknown mass is not zero"),
        (Amount(90, 100, None), "turning over an edge: at least 100.0 kg, with a part of unknown mass"),
    ],
)
def test_an_unknown_mass_is_refused(mass, says):
    with pytest.raises(UnknownMassError, match=says):
        over_edge(mass, (0.5, 0.5), (1.0, 0.5), (0.0, 0.0))


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"centre": (-0.1, 0.5)}, "beyond the edge already"),
        ({"centre": (0.05, 0.5), "patch": (0.1, 0.0)}, "is, or may be, beyond the edge already"),
        ({"pick": (-0.1, 0.5)}, "the pick point must lie on the lifted side of the edge"),
        ({"pick": (0.2, 1.0)}, "at 11° the hook comes plumb over the edge before the load goes over"),
        ({"to_angle": 4.0}, "a turn goes from 0° to at most 180°"),
    ],
)
def test_turns_that_cannot_be(changed, says):
    given_values = {"centre": (0.5, 0.5), "pick": (1.0, 0.5), "pivot": (0.0, 0.0)}

    with pytest.raises(StaticsError, match=says):
        over_edge(HUNDRED, **{**given_values, **changed})


def test_holding_back_by_moments():
    """Past the edge by 60 degrees; a level line at the far corner, away from the way it falls."""
    turned = math.radians(60)
    force = hold_back_n(HUNDRED, (0.5, 0.5), (1.0, 0.0), (0.0, 0.0), turned)
    beyond = -(0.5 * math.cos(turned) - 0.5 * math.sin(turned))

    assert force * math.sin(turned) == pytest.approx(newtons(102) * beyond)
    with pytest.raises(StaticsError, match="at 30° the load has not gone over: nothing is held back yet"):
        hold_back_n(HUNDRED, (0.5, 0.5), (1.0, 0.0), (0.0, 0.0), math.radians(30))
    with pytest.raises(StaticsError, match="does not hold the load back"):
        hold_back_n(HUNDRED, (0.5, 0.5), (1.0, 0.0), (0.0, 0.0), turned, pull=(-1.0, 0.0))


def test_points_seen_in_the_turning_plane():
    assert spot_in_plane((1, 2, 3), (0, 1, 0), (0, 0, 1)) == (2, 3)
