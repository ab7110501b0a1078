"""The shop's own hand limit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.hands import HandLine, hand_limit
from handling_db.moving.notices import told
from handling_db.quantities.amount import Amount


def line(name, low, high):
    load = None if low is None else Amount(low, low, high)
    return HandLine(name, name, "1", load)


RULE = "One person lifts up to 25 kg, from 25 kg on a hoist is used."


def test_25_6_against_25_is_above():
    """Neither rounding to 26 nor to 25 hides it."""
    got = hand_limit([line("output gear", 25.5, 25.7)], limit_kg=25, rule=RULE, call="foreman")

    assert [(one.id, one.word) for one in got.above] == [("output gear", "above")]
    assert got.rule.facts == {"rule": RULE}
    assert "To call: foreman." in told(got.cautions)


def test_unknown_parts_stay_in_the_answer():
    got = hand_limit(
        [
            line("pump", 8.3, 9.3),
            line("drive", None, None),
            line("kit", 30, None),
            line("case", 157.5, 158.5),
            line("cover", 24.8, 25.2),
        ],
        limit_kg=25,
        rule=None,
        call=None,
    )

    listed = (got.above, got.may_be_above, got.not_known, got.below)
    assert [[one.id for one in several] for several in listed] == [
        ["case", "kit"],
        ["cover"],
        ["drive"],
        ["pump"],
    ]
    assert "Not known, so perhaps above the limit: drive." in told(got.cautions)
    assert told([got.rule]) == ["The shop's rule is not recorded."]
    assert "Who is called is not recorded for this shop." in told(got.cautions)


def test_no_limit_stated_makes_nothing_below():
    got = hand_limit([line("pin", 1, 1.2)], limit_kg=None, rule=None, call=None)

    assert ([one.id for one in got.not_known], got.below) == (["pin"], ())
    assert (
        told(got.cautions)[0]
        == "The shop states no limit for lifting by hand: ask before anything is lifted."
    )


@given(
    parts=st.lists(
        st.tuples(st.floats(0, 100), st.none() | st.floats(0, 100)).map(
            lambda pair: (pair[0], None if pair[1] is None else pair[0] + pair[1])
        ),
        max_size=8,
    ),
    limit=st.none() | st.floats(1, 50),
)
def test_every_part_is_in_exactly_one_list(parts, limit):
    named = [line(str(i), low, high) for i, (low, high) in enumerate(parts)]

    got = hand_limit(named, limit_kg=limit, rule=RULE, call=None)
    together = [*got.above, *got.may_be_above, *got.not_known, *got.below]
    assert sorted(one.id for one in together) == sorted(one.id for one in named)
    assert all(one.load.high < limit for one in got.below)


def test_error():
    with pytest.raises(MovingInputError, match="the limit is 0; it has to be above zero"):
        hand_limit([line("x", 2, 3)], limit_kg=0, rule=RULE, call=None)
