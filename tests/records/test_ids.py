"""Time-ordered ids: RFC 9562's own example, and that ids made later sort later."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.errors import HandlingError
from handling_db.records.ids import made_at, time_ordered_id

TIMES = st.integers(0, (1 << 48) - 1)
CHANCE = st.binary(min_size=10, max_size=10)


def test_the_example_of_the_standard():
    """RFC 9562 (2024), appendix A.6: unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F.

    Read in the RFC's text as known to us, from memory; its time is February 22, 2022 2:22:22.00 PM GMT-05:00.
    """
    chance = (0xCC3 << 64 | 0x18C4DC0C0C07398F).to_bytes(10, "big")

    made = time_ordered_id(0x017F22E279B0, chance)

    assert made == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
    assert made_at(made) == datetime.datetime(2022, 2, 22, 19, 22, 22, tzinfo=datetime.UTC)


@given(TIMES, TIMES, CHANCE, CHANCE)
def test_later_ids_sort_later(one, two, chance, other):
    if one < two:
        assert time_ordered_id(one, chance) < time_ordered_id(two, other)


@given(TIMES, CHANCE)
def test_version_and_variant(time, chance):
    made = time_ordered_id(time, chance)

    assert len(made) == 36
    assert made[14] == "7"
    assert made[19] in "89ab"


def test_what_no_id_can_be_made_of():
    with pytest.raises(HandlingError, match="is no time that an id can carry; set the clock of this machine"):
        time_ordered_id(-1, bytes(10))
    with pytest.raises(HandlingError, match="is no time that an id can carry"):
        time_ordered_id(1 << 48, bytes(10))
    with pytest.raises(HandlingError, match="an id needs 10 random bytes, not 9"):
        time_ordered_id(0, bytes(9))


@pytest.mark.parametrize("other", ["gear-section", "0123456789ab", "017f22e2-79b0-4cc3-98c4-dc0c0c07398f"])
def test_other_ids_say_nothing_of_their_time(other):
    assert made_at(other) is None


def test_a_time_beyond_the_calendar_is_no_time():
    assert made_at(time_ordered_id((1 << 48) - 1, bytes(10))) is None
