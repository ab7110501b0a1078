"""A serial number instead of a job, and units in hand named wherever a piece of theirs is asked about."""

from __future__ import annotations

import pytest

from handling_db.errors import HandlingError
from handling_db.moving.answer import move_answer
from handling_db.moving.notices import told
from handling_db.moving.question import MoveQuestion
from handling_db.moving.texts import read_question
from handling_db.shop.answer import shop_answer
from handling_db.shop.fixtures import fixtures_answer
from handling_db.shop.hands import hands_answer
from handling_db.shop.text import fixtures_text, hands_text, shop_text

STILL_IN = "job qsn-1187, serial 1187: still in 4 x through-bolts M10"


@pytest.mark.parametrize("what", ["upper-half-lift", "gear-section", "gear-case"])
def test_the_one_open_job_of_a_serial_counts(demo, what):
    named = move_answer(demo, MoveQuestion(what=what, job="qsn-1187"))
    by_serial = move_answer(demo, MoveQuestion(what=what, serial=1187))
    assert by_serial.job == named.job == "qsn-1187"
    assert by_serial.build == named.build
    assert by_serial.gross == named.gross


def test_another_serial_has_no_job_and_is_said_to_be_outside(demo):
    answer = move_answer(demo, MoveQuestion(what="upper-half-lift", serial=9999))
    assert (answer.job, answer.serial, answer.jobs) == ("", "9999", ())
    assert any(
        text.startswith("Serial 9999 is outside of what is recorded") for text in told(answer.not_known)
    )


def test_a_serial_is_a_number():
    assert read_question("x", {"serial": "1187"}).serial == 1187
    with pytest.raises(HandlingError, match="serial='eleven' is not a number"):
        read_question("x", {"serial": "eleven"})


def test_hands_fixtures_and_shop_name_the_unit_in_hand(demo):
    assert STILL_IN in hands_text(hands_answer(demo, "gear-section"))
    assert STILL_IN in fixtures_text(fixtures_answer(demo, "gear-section"))
    assert STILL_IN in shop_text(shop_answer(demo, "gear-section", "quay-shed-nine"))
    other = hands_answer(demo, "saw-gearbox")
    assert other.jobs == ()
