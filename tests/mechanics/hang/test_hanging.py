from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from handling_db.mechanics.hang.hanging import ImpossibleLegsError, settle
from handling_db.mechanics.vectors import add, apply, cross, distance, length, rotation, scale, subtract, unit
from handling_db.quantities.amount import StaticsError
from tests.telling import words

points = st.tuples(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(-0.1, 0.1))
centres = st.tuples(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(-0.7, -0.3))
leg_lengths = st.floats(0.8, 1.2)


def test_a_pendulum_hangs_from_its_line():
    rest = settle({"a": (0.3, 0, 0)}, {"a": 1.0}, (0, 0, -0.4))

    assert math.tan(rest.tilt) == pytest.approx(0.3 / 0.4)
    assert rest.low_side == pytest.approx((-1, 0, 0))
    assert rest.heading == pytest.approx(math.pi)
    assert apply(rest.turn, subtract((0.3, 0, 0), rest.hook)) == pytest.approx((0, 0, -1.0), abs=1e-12)
    assert apply(rest.turn, subtract((0, 0, -0.4), rest.hook)) == pytest.approx((0, 0, -1.5), abs=1e-12)


def test_equal_legs_over_the_centre_hang_level():
    picks = {
        str(a): (0.25 * math.cos(a), 0.25 * math.sin(a), 0.0) for a in (0.0, 2 * math.pi / 3, 4 * math.pi / 3)
    }

    rest = settle(picks, dict.fromkeys(picks, 0.9), (0, 0, -0.2))

    assert rest.tilt == pytest.approx(0, abs=1e-9)
    assert rest.low_side is None
    assert rest.heading is None
    assert [leg.share_high for leg in rest.legs] == pytest.approx([1 / 3] * 3)
    assert rest.slack == ()
    assert rest.cautions == ()


def test_two_legs_swing_until_the_centre_is_plumb():
    """By hand: the hook of two equal legs keeps its place over the middle; the centre swings under it."""
    rest = settle({"a": (-0.5, 0, 0), "b": (0.5, 0, 0)}, {"a": 1.3, "b": 1.3}, (0.1, 0, -0.3))

    assert rest.hook == pytest.approx((0, 0, 1.2))
    assert math.tan(rest.tilt) == pytest.approx(0.1 / 1.5)
    assert rest.low_side == pytest.approx((1, 0, 0))


@pytest.mark.slow
@settings(max_examples=80)
@given(points, points, points, centres, leg_lengths, leg_lengths, leg_lengths)
def test_forces_balance_at_rest_and_no_leg_is_too_long_or_pushes(a, b, c, centre, la, lb, lc):
    assume(min(distance(a, b), distance(b, c), distance(a, c)) > 0.1)
    picks, lengths = {"a": a, "b": b, "c": c}, {"a": la, "b": lb, "c": lc}
    rest = settle(picks, lengths, centre)

    pulls = []
    for leg in rest.legs:
        reach = distance(rest.hook, picks[leg.point])
        assert reach <= lengths[leg.point] + 1e-7
        assert leg.spare_m == pytest.approx(lengths[leg.point] - reach, abs=1e-7)
        assert leg.pull_low >= 0.0
        if leg.slack:
            assert leg.pull_high == pytest.approx(0, abs=1e-9)
        pulls.append((picks[leg.point], scale(unit(subtract(rest.hook, picks[leg.point])), leg.pull_high)))
    assert add(*(f for _, f in pulls)) == pytest.approx(rest.up, abs=1e-6)
    assert add(*(cross(subtract(p, centre), f) for p, f in pulls)) == pytest.approx((0, 0, 0), abs=1e-6)
    assert math.fsum(leg.share_high for leg in rest.legs) == pytest.approx(1, abs=1e-6)
    assert apply(rest.turn, rest.up) == pytest.approx((0, 0, 1), abs=1e-9)


@settings(max_examples=20)
@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(-3, 3))
def test_turning_everything_turns_the_rest_with_it(roll, pitch, yaw):
    turn = rotation(roll, pitch, yaw)
    picks = {"a": (-0.3, -0.2, 0.0), "b": (0.4, -0.25, 0.1), "c": (0.05, 0.45, -0.05)}
    lengths = {"a": 0.9, "b": 1.0, "c": 0.8}
    centre = (0.05, 0.02, -0.4)

    plain = settle(picks, lengths, centre)
    turned = settle(
        {name: apply(turn, p) for name, p in picks.items()},
        lengths,
        apply(turn, centre),
        up=apply(turn, (0, 0, 1)),
    )

    assert turned.tilt == pytest.approx(plain.tilt, abs=1e-9)
    assert turned.hook == pytest.approx(apply(turn, plain.hook), abs=1e-9)
    for first, second in zip(plain.legs, turned.legs, strict=True):
        assert first.pull_high == pytest.approx(second.pull_high, abs=1e-9)


@pytest.mark.slow
@settings(max_examples=40)
@given(points, points, points, centres, leg_lengths, leg_lengths, leg_lengths, st.floats(0, 6.28))
def test_no_pose_near_by_lies_lower(a, b, c, centre, la, lb, lc, around):
    assume(min(distance(a, b), distance(b, c), distance(a, c)) > 0.1)
    picks, lengths = {"a": a, "b": b, "c": c}, {"a": la, "b": lb, "c": lc}
    rest = settle(picks, lengths, centre)
    for rise in (-0.5, 0.0, 0.5):
        move = (0.002 * math.cos(around), 0.002 * math.sin(around), 0.002 * rise)
        hook = add(rest.hook, move)
        if all(distance(hook, picks[n]) <= lengths[n] for n in picks):
            assert distance(hook, centre) <= distance(rest.hook, centre) + 1e-9


def test_a_leg_too_long_hangs_slack():
    picks = {"a": (-0.5, 0, 0), "b": (0.5, 0, 0), "c": (0, 0.3, 0)}

    rest = settle(picks, {"a": 1.0, "b": 1.0, "c": 2.0}, (0, 0.02, -0.4))

    assert rest.slack == ("c",)
    assert rest.legs[2].spare_m > 0.5
    assert words(rest.cautions) == ["slack: c; the other legs carry everything."]


def test_four_equal_legs_have_ranges():
    picks = {f"{x}{y}": (0.5 * x, 0.5 * y, 0.0) for x in (-1, 1) for y in (-1, 1)}

    rest = settle(picks, dict.fromkeys(picks, 1.0), (0, 0, -0.3))

    assert rest.tilt == pytest.approx(0, abs=1e-9)
    assert [(leg.share_low, leg.share_high) for leg in rest.legs] == [
        (pytest.approx(0, abs=1e-9), pytest.approx(0.5)) for _ in range(4)
    ]
    assert "more tight legs than statics can share out: each has a range, not a figure." in words(
        rest.cautions
    )


def test_a_top_heavy_load_is_said_to_be_able_to_go_over():
    picks = {
        str(a): (0.4 * math.cos(a), 0.4 * math.sin(a), 0.0) for a in (0.0, 2 * math.pi / 3, 4 * math.pi / 3)
    }

    rest = settle(picks, dict.fromkeys(picks, 1.0), (0, 0, 0.5))

    assert rest.tilt == pytest.approx(0, abs=1e-9)
    assert any(pose.lower_by_m > 0.5 for pose in rest.others)
    assert any("a push may let it go over" in said for said in words(rest.cautions))


def test_flat_legs_are_said():
    rest = settle({"a": (-1, 0, 0), "b": (1, 0, 0)}, {"a": 1.1, "b": 1.1}, (0, 0, -0.5))

    assert (
        words(rest.cautions)[0] == "under 30° from the horizontal: a, b; not used unless the maker says so."
    )


def test_legs_that_cannot_meet():
    with pytest.raises(
        ImpossibleLegsError,
        match=r"the legs at a \(0\.900 m\) and b \(1\.000 m\) cannot meet: the points are 2\.000 m",
    ):
        settle({"a": (-1, 0, 0), "b": (1, 0, 0)}, {"a": 0.9, "b": 1.0}, (0, 0, -0.5))


def test_legs_that_meet_in_pairs_but_not_together():
    picks = {"a": (-1, 0, 0), "b": (1, 0, 0), "c": (0, 1.7, 0)}

    with pytest.raises(ImpossibleLegsError, match="legs of these lengths at a, b, c cannot meet at one hook"):
        settle(picks, {"a": 1.01, "b": 1.01, "c": 1.01}, (0, 0.5, -0.5))


@pytest.mark.parametrize(
    ("picks", "lengths", "says"),
    [
        ({}, {}, "free hanging needs 1 to 12 pick points, not 0"),
        ({"a": (0, 0, 0)}, {}, "the leg at a has no length"),
        ({"a": (0, 0, 0)}, {"a": 0.0}, "the leg at a must be longer than 0 m"),
    ],
)
def test_input_that_cannot_be(picks, lengths, says):
    with pytest.raises(StaticsError, match=says):
        settle(picks, lengths, (0, 0, -1))


def test_heading_counts_from_the_direction_asked_for():
    given_y = settle({"a": (0.3, 0, 0)}, {"a": 1.0}, (0, 0, -0.4), ahead=(0, 1, 0))

    assert given_y.heading == pytest.approx(math.pi / 2)
    with pytest.raises(StaticsError, match="the direction that headings count from is upright"):
        settle({"a": (0.3, 0, 0)}, {"a": 1.0}, (0, 0, -0.4), ahead=(0, 0, 1))


def test_lengths_and_depth_agree():
    rest = settle({"a": (0, 0.2, 0)}, {"a": 1.0}, (0, 0, -0.4))

    assert distance(rest.hook, (0, 0.2, 0)) == pytest.approx(1.0)
    assert length(subtract(rest.hook, (0, 0, -0.4))) == pytest.approx(1.0 + math.hypot(0.2, 0.4))
