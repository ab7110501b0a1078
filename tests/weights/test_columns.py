"""Two columns of one source are one witness: which can be the original, and what it then allows."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from handling_db.quantities.quantity import parse_mass
from handling_db.quantities.table import LB
from handling_db.weights.columns import Original, one_witness


def read(first: str, first_step: str, second: str, second_step: str):  # type: ignore[no-untyped-def]
    steps = (parse_mass(first_step).base, parse_mass(second_step).base)
    return one_witness(parse_mass(first), steps[0], parse_mass(second), steps[1])


def test_only_the_pounds_can_be_the_original() -> None:
    found = read("415 kg", "5 kg", "920 lb", "10 lb")
    assert found.original is Original.SECOND
    assert found.best == parse_mass("920 lb").base
    assert (found.low, found.high) == (parse_mass("915 lb").base, parse_mass("925 lb").base)


def test_either_can_be_the_original_gives_the_hull() -> None:
    found = read("390 kg", "5 kg", "860 lb", "10 lb")
    assert found.original is Original.EITHER
    assert found.best == 390
    assert found.low == Fraction("387.5")
    assert found.high == Fraction("392.5")


def test_hull_takes_the_outer_limit_of_each_column() -> None:
    found = read("810 kg", "10 kg", "1790 lb", "10 lb")
    assert (found.low, found.high) == (805, 815)


def test_neither_gives_the_hull_and_is_told() -> None:
    found = read("415 kg", "5 kg", "980 lb", "10 lb")
    assert found.original is Original.NEITHER
    assert found.low == Fraction("412.5")
    assert found.high == parse_mass("985 lb").base


def test_trade_check_values_are_one_witness_each() -> None:
    """A trade check value, no published source: two halves and a whole in both unit systems."""
    for first, second in (("840 lb", "380 kg"), ("990 lb", "450 kg"), ("1830 lb", "830 kg")):
        assert read(first, "10 lb", second, "10 kg").original in (Original.FIRST, Original.EITHER)


@given(st.integers(1, 5000), st.sampled_from([1, 5, 10, 50]), st.sampled_from([1, 2, 5, 10]))
def test_a_converted_column_is_always_recognised(pounds: int, lb_step: int, kg_step: int) -> None:
    pounds = max(lb_step, pounds // lb_step * lb_step)
    kg = round(pounds * float(LB.factor) / kg_step) * kg_step
    found = read(f"{pounds} lb", f"{lb_step} lb", f"{kg} kg", f"{kg_step} kg")
    assert found.original in (Original.FIRST, Original.EITHER)
    assert found.low <= parse_mass(f"{pounds} lb").base <= found.high
