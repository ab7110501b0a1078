"""Comparing the parts with a stated whole: every row of the rule."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.findings import Verdict
from handling_db.quantities.mass import Mass
from handling_db.weights.verdict import compare, touch


def mass(low: int, high: int, *, complete: bool = True) -> Mass:
    return Mass(Fraction(low + high, 2), Fraction(low), Fraction(high), complete=complete)


@pytest.mark.parametrize(
    ("parts", "whole", "known", "verdict", "because"),
    [
        (mass(90, 100), mass(100, 110), True, Verdict.AGREES, ""),
        (mass(90, 99), mass(100, 110), True, Verdict.DISAGREES, ""),
        (mass(111, 120), mass(100, 110), True, Verdict.DISAGREES, ""),
        (mass(111, 120), mass(100, 110), False, Verdict.DISAGREES, ""),
        (mass(90, 99), mass(100, 110), False, Verdict.DISAGREES, ""),
        (
            mass(100, 110),
            mass(100, 110),
            False,
            Verdict.CANNOT_BE_CHECKED,
            "it is not stated what the printed figure counts",
        ),
        (mass(111, 120, complete=False), mass(100, 110), True, Verdict.DISAGREES, ""),
        (
            mass(110, 120, complete=False),
            mass(100, 110),
            True,
            Verdict.CANNOT_BE_CHECKED,
            "parts without a mass",
        ),
        (
            mass(50, 60, complete=False),
            mass(100, 110),
            True,
            Verdict.CANNOT_BE_CHECKED,
            "parts without a mass",
        ),
    ],
)
def test_verdict(parts: Mass, whole: Mass, known: bool, verdict: Verdict, because: str) -> None:
    found = compare(parts, whole, boundary_known=known)
    assert found.verdict is verdict
    assert found.because == because


def test_gap_is_parts_less_whole() -> None:
    assert compare(mass(111, 120), mass(100, 110), boundary_known=True).gap == (1, 20)


def test_what_is_missing_would_have_to_weigh() -> None:
    found = compare(mass(50, 60, complete=False), mass(100, 110), boundary_known=True)
    assert found.missing == (40, 60)


def test_touch_counts_a_common_end() -> None:
    assert touch(mass(1, 2), mass(2, 3))
    assert not touch(mass(1, 2), mass(3, 4))
