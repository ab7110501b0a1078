"""Turning over an edge by hand and by closed forms; random cases in space stand in tests/oracles/turning.py."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handling_db.mechanics.turn.edge_turn import (
    BackLine,
    TurnedPiece,
    Turning,
    over_edge,
    turned_point,
)
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError

HUNDRED = Amount.around(100, 2)


def box(amount, at, hook=(1.0, 0.5, 0.5), line=None, edge=1.0, **more):
    return Turning([TurnedPiece("box", amount, at, **more)], hook, edge, line)


def test_the_hook_starts_with_the_share_of_a_lever():
    turn = over_edge(box(HUNDRED, (0.5, 0.5, 0.5)))

    assert turn.steps[0].hook == pytest.approx((49, 50, 51))
    assert turn.steps[0].ends == (pytest.approx((24.5, 25, 25.5)), pytest.approx((24.5, 25, 25.5)))
    assert turn.goes_over == pytest.approx(math.pi / 4)
    assert (turn.comes_off, turn.line_fails) == (None, None)
    assert [round(math.degrees(step.turned)) for step in turn.steps] == list(range(91))


@given(st.floats(0.1, 1), st.floats(0.05, 1), st.floats(0.1, 2), st.floats(-0.5, 0.5))
def test_moments_about_the_edge_balance_at_every_step(cx, cz, px, pz):
    assume(math.atan2(px, pz) > math.atan2(cx, cz) + 0.05)
    assume(px > cx)
    turn = over_edge(box(Amount.exact(100.0), (cx, 0.5, cz), (px, 0.5, pz)), step=math.radians(5))

    for step in turn.steps:
        weight_arm = turned_point((cx, 0.5, cz), step.turned)[0]
        hook_arm = turned_point((px, 0.5, pz), step.turned)[0]
        if weight_arm > 0:
            assert step.hook[1] * hook_arm == pytest.approx(100.0 * weight_arm, abs=1e-6)
            assert step.over[1] == 0.0
        else:
            assert step.hook[1] == 0.0
            assert step.over[1] * math.hypot(px, pz) == pytest.approx(-100.0 * weight_arm, abs=1e-6)


def test_masses_and_places_count_together_seen():
    """Left 100 ± 5 at -400, right 100 ± 60 at 400, frame 50 ± 0.1; edge at -600, hook at 500: 192 at 0°."""
    pieces = [
        TurnedPiece("left", Amount.around(100, 5), (0.2, 0.5, 0.1)),
        TurnedPiece("right", Amount.around(100, 60), (1.0, 0.5, 0.1)),
        TurnedPiece("frame", Amount.around(50, 0.1), (0.6, 0.5, 0.1)),
    ]
    step = Turning(pieces, (1.1, 0.5, 0.05), 1.0).step(0.0)

    assert step.hook[2] == pytest.approx((105 * 0.2 + 160 * 1.0 + 50.1 * 0.6) / 1.1)
    assert round(step.hook[2]) == 192


def test_a_hook_off_the_middle_loads_one_end_of_the_edge_more():
    """By moments about the first end: 100 kg at 0.5 m less 50 kg of hook at 0.8 m, over 1 m."""
    step = box(Amount.exact(100), (0.5, 0.5, 0.5), (1.0, 0.8, 0.5)).step(0.0)

    assert step.ends is not None
    assert (step.ends[0][1], step.ends[1][1]) == pytest.approx((40, 10))


def test_a_hook_too_far_off_the_middle_is_refused_with_the_reason():
    with pytest.raises(
        StaticsError, match="off the centre plane: the load comes up over the first point of the edge"
    ):
        over_edge(box(Amount.exact(100), (0.5, 0.5, 0.5), (1.0, 1.2, 0.5)))
    with pytest.raises(StaticsError, match="stands nearer to the edge than the centre of gravity"):
        over_edge(box(Amount.exact(100), (0.5, 0.5, 0.5), (0.4, 0.5, 0.5)))


def test_it_may_come_off_the_edge_within_the_doubt_and_then_for_certain():
    """A high pick swings in: the hook carries more and more, at last all of it."""
    turn = over_edge(box(HUNDRED, (0.5, 0.5, 0.1), (0.9, 0.5, 1.2)))

    assert turn.comes_off is not None
    assert turn.surely_off is not None
    turned, end = turn.surely_off
    assert end == 2
    # Hook and centre stand at the same distance where 0.5 c - 0.1 s = 0.9 c - 1.2 s.
    assert turned == pytest.approx(math.atan2(0.4, 1.1), abs=math.radians(0.3))
    assert turn.steps[-1].turned < turned == turn.ends_at


def test_it_may_come_off_long_before_it_surely_does():
    """The hook 10 mm outside of a centre known to 50 mm: for some places it carries all of it at once."""
    corners = tuple((x, 0.5, 0.2) for _ in range(4) for x in (0.45, 0.55))
    turn = over_edge(box(Amount.exact(100), (0.5, 0.5, 0.2), (0.51, 0.5, 0.4), corners=corners))

    assert turn.comes_off == (0.0, 2, False)
    assert turn.surely_off is not None
    assert turn.surely_off[0] > 0.1


def test_the_doubt_widens_the_balance():
    corners = tuple((x, 0.5, z) for z in (0.48, 0.52) for _ in (0, 1) for x in (0.45, 0.55))
    turn = over_edge(box(HUNDRED, (0.5, 0.5, 0.5), corners=corners))

    assert turn.goes_over == pytest.approx(math.pi / 4)
    assert turn.goes_over_first == pytest.approx(math.atan2(0.45, 0.52))
    assert turn.goes_over_last == pytest.approx(math.atan2(0.55, 0.48))
    assert turn.steps[0].hook[2] == pytest.approx(102 * 0.55)


def test_a_level_line_holds_it_back_past_the_balance():
    """At 90° the box stands on its side: 100 kg 0.5 m beyond the edge, a level line 1.0 m up holds 50 kg."""
    line = BackLine((1.0, 0.5, 0.0), (5.0, 0.5, 1.0))
    turn = over_edge(box(Amount.exact(100), (0.5, 0.5, 0.5), line=line))
    last = turn.steps[-1]

    assert last.line == pytest.approx((50, 50, 50))
    assert last.sideways == pytest.approx(0.5)
    assert last.hook == (0, 0, 0)
    assert turn.worst_line is not None
    assert turn.worst_line.turned == pytest.approx(math.pi / 2)
    assert turn.line_fails is None


def test_a_line_that_runs_the_wrong_way_fails_at_the_balance():
    line = BackLine((1.0, 0.5, 0.0), (-5.0, 0.5, 1.0))
    turn = over_edge(box(Amount.exact(100), (0.5, 0.5, 0.5), line=line))

    assert turn.line_fails == pytest.approx(math.pi / 4, abs=math.radians(0.3))
    assert turn.steps[-1].line is None
    assert turn.steps[-1].ends is None


def test_a_second_hook_over_the_far_side_carries_it_down():
    """Plumb over a point that has gone over with it: 100 kg at 0.5 m beyond, the hook at 1.0 m beyond."""
    line = BackLine((0.0, 0.5, 1.0), None)
    last = over_edge(box(Amount.exact(100), (0.5, 0.5, 0.5), line=line)).steps[-1]

    assert last.line == pytest.approx((50, 50, 50))
    assert last.sideways == 0.0


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        (
            {"amount": Amount(90, 100, None)},
            "no mass for box, which could move it without bound",
        ),
        ({"at": (-0.1, 0.5, 0.5)}, "beyond the edge already"),
        ({"hook": (-0.1, 0.5, 0.5)}, "the pick point must lie on the lifted side of the edge"),
        ({"edge": 0.0}, "the turning edge needs two different points"),
        ({"at": None}, "there is no mass with a place"),
    ],
)
def test_turns_that_cannot_be(changed, says):
    given_values = {"amount": HUNDRED, "at": (0.5, 0.5, 0.5)}

    with pytest.raises((StaticsError, UnknownMassError), match=says):
        box(**{**given_values, **changed})


def test_an_angle_that_no_turn_has_is_refused():
    with pytest.raises(StaticsError, match="a turn goes from 0° to at most 180°"):
        over_edge(box(HUNDRED, (0.5, 0.5, 0.5)), to_angle=4.0)
