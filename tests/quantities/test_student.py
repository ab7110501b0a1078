"""Student's t: the series and its inverse. Tables are in tests/published, scipy in tests/outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.errors import HandlingError
from handling_db.quantities.student import t_quantile, t_within


@given(st.floats(0.001, 0.9999), st.integers(1, 300))
def test_inverse(within, freedom):
    assert t_within(t_quantile(within, freedom), freedom) == pytest.approx(within, rel=1e-11)


def test_one_degree_of_freedom_is_cauchy():
    assert t_within(1.0, 1) == pytest.approx(0.5)
    assert t_quantile(0.5, 1) == pytest.approx(1.0)


def test_many_degrees_of_freedom_are_almost_normal():
    assert t_within(1.5, 10_000) == pytest.approx(math.erf(1.5 / math.sqrt(2)), abs=1e-4)


@pytest.mark.parametrize("freedom", [0, -1, 10_001])
def test_freedom_is_limited(freedom):
    with pytest.raises(HandlingError, match=f"{freedom} degrees of freedom: 1 to 10000 can be"):
        t_within(1.0, freedom)


@pytest.mark.parametrize("within", [0, -0.5, 0.99995, 1, math.nan])
def test_share_is_limited(within):
    with pytest.raises(HandlingError, match=r"cannot be asked for; write one above 0 and up to 0\.9999"):
        t_quantile(within, 5)
