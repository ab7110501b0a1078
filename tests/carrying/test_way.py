"""The way: room at doors and beams; what is not recorded never counts as room."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.way import Opening, along_the_way
from handling_db.moving.notices import told

DOOR = Opening(name="side door", width=1.0, height=2.1)
BEAM = Opening(name="crane beam", width=None, height=1.9, open_aside=True)
SIZES = st.none() | st.floats(0.1, 4)


def test_room_both_ways_round():
    way = along_the_way(length=1.2, width=0.8, height=0.9, carried_at=0.15, openings=[DOOR, BEAM])

    assert (way.turned, way.straight) == ("does not go through", "room left")
    door = way.passages[0]
    assert pytest.approx((0.2, -0.2, 1.05)) == (door.room_straight, door.room_turned, door.room_above)
    assert (way.narrowest, way.lowest) == (("side door", 1.0), ("crane beam", 1.9))
    assert way.not_recorded == ()


def test_exactly_as_wide_does_not_go_through():
    way = along_the_way(length=1.2, width=1.0, height=0.9, carried_at=0.1, openings=[DOOR])

    assert way.straight == "does not go through"
    assert "Side door: too narrow both ways round." in told(way.cautions)


def test_too_low_is_said_with_the_figure():
    way = along_the_way(length=1.2, width=0.8, height=2.0, carried_at=0.15, openings=[DOOR])

    assert "Side door: too low by 50 mm." in told(way.cautions)


def test_what_is_not_recorded_is_listed():
    gate = Opening(name="gate", width=None, height=None)

    way = along_the_way(length=None, width=0.8, height=0.9, carried_at=None, openings=[DOOR, gate])

    assert (way.straight, way.turned) == ("not recorded", "not recorded")
    assert way.not_recorded == (
        "length of the load",
        "height it is carried at",
        "width of gate",
        "height of gate",
    )
    assert (
        "Not recorded: length of the load, height it is carried at, width of gate, height of "
        "gate. Measure before "
        "it moves." in told(way.cautions)
    )


def test_a_way_without_openings_is_not_recorded():
    way = along_the_way(length=1, width=1, height=1, carried_at=0, openings=[])

    assert (way.straight, way.narrowest, way.lowest) == ("not recorded", None, None)
    assert "No door, gate or beam is recorded for this way: nobody looked, or nobody wrote it down." in told(
        way.cautions
    )


def test_turning_room_is_repeated_not_worked_out():
    stated = along_the_way(
        length=1, width=1, height=1, carried_at=0, openings=[DOOR], turning_room="3.2 m in front of the door"
    )
    silent = along_the_way(length=1, width=1, height=1, carried_at=0, openings=[DOOR])

    assert "Room to turn is not worked out; stated: 3.2 m in front of the door." in told(stated.cautions)
    assert "Room to turn is not worked out; stated: nothing is recorded." in told(silent.cautions)


@given(
    length=SIZES,
    width=SIZES,
    height=SIZES,
    carried=st.none() | st.floats(0, 1),
    doors=st.lists(st.tuples(SIZES, SIZES), max_size=4),
)
def test_room_left_only_when_everything_is_recorded_and_smaller(length, width, height, carried, doors):
    openings = [Opening(name=str(i), width=w, height=h) for i, (w, h) in enumerate(doors)]

    way = along_the_way(length=length, width=width, height=height, carried_at=carried, openings=openings)

    for word, across in ((way.straight, width), (way.turned, length)):
        known = all(value is not None for pair in doors for value in pair)
        fits = (
            bool(doors)
            and known
            and None not in (across, height, carried)
            and all(across < w and height + carried < h for w, h in doors)
        )
        assert (word == "room left") == fits


def test_errors():
    with pytest.raises(MovingInputError, match="Two openings have one name: give each a name of its own"):
        along_the_way(length=1, width=1, height=1, carried_at=0, openings=[DOOR, DOOR])
    with pytest.raises(MovingInputError, match="the width is 0; it has to be above zero: give it in metres"):
        along_the_way(length=1, width=0, height=1, carried_at=0, openings=[DOOR])
