from __future__ import annotations

import pytest

from handling_db.quantities.amount import Amount, StaticsError
from handling_db.rigging.hook import ReadoutError, expected_reading
from handling_db.rigging.reading import OpenTie, reading_seen

EXPECTED = expected_reading({"lift group": Amount.around(380, 4)}, ReadoutError(0.01))
TIES = [
    OpenTie("harness connector", holds_up_to_n=200.0),
    OpenTie("lubrication pipes", holds_up_to_n=2000.0),
    OpenTie("dowels"),
]


def test_an_excess_names_the_open_ties_that_could_hold_it():
    seen = reading_seen(430.0, EXPECTED, TIES)

    assert seen.excess_low_kg == pytest.approx(430 - 4.3 - 384)
    assert seen.excess_high_kg == pytest.approx(430 + 4.3 - 376)
    # A connector that holds 200 N cannot be the 409 N; what nobody rated may hold anything and comes first.
    assert [tie.name for tie in seen.ties] == ["dowels", "lubrication pipes"]


def test_inside_what_it_may_weigh_does_not_show_that_everything_is_loose():
    assert len(reading_seen(383.0, EXPECTED, TIES).ties) == 3


def test_under_what_it_should_weigh():
    seen = reading_seen(300.0, EXPECTED, TIES)

    assert seen.ties == ()
    assert seen.excess_high_kg == pytest.approx(300 + 3 - 376)


def test_a_missing_mass_hides_any_excess():
    expected = expected_reading({"group": Amount.exact(380), "drive": None}, ReadoutError(0.01))

    seen = reading_seen(450.0, expected, TIES)

    assert seen.excess_low_kg is None
    assert len(seen.ties) == 3


def test_a_negative_reading_is_refused():
    with pytest.raises(StaticsError, match="a reading is 0 kg or more"):
        reading_seen(-1.0, EXPECTED, [])
