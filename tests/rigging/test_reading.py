from __future__ import annotations

import pytest

from handling_db.quantities.amount import Amount, StaticsError
from handling_db.rigging.hook import RatedItem, ReadoutError, expected_reading, stop_figures
from handling_db.rigging.reading import OpenTie, reading_seen

EXPECTED = expected_reading({"lift group": Amount.around(380, 4)}, ReadoutError(0.01))
TIES = [
    OpenTie("harness connector", "nobody looked", holds_up_to_n=200.0),
    OpenTie("lubrication pipes", "in", holds_up_to_n=2000.0),
    OpenTie("dowels", "nobody looked"),
]


def test_an_excess_names_the_open_ties_that_could_hold_it():
    seen = reading_seen(430.0, EXPECTED, TIES)

    assert seen.excess_low_kg == pytest.approx(430 - 4.3 - 384)
    assert seen.excess_high_kg == pytest.approx(430 + 4.3 - 376)
    # A connector that holds 200 N cannot be the 409 N; what nobody rated may hold anything and comes first.
    assert [tie.name for tie in seen.ties] == ["dowels", "lubrication pipes"]
    assert seen.says[0] == "42 to 58 kg (0.41 to 0.57 kN) over what the load should weigh."
    assert seen.says[1] == "still open and able to hold that: dowels (nobody looked); lubrication pipes (in)."
    assert seen.says[2] == "or something nobody listed: fastened, stuck, or lifted along with it."


def test_inside_what_it_may_weigh_does_not_show_that_everything_is_loose():
    seen = reading_seen(383.0, EXPECTED, TIES)

    assert seen.says == ("inside what the load may weigh; that does not show that everything is loose.",)
    assert len(seen.ties) == 3


def test_under_what_it_should_weigh():
    seen = reading_seen(300.0, EXPECTED, TIES)

    assert seen.ties == ()
    assert seen.says[0].startswith("73 kg or more under what the load should weigh: part of it still rests")


def test_a_missing_mass_hides_any_excess():
    expected = expected_reading({"group": Amount.exact(380), "drive": None}, ReadoutError(0.01))

    seen = reading_seen(450.0, expected, TIES)

    assert seen.excess_low_kg is None
    assert seen.says == (
        "at least 380 kg: no mass for drive; no reading can be named above which to look again.",
        "an excess cannot be told from the missing mass.",
        "still open: dowels (nobody looked); lubrication pipes (in); harness connector (nobody looked).",
    )
    assert len(seen.ties) == 3


def test_reaching_the_stop_figure_is_said():
    stop = stop_figures(
        EXPECTED,
        rated=[RatedItem("hoist", 2000, 2000)],
        break_loose_part=0.1,
        other_half=None,
    )

    assert reading_seen(415.0, EXPECTED, [], stop=stop).says[-1] == (
        "stop: 415 kg reaches 418 kg (the shop's limit for breaking loose, 10% over the expected reading)."
    )
    assert not any("stop" in said for said in reading_seen(410.0, EXPECTED, [], stop=stop).says)


def test_a_negative_reading_is_refused():
    with pytest.raises(StaticsError, match="a reading is 0 kg or more"):
        reading_seen(-1.0, EXPECTED, [])
