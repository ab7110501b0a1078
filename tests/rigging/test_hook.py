from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError
from handling_db.quantities.notice import Notice
from handling_db.quantities.sentence import clause
from handling_db.rigging.hook import RatedItem, ReadoutError, expected_reading, stop_figures
from handling_db.rigging.words import CLAUSES

masses = st.floats(0.1, 1000)
CELL = ReadoutError(0.01)
PARTS = {"lift group": Amount.around(100, 2), "fluid": Amount.around(1, 1), "rigging": Amount.around(10, 0.5)}


@given(masses, masses, st.floats(0, 0.05), st.floats(0, 5))
def test_the_cell_error_stays_apart_from_the_doubt_of_the_load(group, gear, part, fixed):
    expected = expected_reading(
        {"group": Amount.exact(group), "gear": Amount.exact(gear)}, ReadoutError(part, fixed)
    )

    assert expected.load.best == pytest.approx(group + gear)
    assert expected.look_again_kg == pytest.approx((group + gear) * (1 + part) + fixed)


def test_an_unknown_part_makes_it_at_least_and_leaves_no_look_again():
    expected = expected_reading({**PARTS, "packing": None}, CELL)

    assert expected.load.best == 111
    assert expected.load.high is None
    assert expected.look_again_kg is None
    assert expected.missing == ("packing",)


def test_an_unknown_cell_error_leaves_no_look_again():
    expected = expected_reading(PARTS, None)

    assert expected.look_again_kg is None


def test_nothing_known_is_refused():
    with pytest.raises(UnknownMassError, match="no mass is known"):
        expected_reading({"lift group": None}, CELL)


@pytest.mark.parametrize("values", [(-0.1, 0.0), (1.0, 0.0), (0.01, -1.0), (0.01, math.inf)])
def test_a_cell_error_is_a_part_and_a_mass(values):
    with pytest.raises(StaticsError, match="an error of the cell is a part of the reading"):
        ReadoutError(*values)


def told(notice, first="kg"):
    return clause(CLAUSES, notice, first=first)


def stop(**changed):
    given_values = {
        "rated": [
            RatedItem("hoist", 500.0, 500.0, "the reading"),
            RatedItem("leg", 150.0, 418.0, "its part of the piece"),
        ],
        "break_loose_part": 0.10,
        "other_half": Amount.around(200, 5),
    }
    expected = changed.pop("expected", expected_reading(PARTS, CELL))
    return stop_figures(expected, **{**given_values, **changed})


def test_every_limit_with_its_reason_smallest_first():
    found = stop()

    # The error of the cell, 1 %, comes off each but the shop's own limit, which is one of the reading.
    assert [limit.at_kg for limit in found.limits] == pytest.approx([122.1, 302.5 * 0.99, 418 * 0.99, 495])
    assert told(found.reason) == "the shop's limit for breaking loose, 10% over the expected reading"
    assert told(found.limits[1].reason) == (
        "both halves come up: expected 111 kg (245 lb) and the other half 200 kg (441 lb) make 311 kg (686 lb), "
        "at the earliest 299 kg (660 lb)"
    )
    assert told(found.limits[2].reason, "lb") == (
        "rating of leg, 331 lb (150 kg), which sees its part of the piece, less 9.2 lb (4.2 kg) for the error of "
        "the cell"
    )
    assert told(found.limits[3].reason) == (
        "rating of hoist, 500 kg (1102 lb), which sees the reading, less 5.0 kg (11.0 lb) for the error of the cell"
    )
    assert found.not_known == ()


def test_what_is_not_known_is_listed_and_never_counted_as_no_limit():
    found = stop(
        rated=[RatedItem("hoist", None), RatedItem("leg", 200.0, 200.0), RatedItem("hook", 900.0, None)],
        break_loose_part=None,
        other_half=None,
    )

    assert [limit.at_kg for limit in found.limits] == [198.0]
    assert tuple(map(told, found.not_known)) == (
        "rating of hoist",
        "at which reading hook reaches its rating",
        "the shop's limit for breaking loose",
        "the mass of the other half, so the reading at which both come up",
    )


def test_without_the_error_of_the_cell_the_ratings_stay_and_it_is_said():
    found = stop(expected=expected_reading(PARTS, None))

    assert "the error of the cell, which comes off each rating" in map(told, found.not_known)
    assert [limit.at_kg for limit in found.limits] == pytest.approx([122.1, 302.5, 418, 500])


def test_an_at_least_reading_gives_no_shop_limit_but_keeps_the_others():
    found = stop(expected=expected_reading({**PARTS, "packing": None}, CELL))

    assert tuple(map(told, found.not_known)) == (
        "mass of packing",
        "the shop's limit for breaking loose, because the expected reading is only 'at least'",
    )
    assert found.at_kg == pytest.approx(302.5 * 0.99)


def test_an_other_half_with_a_missing_part_still_gives_its_earliest_figure():
    found = stop(other_half=Amount(195, 200, None))

    assert any(limit.at_kg == pytest.approx(302.5 * 0.99) for limit in found.limits)


def test_a_refusal_says_why_a_rating_is_not_used():
    due = Notice("inspection past", {"due": "2026-11-24"})

    with pytest.raises(
        UnknownMassError, match=r"rating of hoist \(inspection was due on 2026-11-24: its rating"
    ):
        stop(rated=[RatedItem("hoist", None, why=due)], break_loose_part=None, other_half=None)


def test_no_limit_at_all_is_refused():
    with pytest.raises(
        UnknownMassError, match="no stop figure can be named; not known: ratings of hoist, slings"
    ):
        stop(rated=[], break_loose_part=None, other_half=None)


def test_ratings_and_limits_that_cannot_be():
    with pytest.raises(StaticsError, match="hoist: a rating must be more than 0"):
        stop(rated=[RatedItem("hoist", 0.0, 10.0)])
    with pytest.raises(
        StaticsError, match=r"the shop's limit for breaking loose is a part such as 0\.10, not 10"
    ):
        stop(break_loose_part=10)
