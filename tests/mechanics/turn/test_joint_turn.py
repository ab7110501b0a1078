from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.turn.edge_turn import BackLine, TurnedPiece, Turning
from handling_db.mechanics.turn.joint_turn import bolts_about, joint_step, worst_of
from handling_db.quantities.amount import Amount, StaticsError, newtons

JOINT = (0.7, 0.5, 0.5)


def two_halves(near=60.0, far=40.0, *, doubt=0.0, line=None, hook=(1.4, 0.5, 0.5), beyond=True):
    return Turning(
        [
            TurnedPiece("near", Amount.around(near, doubt), (0.3, 0.5, 0.4)),
            TurnedPiece("far", Amount.around(far, doubt), (1.0, 0.5, 0.5), beyond=beyond),
        ],
        hook,
        1.0,
        line,
    )


@given(st.floats(0.05, 0.95), st.floats(0, 1.5))
def test_both_sides_of_the_joint_find_the_same_forces(part, turned):
    """Beyond: weight and hook, or the line. Before: weight and the edge, which takes what is left of both."""
    line = BackLine((1.4, 0.5, 0.5), (6.0, 0.5, 1.0))
    turning = two_halves(100 * (1 - part), 100 * part, line=line)
    far = joint_step(turning, JOINT, turned)
    c, s = math.cos(turned), math.sin(turned)

    if turning.moment(turned)[1] >= 0:
        pull = (0.0, turning.step(turned).hook[1])
    else:
        factor, to = turning.line_pull(turned)
        tension = turning.limits(factor, turned)[1]
        pull = (tension * to[0], tension * to[2])
    # Forces on the near side, in the room: its weight in its place, the edge at the origin.
    forces = [((0.3, 0.4), (0.0, -100 * (1 - part))), ((0.0, 0.0), (-pull[0], 100 - pull[1]))]
    moment = shear = axial = 0.0
    for (x, z), (across, up) in forces:
        along, lifting = across * c + up * s, -across * s + up * c
        axial, shear = axial + along, shear - lifting
        moment += (z - 0.5) * along - (x - 0.7) * lifting

    assert far.moment_nm[1] == pytest.approx(-newtons(moment), abs=1e-6)
    assert far.shear_n[1] == pytest.approx(-newtons(shear), abs=1e-6)
    assert far.axial_n[1] == pytest.approx(-newtons(axial), abs=1e-6)


def test_with_the_hook_on_the_near_side_the_far_side_hangs_on_the_joint():
    step = joint_step(two_halves(hook=(0.6, 0.5, 0.5)), JOINT, 0.0)

    assert step.moment_nm[1] == pytest.approx(newtons(40) * 0.3)
    assert step.shear_n[1] == pytest.approx(newtons(40))
    assert step == joint_step(two_halves(), JOINT, 0.0, hook_slack=True)


def test_limits_hold_every_mass_in_doubt():
    turning = two_halves(doubt=10.0)
    step = joint_step(turning, JOINT, 0.0)
    found = [
        joint_step(two_halves(near, far), JOINT, 0.0).moment_nm[1] for near in (50, 70) for far in (30, 50)
    ]

    assert step.moment_nm[0] == pytest.approx(min(found))
    assert step.moment_nm[2] == pytest.approx(max(found))


def test_what_may_lie_on_either_side_counts_both_ways():
    known = [joint_step(two_halves(beyond=side), JOINT, 0.0, hook_slack=True) for side in (True,)]
    pieces = (*two_halves().pieces, TurnedPiece("oil", Amount.exact(5.0), (1.0, 0.5, 0.5), beyond=None))
    step = joint_step(Turning(pieces, (1.4, 0.5, 0.5), 1.0), JOINT, 0.0, hook_slack=True)

    assert step.moment_nm[0] == pytest.approx(known[0].moment_nm[1])
    assert step.moment_nm[2] == pytest.approx(newtons(45) * 0.3)


def test_nothing_beyond_the_joint_is_refused():
    with pytest.raises(StaticsError, match="nothing that turns lies beyond the joint"):
        joint_step(two_halves(beyond=False), JOINT, 0.0)


FOUR = {"1": 0.18, "2": 0.18, "3": -0.18, "4": -0.18}


def test_the_line_it_tilts_about_that_asks_most_stands_first():
    about = bolts_about(FOUR, 0.254, 0.29, 800.0, 3600.0)

    # By hand: T = M d / sum(d2) with d from the last bolts, the foot of the circle, the flange edge.
    assert [one.pivot for one in about] == ["last bolts", "foot of the bolt circle", "flange edge"]
    for one, foot in zip(about, (0.18, 0.254, 0.29), strict=True):
        d = (0.18 + foot, foot - 0.18)
        assert one.most_n == pytest.approx(800 * d[0] / (2 * d[0] ** 2 + 2 * d[1] ** 2))
        assert one.bolts[0].shear_n == pytest.approx(900)


def test_a_moment_the_other_way_pulls_the_other_bolts():
    up, down = (bolts_about(FOUR, 0.254, 0.29, moment, 0.0)[0] for moment in (500.0, -500.0))

    assert up.bolts[0].pull_n == pytest.approx(down.bolts[3].pull_n)
    assert down.bolts[0].pull_n == 0.0


def test_without_a_flange_the_bolts_alone_count_and_without_bolts_nothing():
    assert [one.pivot for one in bolts_about({"a": 0.1}, 0.1, None, 10.0, 0.0)] == ["foot of the bolt circle"]
    with pytest.raises(StaticsError, match="no bolts are listed"):
        bolts_about({}, 0.1, 0.2, 10.0, 0.0)


def test_the_worst_of_a_turn_is_the_largest_pull():
    turning = two_halves(doubt=5.0)
    steps = [joint_step(turning, JOINT, turned) for turned in (0.0, 0.3, 0.6)]

    step, about = worst_of(steps, FOUR, 0.254, 0.29)

    every = [
        bolts_about(FOUR, 0.254, 0.29, moment, 0.0, one.axial_n[2])[0].most_n
        for one in steps
        for moment in (one.moment_nm[0], one.moment_nm[2])
    ]
    assert about[0].most_n == pytest.approx(max(every))
    assert step in steps
    assert worst_of([], FOUR, 0.254, 0.29) is None


@given(st.floats(0.0, 1.4), st.floats(-0.4, 0.4), st.floats(-0.4, 0.4), st.floats(-0.3, 0.3))
def test_twist_and_sideways_moment_are_those_of_the_forces_beyond_by_the_cross_product(turned, hook, far, up):
    """numpy: arm times force of hook and weight beyond the joint, in the directions of the joint."""
    turning = Turning(
        [
            TurnedPiece("near", Amount.exact(60.0), (0.3, 0.5, 0.4)),
            TurnedPiece("far", Amount.exact(40.0), (1.0, 0.5 + far, 0.5 + up), beyond=True),
        ],
        (1.4, 0.5 + hook, 0.5),
        1.0,
    )
    if turning.moment(turned)[1] < 0:
        return
    found = joint_step(turning, JOINT, turned)
    c, s = math.cos(turned), math.sin(turned)
    rows = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])  # the joint's directions, in the room
    pull = turning.step(turned).hook[1]
    moment = np.cross(np.array([0.7, hook, 0.0]), rows @ [0.0, 0.0, newtons(pull)])
    moment += np.cross(np.array([0.3, far, up]), rows @ [0.0, 0.0, -newtons(40.0)])
    assert found.twist_nm[1] == pytest.approx(moment[0], abs=1e-6)
    assert found.moment_nm[1] == pytest.approx(moment[1], abs=1e-6)
    assert found.sideways_nm[1] == pytest.approx(moment[2], abs=1e-6)
