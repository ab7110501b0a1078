from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.errors import HandlingError
from handling_db.quantities.amount import (
    GRAVITY,
    Amount,
    StaticsError,
    UnknownMassError,
    bounded,
    needed_mass,
    newtons,
    reading,
    total,
)
from handling_db.quantities.mass import within


def test_amounts_add_by_the_worst_case():
    found = total({"a": Amount(1, 2, 4), "b": Amount.around(10, 0.5)})

    assert (found.amount.low, found.amount.best, found.amount.high) == (10.5, 12, 14.5)
    assert found.missing == ()


@pytest.mark.parametrize("missing", [None, Amount(1, 1, None)])
def test_a_missing_mass_leaves_no_upper_figure(missing):
    found = total({"known": Amount.exact(10), "drive": missing})

    assert found.amount.high is None
    assert not found.amount.complete
    assert found.missing == ("drive",)
    with pytest.raises(UnknownMassError, match=r"sum: at least 1[01]\.0 kg, with a part of unknown mass"):
        found.amount.upper("sum")


def test_nothing_known_is_refused():
    with pytest.raises(UnknownMassError, match=r"no mass is known \(pump, drive\): weigh at least one"):
        total({"pump": None, "drive": None})


@pytest.mark.parametrize("values", [(2, 1, 3), (1, 3, 2), (-1, 0, 1)])
def test_low_best_and_high_must_be_in_order(values):
    with pytest.raises(StaticsError, match="a mass needs 0 <= low <= best <= high"):
        Amount(*values)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_mass_is_finite(value):
    with pytest.raises(StaticsError, match="must be a finite number of kilograms"):
        Amount(value, value, value)


def test_an_unknown_mass_is_not_zero():
    with pytest.raises(
        UnknownMassError, match="legs: the mass is not known, and an unknown mass is not zero"
    ):
        needed_mass(None, "legs")
    with pytest.raises(
        UnknownMassError, match="legs: the mass is not known, and an unknown mass is not zero"
    ):
        bounded(None, "legs")
    with pytest.raises(UnknownMassError, match="also moves the centre of gravity, so no force can be given"):
        bounded(Amount(1, 2, None), "legs")


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_needed_mass_is_positive(value):
    with pytest.raises(StaticsError, match="a mass must be more than 0 kg and finite"):
        needed_mass(value, "legs")


def test_a_doubt_never_goes_below_nothing():
    assert Amount.around(1.0, 3.0).low == 0.0


def test_forces_and_readings():
    assert newtons(1.0) == GRAVITY == 9.80665
    assert reading(newtons(384.0)) == pytest.approx(384.0)


def test_errors_are_handling_errors():
    assert issubclass(UnknownMassError, StaticsError)
    assert issubclass(StaticsError, HandlingError)


@given(st.floats(-5, 1e5), st.floats(-5, 1e5), st.one_of(st.none(), st.floats(-5, 1e5)))
def test_limits_worked_out_apart_are_widened_and_never_narrowed(low, best, high):
    found = Amount.enclosing(low, best, high)

    assert found.low <= max(low, 0.0)
    assert found.best == max(best, 0.0)
    assert (found.high is None) == (high is None)
    assert found.high is None or found.high >= high


def test_a_mass_of_records_keeps_its_limits_and_loses_its_upper_one_where_a_part_is_missing():
    mass = within(Fraction(10), Fraction(1), Fraction(2))

    assert Amount.of(mass) == Amount(9.0, 10.0, 12.0)
    assert Amount.of(mass).half_width == 2.0
    assert Amount.of(mass.at_least()).high is None
