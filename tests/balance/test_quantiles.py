"""Limits of the normal and chi-square distributions against printed tables."""

import math

import pytest

from handling_db.balance.reconcile import chi_square_limit, normal_limit_outside
from handling_db.errors import HandlingError


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


@pytest.mark.parametrize("freedom", [2, 4, 8, 30, 100, 1000])
@pytest.mark.parametrize("within", [0.01, 0.5, 0.9, 0.95, 0.99, 0.9999])
def test_of_even_freedom_in_closed_form(freedom, within):
    """The share above x is the chance of fewer than half as many events of a Poisson process of mean x / 2."""
    half = chi_square_limit(within, freedom) / 2
    above = math.fsum(math.exp(n * math.log(half) - half - math.lgamma(n + 1)) for n in range(freedom // 2))

    assert above == pytest.approx(1 - within, rel=1e-9)


@pytest.mark.parametrize("outside", [1e-300, 1e-9, 1e-3, 0.05, 0.5, 0.999])
def test_both_sides(outside):
    assert math.erfc(normal_limit_outside(outside) / math.sqrt(2)) == pytest.approx(outside, rel=1e-9)


def test_refusals():
    with pytest.raises(HandlingError, match="write one between 0 and 1"):
        normal_limit_outside(1.0)
    with pytest.raises(HandlingError, match="write one between 0 and 1"):
        chi_square_limit(0.0, 3)
