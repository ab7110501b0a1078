from __future__ import annotations

import math

import pytest

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


def test_amounts_add_by_the_worst_case():
    found = total({"a": Amount(1, 2, 4), "b": Amount.around(10, 0.5)})

    assert (found.amount.low, found.amount.best, found.amount.high) == (10.5, 12, 14.5)
    assert found.missing == ()


@pytest.mark.parametrize("missing", [None, Amount(1, 1, None)])
def test_a_missing_mass_leaves_no_upper_figure(missing):
    found = total({"known": Amount.exact(10), "drive": missing})

    assert found.amount.high is None
    assert found.amount.at_least
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
