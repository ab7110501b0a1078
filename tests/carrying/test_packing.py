"""Packing: limits are kept, nothing is lost, proof is only claimed where there is one."""

from __future__ import annotations

import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.packing import PackingError, PieceToMove, TripLimits, fewest_pallets

FOUR = ((-0.3, -0.2), (0.3, -0.2), (-0.3, 0.2), (0.3, 0.2))


def _pieces(*masses):
    return [PieceToMove(name=f"p{number}", mass_kg=mass) for number, mass in enumerate(masses, start=1)]


def test_exact_beats_first_fit():
    pieces, limits = _pieces(44, 24, 24, 22, 21, 17, 8, 8, 6, 6), TripLimits(mass_kg=61)

    simple = fewest_pallets(pieces, limits, exact=False)
    exact = fewest_pallets(pieces, limits)

    assert exact.number <= simple.number
    assert (exact.number, exact.proved_smallest, exact.at_least) == (3, True, 3)
    assert (simple.number, simple.proved_smallest, simple.at_least) == (4, False, 3)
    assert "Not proved smallest: fewer may do." in simple.cautions


def test_without_the_solver_it_says_not_proved(monkeypatch):
    monkeypatch.setitem(sys.modules, "scipy", None)
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)

    got = fewest_pallets(_pieces(44, 24, 24, 22, 21, 17, 8, 8, 6, 6), TripLimits(mass_kg=61))

    assert (got.number, got.proved_smallest, got.method) == (4, False, "first fit")
    assert "Not proved smallest: fewer may do." in got.cautions
    assert any("scipy is not installed" in one for one in got.cautions)


def test_counting_is_proof_enough():
    """Three pieces of over half the limit need three pallets: no solver asked."""
    got = fewest_pallets(_pieces(10, 10, 10), TripLimits(mass_kg=10), exact=False)

    assert (got.number, got.proved_smallest, got.at_least) == (3, True, 3)


def test_what_cannot_be_placed_is_listed_with_its_reason():
    pieces = [
        PieceToMove(name="pump", mass_kg=None, area=0.1),
        PieceToMove(name="case", mass_kg=1200, area=0.1),
        PieceToMove(name="sheet", mass_kg=20, area=2.0),
        PieceToMove(name="tube", mass_kg=20),
        PieceToMove(name="long", mass_kg=20, area=0.1, places=9),
        PieceToMove(name="shaft", mass_kg=20, area=0.1),
    ]

    got = fewest_pallets(pieces, TripLimits(mass_kg=1000, area=0.96, places=4))

    assert got.not_placed == (
        ("pump", "its mass is not known"),
        ("case", "1200 kg is above the limit of 1000 kg by itself"),
        ("sheet", "2 m2 is above the limit of 0.96 m2 by itself"),
        ("tube", "its footprint is not known"),
        ("long", "it takes 9 places and a pallet has 4"),
    )
    assert got.number == 1
    assert (
        "Not placed: pump, case, sheet, tube, long. The number is for the other pieces: at least."
        in got.cautions
    )


def test_nothing_to_place():
    got = fewest_pallets([PieceToMove(name="pump", mass_kg=None)], TripLimits(mass_kg=10))

    assert (got.number, got.at_least) == (0, 0)
    assert got.not_placed == (("pump", "its mass is not known"),)


def test_balance_needs_both_together():
    """Neither piece can stand alone on these two places, together they balance."""
    limits = TripLimits(mass_kg=12, positions=((-0.3, 0), (0.3, 0)), offset=(0.05, 0.05))

    exact = fewest_pallets(_pieces(5, 5), limits)
    simple = fewest_pallets(_pieces(5, 5), limits, exact=False)

    assert (exact.number, exact.proved_smallest) == (1, True)
    assert pytest.approx((0, 0)) == exact.loads[0].centre
    assert {1, 2} == set(exact.loads[0].positions)
    assert ("p1", "the first-fit search found no place for it within the offset limit") in simple.not_placed
    assert not simple.proved_smallest


def test_proved_impossible():
    limits = TripLimits(mass_kg=12, positions=((-0.3, 0), (0.3, 0)), offset=(0.05, 0.05))

    with pytest.raises(
        PackingError, match="No arrangement keeps the limits of mass, area, places and offset"
    ):
        fewest_pallets(_pieces(5, 5, 4), limits)


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
    assert "Not proved smallest: fewer may do." in got.cautions


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
    assert "The exact solver gave no answer in its time: not proved smallest." in got.cautions


def test_too_much_to_try_says_so():
    got = fewest_pallets(_pieces(*[6] * 90, 1), TripLimits(mass_kg=10))

    assert got.proved_smallest is False
    assert any("there is too much to try" in one for one in got.cautions)


@pytest.mark.parametrize(
    ("pieces", "limits", "message"),
    [
        (
            [PieceToMove(name="a", mass_kg=1), PieceToMove(name="a", mass_kg=2)],
            TripLimits(mass_kg=5),
            "Two pieces are called a: give each a name of its own.",
        ),
        (
            [PieceToMove(name="a", mass_kg=1)],
            TripLimits(mass_kg=5, offset=(0.1, 0.1)),
            "A limit on the offset of the centre of gravity needs positions: give x and y of "
            "each place, in metres "
            "from the middle.",
        ),
        (
            [PieceToMove(name="a", mass_kg=1, places=2)],
            TripLimits(mass_kg=5, positions=FOUR),
            "a takes 2 places: give 1 or more; 1 where places have positions.",
        ),
        (
            [PieceToMove(name="a", mass_kg=1)],
            TripLimits(mass_kg=5, positions=FOUR, places=3),
            "3 places but 4 positions: give one position per place.",
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


@settings(max_examples=40, deadline=None)
@given(
    masses=st.lists(st.integers(1, 60), min_size=1, max_size=7),
    areas=st.lists(st.integers(1, 9), min_size=7, max_size=7),
    balanced=st.booleans(),
)
def test_limits_are_kept_and_nothing_is_lost(masses, areas, balanced):
    pieces = [
        PieceToMove(name=f"p{i}", mass_kg=float(m), area=a / 10)
        for i, (m, a) in enumerate(zip(masses, areas, strict=False))
    ]
    limits = TripLimits(
        mass_kg=60, area=1.2, positions=FOUR, offset=(0.31, 0.21) if not balanced else (0.3, 0.2)
    )
    got = fewest_pallets(pieces, limits)

    placed = [name for load in got.loads for name in load.pieces]
    assert sorted(placed) == sorted(piece.name for piece in pieces)
    assert got.at_least <= got.number
    assert not got.proved_smallest or got.at_least == got.number
    by_name = {piece.name: piece for piece in pieces}
    for load in got.loads:
        on_it = [by_name[name] for name in load.pieces]
        assert sum(piece.mass_kg for piece in on_it) <= 60
        assert sum(piece.area for piece in on_it) <= 1.2 + 1e-12
        assert len(set(load.positions)) == len(on_it) <= 4
        for axis, limit in enumerate(limits.offset):
            moment = sum(p.mass_kg * FOUR[at - 1][axis] for p, at in zip(on_it, load.positions, strict=True))
            assert abs(moment) <= limit * sum(piece.mass_kg for piece in on_it) + 1e-9
