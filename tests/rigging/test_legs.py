from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handling_db.mechanics.hang.pulls import Pull, corner_balances
from handling_db.mechanics.vectors import (
    add,
    apply,
    cross,
    distance,
    dot,
    length,
    rotation,
    scale,
    subtract,
    unit,
)
from handling_db.quantities.amount import StaticsError, UnknownMassError, newtons
from handling_db.rigging.leg_rules import (
    FlatLegError,
    angle_factor,
    by_rules,
)
from handling_db.rigging.legs import carry, level_hook
from tests.plumb import hook_over
from tests.telling import words

spread = st.floats(-0.6, 0.6)
heights = st.floats(-0.3, 0.3)
points = st.tuples(spread, spread, heights)
centres = st.tuples(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(-0.6, 0.2))


def forces(case, picks, hook):
    return [
        (picks[leg.point], scale(unit(subtract(hook, picks[leg.point])), leg.tension_high_n))
        for leg in case.legs
    ]


@given(points, points, points, centres, st.floats(1.5, 3.0))
def test_three_legs_hold_the_weight_and_its_moments(a, b, c, centre, height):
    picks = {"a": a, "b": b, "c": c}
    hook = hook_over(centre, height)
    assume(min(distance(p, q) for p, q in ((a, b), (b, c), (a, c))) > 0.1)
    assume(length(cross(subtract(b, a), subtract(c, a))) > 0.02)
    case = carry(picks, hook, centre, 100.0)
    assume(all(leg.solved_share is not None for leg in case.legs))

    # With every leg kept, shares sum to one whatever their signs.
    assert math.fsum(leg.solved_share for leg in case.legs) == pytest.approx(1.0, abs=1e-6)
    if case.balanced:
        pulls = forces(case, picks, hook)
        assert add(*(f for _, f in pulls)) == pytest.approx((0, 0, newtons(100)), abs=1e-3)
        moments = [cross(subtract(p, centre), f) for p, f in pulls]
        assert add(*moments) == pytest.approx((0, 0, 0), abs=1e-3)
    else:
        assert case.slack
        assert case.rest is not None


@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(-3, 3), st.tuples(spread, spread, spread))
def test_turning_and_moving_everything_changes_nothing(roll, pitch, yaw, shift):
    picks = {"a": (-0.3, -0.2, 0.0), "b": (0.4, -0.25, 0.1), "c": (0.05, 0.45, -0.05)}
    centre = (0.03, -0.02, -0.2)
    turn = rotation(roll, pitch, yaw)

    def moved(point):
        return add(apply(turn, point), shift)

    plain = carry(picks, hook_over(centre, 1.2), centre, 250.0)
    other = carry(
        {name: moved(p) for name, p in picks.items()},
        moved(hook_over(centre, 1.2)),
        moved(centre),
        250.0,
        up=apply(turn, (0, 0, 1)),
    )

    for first, second in zip(plain.legs, other.legs, strict=True):
        assert first.share_high == pytest.approx(second.share_high, abs=1e-9)
        assert first.tension_high_n == pytest.approx(second.tension_high_n, rel=1e-9)


def test_one_leg_carries_all():
    case = carry({"only": (0, 0, 0)}, (0, 0, 1), (0, 0, -0.4), 50.0)

    assert case.balanced
    assert case.legs[0].share_high == 1.0
    assert case.legs[0].tension_kg == pytest.approx(50.0)


def test_two_legs_at_different_heights():
    """By hand: level parts equal, moments about the hook vanish; shares 0.625 and 0.375."""
    case = carry({"low": (-1, 0, -0.5), "high": (1, 0, 0.5)}, (0, 0, 2), (0, 0, -1), 100.0)

    assert [leg.share_high for leg in case.legs] == pytest.approx([0.625, 0.375])
    assert case.legs[0].tension_kg == pytest.approx(62.5 * math.hypot(1, 2.5) / 2.5)


def test_two_legs_with_the_centre_beside_their_plane_roll():
    case = carry({"a": (-0.5, 0, 0), "b": (0.5, 0, 0)}, (0, 0.1, 1.2), (0, 0.1, -0.3), 100.0)

    assert not case.balanced
    assert case.slack == ()
    assert words(case.says)[0] == "these legs cannot hold the load in this pose."
    assert case.rest is not None
    assert case.rest.low_side == pytest.approx((0, 1, 0), abs=1e-9)


def test_a_hook_beside_the_centre_says_by_how_much_it_tilts():
    case = carry({"a": (-0.5, 0, 0), "b": (0.5, 0, 0)}, (0, 0, 1.0), (0.05, 0, -0.3), 100.0)

    assert not case.balanced
    assert case.plumb_error_m == pytest.approx(0.05)
    assert math.degrees(case.tilt) == pytest.approx(math.degrees(math.atan2(0.05, 1.3)))
    assert words(case.says)[0] == (
        "the hook line passes 50 mm beside the centre of gravity: it will tilt by about 2.2°."
    )
    assert case.legs[0].share_high is None
    assert case.rest is not None
    assert case.rest.tilt == pytest.approx(case.tilt)  # both legs stay tight, so the hook stays where it is


def test_no_mass_gives_shares_and_no_forces():
    case = carry({"a": (-0.5, 0, 0), "b": (0.5, 0, 0)}, (0, 0, 1), (0, 0, -0.2))

    assert [leg.share_high for leg in case.legs] == pytest.approx([0.5, 0.5])
    assert [leg.tension_high_n for leg in case.legs] == [None, None]
    assert case.legs[0].tension_kg is None
    assert words(case.says) == ["the mass is not known: shares of the weight only, no forces."]


def test_four_legs_have_a_range():
    """A square with the centre in the middle: each diagonal may carry everything or nothing."""
    picks = {f"{x}{y}": (float(x), float(y), 0.0) for x in (-1, 1) for y in (-1, 1)}
    case = carry(picks, (0, 0, 2), (0, 0, -0.5), 100.0)

    assert case.shared_by_stiffness
    assert [(leg.share_low, leg.share_high) for leg in case.legs] == [
        (pytest.approx(0), pytest.approx(0.5)) for _ in range(4)
    ]
    assert "each leg lies between two figures" in words(case.says)[0]


@pytest.mark.slow
@given(st.floats(-0.35, 0.35), st.floats(-0.35, 0.35), st.lists(st.floats(0, 1), min_size=4, max_size=4))
def test_every_balance_of_four_legs_lies_in_the_range(x, y, mix):
    assume(sum(mix) > 0.01)
    assume(abs(x) + abs(y) < 0.9)
    picks = {"a": (-1.0, 0.0, 0.0), "b": (1.0, 0.0, 0.1), "c": (0.0, 1.0, 0.0), "d": (0.0, -1.0, -0.1)}
    centre = (x, y, -0.3)
    hook = hook_over(centre, 3.0)
    case = carry(picks, hook, centre, 100.0)
    corners = corner_balances([Pull.towards(p, hook) for p in picks.values()], centre)
    weights = [mix[i % 4] + 1e-3 for i in range(len(corners))]
    blend = [sum(w * c[i] for w, c in zip(weights, corners, strict=True)) / sum(weights) for i in range(4)]

    for leg, factor in zip(case.legs, blend, strict=True):
        share = factor * math.sin(leg.from_horizontal)
        assert leg.share_low - 1e-9 <= share <= leg.share_high + 1e-9
    assert sum(f * math.sin(leg.from_horizontal) for f, leg in zip(blend, case.legs, strict=True)) == (
        pytest.approx(1.0)
    )


def test_centre_outside_the_legs_leaves_nothing_to_hold_it():
    picks = {f"{x}{y}": (float(x), float(y), 0.0) for x in (-1, 1) for y in (-1, 1)}
    case = carry(picks, (1.2, 0, 3), (1.2, 0, -0.5), 100.0, flat_angle_stated_by="test")

    assert not case.balanced
    assert case.rest is not None


def test_a_flat_leg_is_refused_by_name():
    with pytest.raises(FlatLegError, match=r"leg at b: a leg at 26\.6° from the horizontal is under 30°"):
        carry({"a": (-0.1, 0, 0), "b": (2, 0, 0)}, (0, 0, 1), (0, 0, -0.2))


def test_exactly_thirty_degrees_is_not_refused():
    assert angle_factor(math.radians(30)) == pytest.approx(2.0)
    with pytest.raises(FlatLegError, match="a leg must rise to the hook"):
        angle_factor(0.0)


@pytest.mark.parametrize(
    ("picks", "hook", "says"),
    [
        ({}, (0, 0, 1), "no pick points: name at least one"),
        ({"a": (0, 0, 0), "b": (0, 0, 0)}, (0, 0, 1), "a and b are the same place"),
        ({"a": (0, 0, 1)}, (0, 0, 1), "the hook is at a itself"),
        ({"a": (0, 0, 0)}, (0, 0, -1), "the hook must be above the centre of gravity"),
    ],
)
def test_cases_that_cannot_be(picks, hook, says):
    with pytest.raises(StaticsError, match=says):
        carry(picks, hook, (0, 0, -0.5))


def test_more_legs_than_can_be_gone_through():
    picks = {str(i): (math.cos(i), math.sin(i), 0.0) for i in range(13)}

    with pytest.raises(StaticsError, match="13 legs are more than the 12 that can be gone through"):
        carry(picks, (0, 0, 3), (0, 0, -0.5))


def test_level_hook_is_as_high_as_the_shortest_reach():
    hook = level_hook({"a": (-0.3, 0, 0), "b": (0.4, 0, 0.1)}, {"a": 0.5, "b": 0.9}, (0, 0, -1))

    assert hook == pytest.approx((0, 0, 0.4))
    with pytest.raises(
        StaticsError, match=r"the leg at b \(0\.300 m\) is too short to reach over the centre"
    ):
        level_hook({"b": (0.4, 0, 0)}, {"b": 0.3}, (0, 0, 0))


def test_rules_need_a_mass():
    with pytest.raises(UnknownMassError, match="rules for multi-leg slings: the mass is not known"):
        by_rules((), 4, 0.3, None)


def test_dot_of_leg_and_up_is_its_sine():
    case = carry({"a": (0.3, 0.4, 0)}, (0, 0, 1), (0.0, 0, -0.2))

    assert math.sin(case.legs[0].from_horizontal) == pytest.approx(dot(unit((-0.3, -0.4, 1)), (0, 0, 1)))
    assert math.pi / 2 - case.legs[0].from_horizontal == pytest.approx(math.atan(0.5))
