from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.joint_load import (
    Force,
    bolt_shares,
    hook_slack_case,
    joint_forces,
    joint_over_turn,
)
from handling_db.mechanics.turning import over_edge, turned_spot
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError, newtons

places = st.floats(-2, 2)
pushes = st.floats(-1000, 1000)


@given(places, places, places, places, pushes, pushes, st.floats(-3, 3))
def test_moment_is_the_same_seen_from_the_room(jx, jz, fx, fz, across, up, turned):
    found = joint_forces((jx, jz), [Force((fx, fz), across, up)], turned)
    lever = turned_spot((fx, fz), (jx, jz), turned)

    # Lifting at the far side closes the upper edge; moment positive the other way.
    assert found.moment_nm == pytest.approx(lever[1] * across - lever[0] * up, abs=1e-8)
    assert math.hypot(found.shear_n, found.axial_n) == pytest.approx(math.hypot(across, up), abs=1e-8)


@given(st.floats(0.2, 0.9), st.floats(0.02, 0.98), st.floats(0, 0.7))
def test_both_sides_of_the_joint_find_the_same_forces(far_part, joint_at, turned):
    """Far side: weight and hook; near side: weight and the floor at the edge; equal and opposite."""
    near, far = Amount.exact(100 * (1 - far_part)), Amount.exact(100 * far_part)
    near_centre, far_centre, pick, pivot, joint = (
        (0.3, 0.4),
        (1.0, 0.5),
        (1.4, 0.5),
        (0.0, 0.0),
        (joint_at, 0.5),
    )
    whole = Amount.exact(100)
    centre = tuple((near.best * n + far.best * f) / 100 for n, f in zip(near_centre, far_centre, strict=True))
    turn = over_edge(whole, centre, pick, pivot, to_angle=0.7, step=0.05)
    step = min(turn.steps, key=lambda s: abs(s.turned - turned))
    hook = newtons(100 * step.hook_part)
    far_side = joint_forces(
        joint, [Force(far_centre, 0, -newtons(far.best)), Force(pick, 0, hook)], step.turned
    )
    near_side = joint_forces(
        joint,
        [Force(near_centre, 0, -newtons(near.best)), Force(pivot, 0, newtons(100) - hook)],
        step.turned,
    )

    assert far_side.moment_nm == pytest.approx(-near_side.moment_nm, abs=1e-6)
    assert far_side.shear_n == pytest.approx(-near_side.shear_n, abs=1e-6)
    assert far_side.axial_n == pytest.approx(-near_side.axial_n, abs=1e-6)


def test_over_the_turn_with_the_hook_on_the_near_side():
    turn = over_edge(Amount.exact(100), (0.5, 0.5), (1.0, 0.5), (0.0, 0.0), step=0.1)

    carried = joint_over_turn((0.3, 0.5), 40.0, (0.8, 0.5), None, turn, mass_kg=100.0)

    assert carried[0].moment_nm == pytest.approx(newtons(40) * 0.5)
    assert carried[0].shear_n == pytest.approx(newtons(40))
    assert len(carried) == len(turn.steps)


def test_an_unknown_side_is_refused():
    turn = over_edge(Amount.exact(100), (0.5, 0.5), (1.0, 0.5), (0.0, 0.0))
    with pytest.raises(UnknownMassError, match="forces at the joint: the mass is not known"):
        joint_over_turn((0.3, 0.5), None, (0.8, 0.5), None, turn, mass_kg=100.0)
    with pytest.raises(UnknownMassError, match="hook slack, axis level: the mass is not known"):
        hook_slack_case((0.3, 0.5), None, (0.8, 0.5), {"a": 0.1})


@given(st.lists(st.floats(0.01, 0.6), min_size=1, max_size=8), st.floats(0, 5000), st.floats(0, 9000))
def test_bolt_pulls_make_up_the_moment_and_shears_the_shear(levers, moment, shear):
    shares = bolt_shares({str(i): d for i, d in enumerate(levers)}, moment, shear)

    made = math.fsum(share.pull_n * d for share, d in zip(shares, levers, strict=True))
    assert made == pytest.approx(moment, abs=1e-6)
    assert math.fsum(share.shear_n for share in shares) == pytest.approx(shear, abs=1e-6)


def test_an_axial_pull_is_spread_and_a_push_is_no_help():
    pulled = bolt_shares({"a": 0.1, "b": 0.1}, 0.0, 0.0, axial_n=100.0)
    pushed = bolt_shares({"a": 0.1, "b": 0.1}, 0.0, 0.0, axial_n=-100.0)

    assert [share.pull_n for share in pulled] == [50.0, 50.0]
    assert [share.pull_n for share in pushed] == [0.0, 0.0]


@pytest.mark.parametrize(
    ("bolts", "moment", "says"),
    [
        ({}, 1.0, "no bolts are listed at the joint: what holds it is not known"),
        ({"a": -0.1}, 1.0, "every bolt must lie on the opening side of the edge"),
        ({"a": 0.1}, -1.0, "this moment closes the joint at that side: take the opposite edge"),
    ],
)
def test_bolts_that_cannot_be(bolts, moment, says):
    with pytest.raises(StaticsError, match=says):
        bolt_shares(bolts, moment, 0.0)
