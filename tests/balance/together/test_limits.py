"""Sweeps in whole numbers: never narrower than those in fractions, and hardly wider."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from handling_db.balance.together.body import SumLimits
from handling_db.balance.together.limits import sweep, sweep_in_grid

F = Fraction


def _body(seed: int) -> tuple[list[tuple[Fraction | None, Fraction | None]], list[SumLimits]]:
    """Random sums of some masses, with a truth inside nearly all of them; counts may be fractions."""
    rng = random.Random(seed)
    true = [F(rng.randint(1, 90_000), 1000) for _ in range(rng.randint(2, 9))]
    rows = []
    for _ in range(rng.randint(1, 14)):
        which = rng.sample(range(len(true)), rng.randint(1, min(4, len(true))))
        terms = tuple(
            (u, F(rng.choice([1, 2, 3, -1, 7]), rng.choice([1, 1, 1, 3, 7]))) for u in sorted(which)
        )
        value = sum((true[u] * c for u, c in terms), start=F(0))
        if rng.random() < 0.05:
            value += rng.choice([-1, 1]) * F(rng.randint(1, 50))
        half = F(rng.choice([0, 50, 2000]), 1000)
        low, high = (None if rng.random() < 0.2 else end for end in (value - half, value + half))
        if (low, high) != (None, None):
            rows.append(SumLimits(terms, low, high))
    return [(F(0), None)] * len(true), rows


@pytest.mark.parametrize("seed", range(100))
def test_whole_numbers_hold_what_fractions_allow(seed: int) -> None:
    domains, rows = _body(seed)
    exact, grid = sweep(domains, rows), sweep_in_grid(domains, rows)
    near = F(1, 10**6)  # on circles each pass may multiply what was rounded away

    if grid.broken is not None:
        assert exact.broken is not None
        return
    assert exact.broken is None
    for (low, high), (down, up) in zip(exact.spans, grid.spans, strict=True):
        assert (low is None, high is None) == (down is None, up is None)
        assert low is None or down is None or low - near <= down <= low
        assert high is None or up is None or high <= up <= high + near


def test_a_contradiction_of_one_part_in_a_thousand_million_is_seen() -> None:
    rows = [SumLimits(((0, F(3)),), F(1), F(1)), SumLimits(((0, F(1)),), F(1, 3) + F(1, 10**9), None)]

    assert sweep_in_grid([(F(0), None)], rows).broken is not None
    assert sweep_in_grid([(F(0), None)], rows[:1]).broken is None
