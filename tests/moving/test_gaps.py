"""What is not known about a move, and trucks on a way that is steeper than their books state."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.moving.answer import move_answer
from handling_db.moving.gaps import too_steep
from handling_db.moving.notices import notice_words, told
from handling_db.moving.question import MoveQuestion
from handling_db.moving.words import edge_words
from tests.from_text import SCALE, collection

BOOK, WAY = st.integers(1, 300), st.integers(0, 300)  # tenths of a degree

COLUMN = """
- component: column
  name: Column
  kind: part
  shape lies: {middle: [0 mm, 0 mm, 1000 mm]}
  masses: [{shape: {box: {length: 300 mm, width: 300 mm, height: 2000 mm}, density: steel}, made: machined, source: shape}]
  attitudes: [{id: up, name: standing, rests on: foot}]
  set down faces:
    - {id: foot, name: foot, may rest: yes, corners: [[-150 mm, -150 mm, 0 mm], [150 mm, -150 mm, 0 mm], [150 mm, 150 mm, 0 mm], [-150 mm, 150 mm, 0 mm]], square to: -z}
- {source: shape, name: by its shape, kind: 'from shape, machined'}
- {mover: steep, name: Truck, kind: forklift, rated: 3 t, slope: 5 deg}
- {mover: bare, name: Bare truck, kind: forklift, rated: 3 t}
- {shop: yard, name: Yard, movers: [steep, bare], routes: [{id: ramp, name: ramp, slope: 6 deg}, {id: lane, name: lane, slope: 5 deg}]}
"""


def trucks(book: int):
    records = collection(
        f"- {{mover: a, name: Told, kind: forklift, slope: {book / 10} deg}}\n- {{mover: b, name: Untold, kind: forklift}}\n"
    )
    return tuple(records.movers.values())


@given(BOOK, WAY)
def test_a_way_that_is_steeper_than_the_book_is_said_and_no_other(book: int, way: int) -> None:
    found = too_steep(trucks(book), math.radians(way / 10))

    assert [notice.facts["name"] for notice in found] == (["Told"] if way > book else [])


def test_without_a_slope_nothing_is_said() -> None:
    assert too_steep(trucks(50), None) == ()


@pytest.mark.parametrize(("route", "said"), [("ramp", True), ("lane", False)])
def test_the_ramp_stands_before_other_gaps(route: str, said: bool) -> None:
    answer = move_answer(collection(SCALE + COLUMN), MoveQuestion(what="column", shop="yard", route=route))

    assert ("the 5 deg that the book of Truck states" in notice_words(answer.not_known[0])) is said


def test_a_truck_without_a_recorded_slope_says_so_at_its_figures() -> None:
    answer = move_answer(collection(SCALE + COLUMN), MoveQuestion(what="column", shop="yard"))
    bare = {
        truck.id for truck in answer.trucks if "Which slope it may go on is not recorded." in told(truck.says)
    }

    assert bare == {"bare"}


def test_a_tip_angle_is_never_rounded_up() -> None:
    """Half of 300 mm over 1000 mm: 8.53 degrees, by the best figures too."""
    (standing,) = move_answer(collection(SCALE + COLUMN), MoveQuestion(what="column")).standing

    assert standing.edges[0].best_tips_at == pytest.approx(math.degrees(math.atan2(150, 1000)), abs=0.01)
    assert "goes over at 8° (best figures, level floor: 8.5°)" in edge_words(standing.edges[0], 0.0)
