"""Weighings: one method, nothing forgotten on the scale, no difference the wrong way round."""

from __future__ import annotations

import pytest

from handling_db.records.kinds.weighing import Weighing

SAID = {"weighing": "w1", "of": "unit", "source": "floor-scale", "on": "2026-03-09", "by": "foreman"}
GROSS = {"gross": "844 kg", "tare": "none", "checked by": "foreman"}
ONE_METHOD = "write exactly one of: gross (with tare), difference, two supports"
DIFFERENCE = {"with it": "80 kg", "without it": "50 kg"}
SUPPORTS = {"first": "400 kg", "second": "300 kg", "apart": "700 mm", "along": "x", "first at": "-17 mm"}


@pytest.mark.parametrize(
    ("fields", "where", "message"),
    [
        (GROSS, "", None),
        ({"gross": "844 kg", "tare": "38 kg"}, "", None),
        ({"difference": DIFFERENCE}, "", None),
        ({"two supports": SUPPORTS}, "", None),
        ({}, "", ONE_METHOD),
        ({**GROSS, "difference": DIFFERENCE}, "", ONE_METHOD),
        ({"difference": DIFFERENCE, "two supports": SUPPORTS}, "", ONE_METHOD),
        (
            {"gross": "844 kg"},
            "",
            "'gross' needs 'tare': what stood on the scale that is not the piece, or 'none'",
        ),
        (
            {"gross": "844 kg", "tare": "nobody looked"},
            "",
            "'gross' needs 'tare': what stood on the scale that is not the piece, or 'none'",
        ),
        ({"gross": "844 kg", "tare": "none"}, "", "'tare: none' needs 'checked by': write whose role looked"),
        (
            {"gross": "844 kg", "tare": "0 kg"},
            "",
            "a tare of 0 is the word 'none', with 'checked by': whose role looked",
        ),
        (
            {**GROSS, "gross": "0 kg"},
            "",
            "a gross of 0 says that nothing was weighed; leave the weighing out",
        ),
        ({"difference": DIFFERENCE, "tare": "38 kg"}, "", "'tare' goes with 'gross'"),
        ({"gross": "38 kg", "tare": "38 kg"}, "", "the tare 38 kg is not less than the gross 38 kg"),
        ({"gross": "38 kg", "tare": "84 lb"}, "", "the tare 84 lb is not less than the gross 38 kg"),
        (
            {"difference": {"with it": "50 kg", "without it": "50 kg"}},
            "",
            "'without it' must be less than 'with it'",
        ),
        ({"difference": {"with it": "50 kg"}}, "difference.without it", "Field required"),
        (
            {"two supports": {**SUPPORTS, "apart": "0 mm"}},
            "two supports",
            "'apart' is 0 mm; write the distance between the supports, above 0",
        ),
        (
            {"two supports": {**SUPPORTS, "apart": "-700 mm"}},
            "two supports",
            "'apart' is -700 mm; write the distance between the supports, above 0",
        ),
        (
            {"two supports": {**SUPPORTS, "first": "0 kg", "second": "0 kg"}},
            "two supports",
            "both readings are 0: nothing was weighed",
        ),
        ({"two supports": {**SUPPORTS, "first": "0 kg"}}, "", None),
        (
            {"two supports": {**SUPPORTS, "along": "w"}},
            "two supports.along",
            "Input should be 'x', 'y' or 'z'",
        ),
        ({**GROSS, "without": "none", "packed": "no", "state": "drained", "serial": "1187"}, "", None),
    ],
)
def test_what_a_weighing_says(fields, where, message, refusal):
    assert refusal(Weighing, {**SAID, **fields}) == ([] if message is None else [(where, message)])


def test_who_when_and_on_what_are_always_said(refusal):
    assert refusal(Weighing, {"weighing": "w1", **GROSS}) == [
        (name, "Field required") for name in ("of", "source", "on", "by")
    ]
