"""Masses that are limited together: the heaviest choice and the farthest centre against linear programs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from handling_db.mechanics.body import Body
from handling_db.mechanics.centre_patch import Weighted, centre_patch
from handling_db.mechanics.sums import Together, heaviest, nested
from handling_db.quantities.amount import Amount, StaticsError


def _case(seed: int) -> tuple[np.random.Generator, np.ndarray, np.ndarray, list[Together]]:
    """Random masses and limits one within another that some choice of the masses keeps."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 9))
    low = rng.uniform(0.0, 20.0, count) * (rng.random(count) < 0.7)
    high = low + rng.uniform(0.0, 60.0, count) * (rng.random(count) < 0.8)
    true = low + rng.random(count) * (high - low)
    sums = []

    def divide(pieces: list[int]) -> None:
        if len(pieces) < 2:
            return
        if rng.random() < 0.7:
            total = true[pieces].sum()
            give = rng.uniform(0.0, 10.0, 2) * (rng.random(2) < 0.8)
            sums.append(Together(tuple(pieces), float(total - give[0]), float(total + give[1])))
        cut = int(rng.integers(1, len(pieces)))
        divide(pieces[:cut])
        divide(pieces[cut:])

    divide(list(range(count)))
    return rng, low, high, sums


def _program(
    low: np.ndarray, high: np.ndarray, sums: list[Together], gain: np.ndarray, scale: bool = False
) -> float:
    """The largest weighted sum, or with `scale` the largest weighted mean, by a linear program."""
    count = len(low)
    rows, ends = [], []
    for one in sums:
        row = np.zeros(count)
        row[list(one.pieces)] = 1.0
        rows += [row, -row]
        ends += [one.high, -one.low]
    if not scale:
        found = linprog(
            -gain, np.array(rows) if rows else None, ends or None, bounds=np.column_stack([low, high])
        )
        assert found.status == 0
        return -float(found.fun)
    # A mean by the way of Charnes and Cooper: y = t m, sum y = 1, t one more unknown.
    rows += [*np.eye(count), *-np.eye(count)]
    ends += [*high, *-low]
    wide = np.column_stack([np.array(rows), -np.array(ends)])
    found = linprog(
        [*-gain, 0.0], wide, np.zeros(len(wide)), [[*np.ones(count), 0.0]], [1.0], bounds=(0.0, None)
    )
    assert found.status == 0
    return -float(found.fun)


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9))
def test_the_heaviest_choice_is_that_of_a_linear_program(seed: int) -> None:
    rng, low, high, sums = _case(seed)
    gain = rng.normal(size=len(low))

    found = np.array(heaviest(low.tolist(), high.tolist(), nested(sums), gain.tolist()))

    assert (found >= low - 1e-9).all()
    assert (found <= high + 1e-9).all()
    for one in sums:
        assert one.low - 1e-6 <= found[list(one.pieces)].sum() <= one.high + 1e-6
    assert found @ gain == pytest.approx(_program(low, high, sums, gain), abs=1e-6)


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**9))
def test_the_farthest_centre_is_that_of_a_linear_program(seed: int) -> None:
    rng, low, high, sums = _case(seed)
    if low.sum() == 0.0:
        low, high = low + 1.0, high + 1.0
        sums = [Together(o.pieces, o.low + len(o.pieces), o.high + len(o.pieces)) for o in sums]
    at = rng.uniform(-2.0, 2.0, (len(low), 3))
    pieces = [
        Weighted("piece", Amount(a, (a + b) / 2, b), (float(x), float(y), float(z)))
        for a, b, (x, y, z) in zip(low.tolist(), high.tolist(), at, strict=True)
    ]

    patch = centre_patch(pieces, sums=sums)

    for axis in range(3):
        far = _program(low, high, sums, at[:, axis], scale=True)
        near = -_program(low, high, sums, -at[:, axis], scale=True)
        assert patch.high[axis] == pytest.approx(far, abs=1e-6)
        assert patch.low[axis] == pytest.approx(near, abs=1e-6)


@settings(max_examples=24, deadline=None)
@given(st.integers(0, 10**9))
def test_first_moments_of_a_body_keep_its_sums(seed: int) -> None:
    rng, low, high, sums = _case(seed)
    at = rng.uniform(-2.0, 2.0, (len(low), 3))
    masses = [(a, (a + b) / 2, b) for a, b in zip(low.tolist(), high.tolist(), strict=True)]
    pieces = [
        Weighted("piece", Amount(*mass), (float(x), float(y), float(z)))
        for mass, (x, y, z) in zip(masses, at, strict=True)
    ]
    body = Body.of_pieces(pieces, sums=sums)
    along = rng.normal(size=3)

    least, most = body.moment(along)

    assert most == pytest.approx(_program(low, high, sums, at @ along), abs=1e-6)
    assert least == pytest.approx(-_program(low, high, sums, -(at @ along)), abs=1e-6)
    assert body.held(body.towards(rng.normal(size=(20, 4)))).all()


def test_a_limit_across_a_smaller_one_is_left_out():
    within, across = Together((0, 1), 1.0, 2.0), Together((1, 2, 3), 1.0, 2.0)

    assert nested([across, within, Together((0, 1, 2), 1.0, 5.0)]) == (within, Together((0, 1, 2), 1.0, 5.0))


def test_limits_that_no_choice_keeps_are_left_out_of_a_body():
    pieces = [Weighted(name, Amount(1.0, 2.0, 3.0), (0.0, 0.0, 0.0)) for name in "ab"]

    assert Body.of_pieces(pieces, sums=[Together((0, 1), 7.0, 8.0)]).sums == ()
    assert Body.of_pieces(pieces, sums=[Together((0, 1), 4.0, 5.0)]).sums == (Together((0, 1), 4.0, 5.0),)


def test_one_piece_within_a_box_is_taken_at_its_middle():
    box = ((0.0, 0.0, 0.0), (2.0, 4.0, 6.0))
    patch = centre_patch([Weighted("half", Amount(9.0, 10.0, 11.0), None, box)])

    assert (patch.at, patch.low, patch.high) == ((1.0, 2.0, 3.0), *box)


def test_nothing_that_weighs_anything_has_no_centre():
    with pytest.raises(StaticsError, match="there is no mass with a place"):
        centre_patch([Weighted("nothing", Amount(0.0, 0.0, 0.0), (0.0, 0.0, 0.0))])
