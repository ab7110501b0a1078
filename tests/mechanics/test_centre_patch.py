"""The patch of a centre of gravity: exact limits, refusals, frames."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.centre_patch import Weighted, centre_patch
from handling_db.mechanics.vectors import apply, rotation_about
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError

coordinate = st.floats(-5, 5, allow_nan=False)
point = st.tuples(coordinate, coordinate, coordinate)


@st.composite
def piece(draw: st.DrawFn) -> Weighted:
    low = draw(st.floats(0.1, 50))
    best = low + draw(st.floats(0, 20))
    return Weighted("piece", Amount(low, best, best + draw(st.floats(0, 20))), draw(point))


def mean(weights: list[float], places: list[tuple[float, float, float]], axis: int) -> float:
    return math.fsum(w * p[axis] for w, p in zip(weights, places, strict=True)) / math.fsum(weights)


@given(st.lists(piece(), min_size=1, max_size=6))
def test_the_limits_are_those_over_every_corner_of_the_masses(pieces: list[Weighted]) -> None:
    """A ratio of sums over a box of masses has its extremes at the box's corners: go through all of them."""
    patch = centre_patch(pieces)
    places = [p.at for p in pieces if p.at is not None]
    corners = list(
        itertools.product(*[(p.amount.low, p.amount.high or 0.0) for p in pieces if p.amount is not None])
    )
    for axis in range(3):
        found = [mean(list(corner), places, axis) for corner in corners]
        assert patch.high[axis] == pytest.approx(max(found), abs=1e-9)
        assert patch.low[axis] == pytest.approx(min(found), abs=1e-9)
        assert patch.low[axis] - 1e-9 <= patch.at[axis] <= patch.high[axis] + 1e-9


@given(st.lists(piece(), min_size=1, max_size=4), st.floats(-3, 3), point.filter(any))
def test_the_best_place_turns_with_the_frame(
    pieces: list[Weighted], angle: float, axis: tuple[float, float, float]
) -> None:
    if math.hypot(*axis) < 1e-3:
        return
    turn = rotation_about(axis, angle)

    assert centre_patch(pieces, turn).at == pytest.approx(apply(turn, centre_patch(pieces).at), abs=1e-9)


def test_masses_without_doubt_make_a_point() -> None:
    patch = centre_patch(
        [Weighted("a", Amount.exact(1.0), (0, 0, 0)), Weighted("b", Amount.exact(3.0), (4, 0, 0))]
    )

    assert patch.at == patch.low == patch.high == (3.0, 0.0, 0.0)
    assert patch.half_widths == (0.0, 0.0, 0.0)


def test_fluid_somewhere_among_the_pieces_widens_the_patch_only() -> None:
    solid = [Weighted("a", Amount.exact(50.0), (0, 0, 0)), Weighted("b", Amount.exact(50.0), (1, 0, 0))]
    oil = Weighted("oil", Amount(0.0, 1.0, 2.0), None, ((0, 0, 0), (1, 0, 0)))

    patch = centre_patch([*solid, oil])

    assert patch.at == (0.5, 0.0, 0.0)
    assert patch.high[0] == pytest.approx((50 + 2) / 102)
    assert patch.low[0] == pytest.approx(50 / 102)


@pytest.mark.parametrize("amount", [None, Amount(1.0, 1.0, None)])
def test_a_piece_without_an_upper_mass_is_refused_by_name(amount: Amount | None) -> None:
    with pytest.raises(UnknownMassError, match="no mass for pump, which could move it without bound"):
        centre_patch([Weighted("a", Amount.exact(1.0), (0, 0, 0)), Weighted("pump", amount, (1, 0, 0))])


def test_a_piece_without_a_place_is_refused_by_name() -> None:
    with pytest.raises(StaticsError, match="no place is recorded for pump"):
        centre_patch([Weighted("a", Amount.exact(1.0), (0, 0, 0)), Weighted("pump", Amount.exact(1.0), None)])


def test_nothing_has_no_centre() -> None:
    with pytest.raises(StaticsError, match="there is no mass with a place"):
        centre_patch([])
