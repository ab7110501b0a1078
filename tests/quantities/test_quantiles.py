"""Limits of the normal and chi-square distributions against printed tables."""

import math

import pytest

from handling_db.errors import HandlingError
from handling_db.quantities.quantiles import (
    chi_square_above,
    chi_square_limit,
    normal_limit_outside,
)


@pytest.mark.parametrize(
    ("freedom", "within", "printed"),
    [(1, 0.95, 3.841), (2, 0.95, 5.991), (4, 0.95, 9.488), (10, 0.99, 23.209), (100, 0.95, 124.342)],
)
def test_chi_square_table(freedom, within, printed):
    """Printed in every statistics table, to three decimals (from memory, as are those of the normal)."""
    assert chi_square_limit(within, freedom) == pytest.approx(printed, abs=5e-4)


@pytest.mark.parametrize(("within", "printed"), [(0.6827, 1.0), (0.95, 1.96), (0.99, 2.576), (0.999, 3.291)])
def test_normal_table(within, printed):
    assert normal_limit_outside(1 - within) == pytest.approx(printed, abs=5e-4)


def test_two_degrees_of_freedom_are_an_exponential():
    assert chi_square_above(7.0, 2) == pytest.approx(math.exp(-3.5), rel=1e-14)
    assert chi_square_above(0.5, 2) == pytest.approx(math.exp(-0.25), rel=1e-14)


def test_both_sides():
    assert normal_limit_outside(1e-9) == pytest.approx(6.1094, abs=1e-4)
    assert chi_square_above(-1.0, 3) == 1.0


def test_refusals():
    with pytest.raises(HandlingError, match="write one between 0 and 1"):
        normal_limit_outside(1.0)
    with pytest.raises(HandlingError, match="0 degrees of freedom"):
        chi_square_limit(0.9, 0)
