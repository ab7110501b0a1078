"""Packing: limits are kept, nothing is lost, proof is only claimed where there is one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.packing import PieceToMove, TripLimits, fewest_pallets
from handling_db.moving.notices import notice_words, told


def _pieces(*masses):
    return [PieceToMove(name=f"p{number}", mass_kg=mass) for number, mass in enumerate(masses, start=1)]


@pytest.fixture
def first_fit(monkeypatch):
    """Everything is too much to try."""
    monkeypatch.setattr("handling_db.carrying.packing.MOST_YES_NO", 0)


def test_exact_beats_first_fit(monkeypatch):
    pieces, limits = _pieces(44, 24, 24, 22, 21, 17, 8, 8, 6, 6), TripLimits(mass_kg=61)

    exact = fewest_pallets(pieces, limits)
    monkeypatch.setattr("handling_db.carrying.packing.MOST_YES_NO", 0)
    simple = fewest_pallets(pieces, limits)

    assert exact.number <= simple.number
    assert (exact.number, exact.proved_smallest, exact.at_least) == (3, True, 3)
    assert (simple.number, simple.proved_smallest, simple.at_least) == (4, False, 3)
    assert "Not proved smallest: fewer may do." in told(simple.cautions)


def test_counting_is_proof_enough(first_fit):
    """Three pieces of over half the limit need three pallets: no solver asked."""
    got = fewest_pallets(_pieces(10, 10, 10), TripLimits(mass_kg=10))

    assert (got.number, got.proved_smallest, got.at_least) == (3, True, 3)


def test_what_cannot_be_placed_is_listed_with_its_reason():
    masses = {"pump": None, "case": 1200, "shaft": 20}
    pieces = [PieceToMove(name=name, mass_kg=mass) for name, mass in masses.items()]

    got = fewest_pallets(pieces, TripLimits(mass_kg=1000, places=4))

    assert tuple((name, notice_words(why)) for name, why in got.not_placed) == (
        ("pump", "its mass is not known"),
        ("case", "1200 kg (2646 lb) is above the limit of 1000 kg (2205 lb) by itself"),
    )
    assert got.number == 1
    assert "Not placed: pump, case. The number is for the other pieces: at least." in told(got.cautions)


def test_nothing_to_place():
    got = fewest_pallets([PieceToMove(name="pump", mass_kg=None)], TripLimits(mass_kg=10))

    assert (got.number, got.at_least) == (0, 0)
    assert tuple((name, notice_words(why)) for name, why in got.not_placed) == (
        ("pump", "its mass is not known"),
    )


def test_an_answer_that_oversteps_a_limit_is_not_taken():
    """Any two are four millionths over: within the tolerance of the solver, and over all the same."""
    got = fewest_pallets(_pieces(5.000004, 5.000004, 5.0), TripLimits(mass_kg=10))

    assert got.number == 3
    assert max(load.mass_kg for load in got.loads) <= 10


def test_an_answer_cut_short_by_time_is_not_proved(monkeypatch):
    import scipy.optimize

    solve = scipy.optimize.milp

    def cut_short(*args, **options):
        result = solve(*args, **options)
        result.status, result.mip_dual_bound = 1, 1.0
        return result

    monkeypatch.setattr(scipy.optimize, "milp", cut_short)
    got = fewest_pallets(_pieces(6, 6, 6, 1), TripLimits(mass_kg=10))

    assert (got.number, got.proved_smallest, got.at_least) == (3, False, 2)
    assert "Not proved smallest: fewer may do." in told(got.cautions)


def test_no_answer_in_time_keeps_the_first_fit(monkeypatch):
    import scipy.optimize

    solve = scipy.optimize.milp

    def nothing(*args, **options):
        result = solve(*args, **options)
        result.x, result.status = None, 1
        return result

    monkeypatch.setattr(scipy.optimize, "milp", nothing)
    got = fewest_pallets(_pieces(6, 6, 6, 1), TripLimits(mass_kg=10))

    assert (got.number, got.proved_smallest, got.method) == (3, False, "first fit")
    assert "The exact solver gave no answer in its time: not proved smallest." in told(got.cautions)


def test_too_much_to_try_says_so():
    got = fewest_pallets(_pieces(*[6] * 90, 1), TripLimits(mass_kg=10))

    assert got.proved_smallest is False
    assert any("there is too much to try" in one for one in told(got.cautions))


@pytest.mark.parametrize(
    ("pieces", "limits", "message"),
    [
        (
            [PieceToMove(name="a", mass_kg=1)],
            TripLimits(mass_kg=5, places=0),
            "0 places: a pallet needs one or more; leave it out for no limit.",
        ),
        (
            [PieceToMove(name="a", mass_kg=0)],
            TripLimits(mass_kg=5),
            "the mass of a is 0; it has to be above zero: give the heaviest believable figure in kg.",
        ),
        (
            [PieceToMove(name="a", mass_kg=1)],
            TripLimits(mass_kg=0),
            "the mass limit of a pallet is 0; it has to be above zero: give it in kg.",
        ),
    ],
)
def test_errors(pieces, limits, message):
    with pytest.raises(MovingInputError) as error:
        fewest_pallets(pieces, limits)

    assert message == str(error.value)


@settings(max_examples=16, deadline=None)
@given(masses=st.lists(st.integers(1, 60), min_size=1, max_size=7), places=st.sampled_from([None, 1, 2, 3]))
def test_limits_are_kept_and_nothing_is_lost(masses, places):
    pieces = _pieces(*masses)
    got = fewest_pallets(pieces, TripLimits(mass_kg=60, places=places))

    placed = [name for load in got.loads for name in load.pieces]
    assert sorted(placed) == sorted(piece.name for piece in pieces)
    assert got.at_least <= got.number
    assert not got.proved_smallest or got.at_least == got.number
    by_name = {piece.name: piece.mass_kg for piece in pieces}
    for load in got.loads:
        assert load.mass_kg == sum(by_name[name] for name in load.pieces) <= 60
        assert len(load.pieces) <= (places or 7)
