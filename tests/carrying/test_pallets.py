"""Pallets: gross, rating by kind of load distribution, stacking."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.demand import Demand
from handling_db.carrying.pallets import DISTRIBUTIONS, NOTHING, gross, rated_for, stacking
from handling_db.moving.notices import told

FIGURES = st.lists(st.floats(min_value=0, max_value=1e4), min_size=3, max_size=3).map(
    lambda x: tuple(sorted(x))
)
MAYBE = st.none() | FIGURES


@given(piece=MAYBE, oil=MAYBE, packing=MAYBE, pallet=MAYBE, straps=MAYBE)
def test_unknown_is_never_zero(piece, oil, packing, pallet, straps):
    total = gross(piece=piece, oil=oil, packing=packing, pallet=pallet, others=[("straps", straps)])

    named = {"piece": piece, "oil": oil, "packing": packing, "straps": straps, "pallet": pallet}
    assert set(total.missing) == {name for name, value in named.items() if value is None}
    assert (total.high_kg is None) == bool(total.missing) == (not total.complete)
    assert total.low_kg <= total.best_kg * (1 + 1e-12)
    if total.high_kg is not None:
        assert total.best_kg <= total.high_kg * (1 + 1e-12)
    assert (total.without_pallet.high_kg is None) == bool(set(total.missing) - {"pallet"})


def test_gross_names_what_is_missing():
    total = gross(piece=(100, 101, 102), oil=None, packing=NOTHING, pallet=(38, 38, 38))

    assert (total.best_kg, total.high_kg, total.missing) == (139, None, ("oil",))


def test_gross_error():
    with pytest.raises(MovingInputError) as error:
        gross(piece=(102, 101, 103), oil=NOTHING, packing=NOTHING, pallet=NOTHING)

    assert (
        str(error.value)
        == "piece (on the pallet): 102, 101, 103 kg are not in order; give low, best and high."
    )


RATINGS = {"any": 1000.0, "even": 1500.0, "full surface": 2000.0}


@pytest.mark.parametrize(
    ("ratings", "distribution", "used", "rating"),
    [
        (RATINGS, "any", "any", 1000),
        (RATINGS, "even", "even", 1500),
        (RATINGS, "full surface", "full surface", 2000),
        (RATINGS, None, "any", 1000),
        ({"any": 1000.0}, "even", "any", 1000),  # a harder kind holds for an easier one
        ({"even": 1500.0}, "any", None, None),  # never the other way round
        ({"any": None, "even": 1500.0}, "any", None, None),
        ({}, "even", None, None),
    ],
)
def test_rating_by_distribution(ratings, distribution, used, rating):
    answer = rated_for(Demand(name="load", low_kg=800, high_kg=900), ratings, distribution)

    assert (used, rating) == (answer.used, answer.beside.rating_kg)
    assert (rating is None) == (answer.beside.word == "not known")


@given(
    ratings=st.dictionaries(st.sampled_from(DISTRIBUTIONS), st.none() | st.floats(1, 1e4)),
    wanted=st.none() | st.sampled_from(DISTRIBUTIONS),
)
def test_rating_never_from_an_easier_kind(ratings, wanted):
    used = rated_for(Demand(name="load", low_kg=1, high_kg=2), ratings, wanted).used

    assert used is None or DISTRIBUTIONS.index(used) <= DISTRIBUTIONS.index(wanted or "any")


def test_rating_says_what_it_assumed():
    said = told(rated_for(Demand(name="load", low_kg=1, high_kg=2), {"any": 1000.0}, None).cautions)

    assert "How the load is spread is not recorded: taken as standing on a few points (any)." in said
    assert "Feet on single boards: a board can break far below the rating of the pallet." in said


def test_unknown_distribution():
    with pytest.raises(MovingInputError) as error:
        rated_for(Demand(name="load", low_kg=1, high_kg=2), RATINGS, "flat")

    assert str(error.value) == "'flat' is no kind of load distribution: write any, even, full surface."


def test_stacking_is_no_unless_stated():
    assert told(map(stacking, (None, 0, 300))) == [
        "Not to be stacked: nothing is stated about a load on top.",
        "Not to be stacked: stated.",
        "Stated for a load on top: 300 kg (661 lb).",
    ]
