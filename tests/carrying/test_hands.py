"""The shop's own hand limit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.hands import HandPart, hand_limit
from handling_db.moving.notices import told

RULE = "One person lifts up to 25 kg, from 25 kg on a hoist is used."


def test_25_6_against_25_is_above():
    """Neither rounding to 26 nor to 25 hides it."""
    got = hand_limit(
        [HandPart(name="output gear", low_kg=25.5, high_kg=25.7)], limit_kg=25, rule=RULE, call="foreman"
    )

    assert (got.above, got.words) == (("output gear",), (("output gear", "above"),))
    assert got.rule == RULE
    assert "To call: foreman." in told(got.cautions)


def test_unknown_parts_stay_in_the_answer():
    got = hand_limit(
        [
            HandPart(name="pump", low_kg=8.3, high_kg=9.3),
            HandPart(name="drive", low_kg=None, high_kg=None),
            HandPart(name="kit", low_kg=30, high_kg=None),
            HandPart(name="case", low_kg=157.5, high_kg=158.5),
            HandPart(name="cover", low_kg=24.8, high_kg=25.2),
        ],
        limit_kg=25,
        rule=None,
        call=None,
    )

    assert (
        got.above,
        got.may_be_above,
        got.not_known,
        got.below,
    ) == (("case", "kit"), ("cover",), ("drive",), ("pump",))
    assert "Not known, so perhaps above the limit: drive." in told(got.cautions)
    assert got.rule == "The shop's rule is not recorded."
    assert "Who is called is not recorded for this shop." in told(got.cautions)


def test_no_limit_stated_makes_nothing_below():
    got = hand_limit([HandPart(name="pin", low_kg=1, high_kg=1.2)], limit_kg=None, rule=None, call=None)

    assert (got.not_known, got.below) == (("pin",), ())
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
    named = [HandPart(name=str(i), low_kg=low, high_kg=high) for i, (low, high) in enumerate(parts)]

    got = hand_limit(named, limit_kg=limit, rule=RULE, call=None)
    together = [*got.above, *got.may_be_above, *got.not_known, *got.below]
    assert sorted(together) == sorted(part.name for part in named)
    assert all(named[int(name)].high_kg < limit for name in got.below)


def test_error():
    with pytest.raises(MovingInputError, match="the low figure 3 kg is above the high 2 kg"):
        hand_limit([HandPart(name="x", low_kg=3, high_kg=2)], limit_kg=25, rule=RULE, call=None)
