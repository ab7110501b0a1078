from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.turn.two_hooks import two_hooks
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError
from tests.telling import words

LOAD = Amount.exact(1000.0)


def tail(p, q, degrees, s=4.0):
    """Tail part at an angle: head at the origin, tail at s, centre p along and q below."""
    turn = two_hooks(LOAD, (p, -q), (0.0, 0.0), (s, 0.0), step=math.radians(1))
    return next(step for step in turn.steps if step.turned == pytest.approx(math.radians(degrees))).tail_part


@given(st.floats(0.5, 3.5), st.floats(-0.5, 0.5), st.integers(0, 80), st.floats(3.6, 6))
def test_tailing_by_moments_about_the_head_pick(p, q, degrees, s):
    assert tail(p, q, degrees, s) == pytest.approx(p / s - q / s * math.tan(math.radians(degrees)), abs=1e-9)


def test_on_the_line_of_picks_the_loads_stay_and_then_jump():
    turn = two_hooks(LOAD, (1.0, 0.0), (0.0, 0.0), (4.0, 0.0))

    assert {round(step.tail_part, 9) for step in turn.steps} == {0.25}
    assert turn.steps[-1].turned < math.pi / 2 - 1e-9  # upright itself has no answer
    assert words(turn.says) == [
        "the head hook takes the whole load once it is upright: size it for all of it.",
        "at the end the picks come plumb over one another: the tail's share jumps to nothing there.",
    ]
    assert turn.head_size_kg == 1000.0


def test_midway_they_share_alike():
    assert tail(2.0, 0.0, 45) == pytest.approx(0.5)


def test_a_centre_below_the_line_slackens_the_tail():
    turn = two_hooks(LOAD, (1.0, -1.0), (0.0, 0.0), (4.0, 0.0))

    assert turn.tail_slack_at == pytest.approx(math.pi / 4, abs=math.radians(0.11))
    assert any("the tail hook is slack from 45°" in said for said in words(turn.says))


def test_a_centre_above_the_line_loads_the_tail_more_as_it_rises():
    turn = two_hooks(LOAD, (1.0, 0.5), (0.0, 0.0), (4.0, 0.0), to_angle=math.radians(60))

    assert turn.worst_tail.turned == pytest.approx(math.radians(60))
    assert turn.worst_tail.tail_part == pytest.approx(0.25 + 0.125 * math.tan(math.radians(60)))
    assert any("the tail hook takes most not at the start but at 60°" in said for said in words(turn.says))


@given(st.floats(0.5, 3.5), st.floats(0.05, 1.0), st.floats(3.6, 6))
def test_a_hook_that_would_have_to_push_ends_the_turn(p, q, s):
    """Closed form: with the centre q above the line the head carries nothing at atan((s - p) / q)."""
    turn = two_hooks(LOAD, (p, q), (0.0, 0.0), (s, 0.0))
    slack = math.atan((s - p) / q)

    assert turn.head_slack_at == pytest.approx(slack, abs=math.radians(0.11))
    assert turn.worst_tail.tail_kg <= 1000.0
    assert turn.worst_tail.turned < slack
    assert any("swings over the tail hook" in said for said in words(turn.says))
    assert not any("plumb over one another" in said for said in words(turn.says))


def test_the_other_hand_gives_the_same():
    """Tail on the left of the head."""
    right = two_hooks(LOAD, (1.0, -0.3), (0.0, 0.0), (4.0, 0.0), to_angle=1.0)
    left = two_hooks(LOAD, (-1.0, -0.3), (0.0, 0.0), (-4.0, 0.0), to_angle=1.0)

    assert [s.tail_part for s in left.steps] == pytest.approx([s.tail_part for s in right.steps])


def test_refusals():
    with pytest.raises(UnknownMassError, match="turning on two hooks: the mass is not known"):
        two_hooks(None, (1, 0), (0, 0), (4, 0))
    with pytest.raises(StaticsError, match="the two picks are plumb over one another"):
        two_hooks(LOAD, (1, 0), (0, 0), (0, -4))
    with pytest.raises(StaticsError, match="upending goes from 0° to at most 90°"):
        two_hooks(LOAD, (1, 0), (0, 0), (4, 0), to_angle=2.0)
