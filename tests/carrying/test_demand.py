"""A demand beside ratings: words, percentages, what is missing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.demand import Demand, against_rating, compare, with_allowance
from handling_db.moving.notices import told
from handling_db.quantities.notice import Notice

MASSES = st.floats(min_value=0, max_value=1e5)
LIMITS = st.floats(min_value=1e-3, max_value=1e5)

NOTE = Notice("by the plate")


@pytest.mark.parametrize(
    ("low", "high", "limit", "word"),
    [
        (25.5, 25.7, 25.0, "above"),
        (24.9, 25.1, 25.0, "may be above"),
        (24.9, 25.0, 25.0, "may be above"),  # reaching the limit is not below it
        (25.0, 25.0, 25.0, "may be above"),
        (24.5, 24.7, 25.0, "below"),
        (None, 24.7, 25.0, "below"),
        (None, None, 25.0, "not known"),
        (19.0, None, 25.0, "not known"),
        (26.0, None, 25.0, "above"),  # what is known is enough to be above
        (1.0, 2.0, None, "not known"),
    ],
)
def test_words(low, high, limit, word):
    assert word == compare(low, high, limit)


@given(low=MASSES, spread=MASSES, limit=LIMITS)
def test_below_only_when_even_the_high_figure_is_below(low, spread, limit):
    word = compare(low, low + spread, limit)

    assert (word == "below") == (low + spread < limit)
    assert (word == "above") == (low > limit)


@given(low=MASSES, limit=LIMITS)
def test_without_an_upper_figure_never_below(low, limit):
    assert compare(low, None, limit) in ("above", "not known")


@pytest.mark.parametrize(
    ("low", "high", "limit", "message"),
    [
        (
            2.0,
            1.0,
            5.0,
            "the mass: the low figure 2 kg is above the high 1 kg; give them the other way round "
            "or correct them.",
        ),
        (
            -1.0,
            1.0,
            5.0,
            "the low figure of the mass is -1; it has to be zero or more: give it in kg.",
        ),
        (
            1.0,
            float("nan"),
            5.0,
            "the high figure of the mass is nan, which is not a figure: give it in kg.",
        ),
        (
            1.0,
            2.0,
            0.0,
            "the limit is 0; it has to be above zero: give the limit in kg, or nothing where none is stated.",
        ),
    ],
)
def test_bad_figures(low, high, limit, message):
    with pytest.raises(MovingInputError) as error:
        compare(low, high, limit)

    assert message == str(error.value)


def test_comparison_gives_percentage_and_what_is_left():
    line = against_rating(Demand(name="half", low_kg=440, high_kg=463), "jib hoist", 500, NOTE)

    assert pytest.approx(line.percent) == 92.6
    assert (line.left_kg, line.word, line.note, line.percent_at_least) == (37, "below", NOTE, False)


def test_at_least_demand_says_so():
    demand = Demand(name="unit", low_kg=819.5, high_kg=None, missing=("auxiliary drive",))

    line = against_rating(demand, "hoist", 2000)

    assert (line.word, line.left_kg, line.percent_at_least) == ("not known", None, True)
    assert "Unit: at least, no upper figure; not known: auxiliary drive." in told(line.cautions)


def test_a_high_figure_with_something_missing_is_refused():
    with pytest.raises(
        MovingInputError, match=r"pump is not known, so there is no highest figure; leave the high"
    ):
        against_rating(Demand(name="unit", low_kg=1, high_kg=2, missing=("pump",)), "hoist", 5)


@given(low=MASSES, spread=MASSES, fraction=st.floats(min_value=0, max_value=2))
def test_allowance_never_lowers(low, spread, fraction):
    raised = with_allowance(Demand(name="x", low_kg=low, high_kg=low + spread), fraction, "break-loose")

    assert raised.low_kg >= low
    assert raised.high_kg >= low + spread


def test_allowance_keeps_the_unknown():
    raised = with_allowance(Demand(name="x", low_kg=10, high_kg=None, missing=("oil",)), 0.1, "break-loose")

    assert (raised.high_kg, raised.missing, raised.name) == (None, ("oil",), "x, with 10 % for break-loose")
