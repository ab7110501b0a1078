"""NIST Special Publication 811 (2008), Guide for the Use of the SI, Appendix B; NIST Handbook 44, Appendix C.

Verified: secondary copies, and the footnote of SP 811 on the pound as quoted elsewhere. The rounding example of
NIST's metric style guide: as quoted elsewhere.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from handling_db.quantities.quantity import convert, parse_length, parse_mass
from handling_db.quantities.table import KG, LB, UNITS

EXACT = [  # unit, factor as printed, in
    ("lb", "0.45359237", "kg"),
    ("oz", "0.028349523125", "kg"),
    ("short ton", "907.18474", "kg"),
    ("long ton", "1016.0469088", "kg"),
    ("t", "1000", "kg"),
    ("in", "25.4", "mm"),
    ("ft", "0.3048", "m"),
    ("US gal", "3.785411784", "L"),
    ("imp gal", "4.54609", "L"),
]


@pytest.mark.parametrize(("unit", "printed", "base"), EXACT)
def test_exact_factors_are_exactly_these(unit, printed, base):
    assert UNITS[unit].exact
    assert convert(Fraction(1), UNITS[unit], UNITS[base]) == Fraction(printed)


ROUNDED = [  # unit, kilograms per unit as printed in Appendix B.8
    ("oz", "2.834952E-02"),
    ("lb", "4.535924E-01"),
    ("short ton", "9.071847E+02"),
    ("long ton", "1.016047E+03"),
]


@pytest.mark.parametrize(("unit", "printed"), ROUNDED)
def test_factors_round_to_the_printed_digits(unit, printed):
    """The tolerance is half of the last printed digit."""
    half = Fraction(10) ** Decimal(printed).as_tuple().exponent / 2

    assert abs(UNITS[unit].factor - Fraction(printed)) <= half


def test_a_us_gallon_is_231_cubic_inches():
    cubic_inch = UNITS["in"].factor ** 3 * 1000  # L

    assert UNITS["US gal"].factor == 231 * cubic_inch


def test_the_cubic_foot_under_a_density():
    """28.316 846 592 L, exact: the factor of lb/ft³ rests on it."""
    assert UNITS["lb"].factor / UNITS["lb/ft³"].factor == Fraction("28.316846592")


def test_hundredweights_are_refused_but_their_pounds_are_these():
    assert parse_mass("100 lb").base == Fraction("45.359237")
    assert parse_mass("112 lb").base == Fraction("50.80234544")


def _rounded(value, step):
    """The nearest whole number of steps, halves up."""
    return (value / step + Fraction(1, 2)) // 1 * step


def test_a_tonne_in_pounds():
    """Printed: 2204.6226 lb."""
    pounds = convert(Fraction(1), UNITS["t"], LB)

    assert _rounded(pounds, Fraction(1, 10_000)) == Fraction("2204.6226")


@pytest.mark.parametrize("text", ["840.0 lb", "1,830 lb", "0.1 lb", "12 1/2 lb", "990 lb"])
def test_pounds_to_kilograms_and_back_are_the_same_decimal(text):
    quantity = parse_mass(text)

    assert convert(quantity.to(KG), KG, LB) == quantity.number


@pytest.mark.parametrize(
    ("text", "step_cm", "printed_cm"),
    [("36 in", "1", "91"), ("40.1 in", "0.1", "101.9")],
)
def test_no_more_digits_than_the_figure_justifies(text, step_cm, printed_cm):
    """Printed: 36 in is 91 cm and not 91.44; 40.1 in is 101.9 cm and not 101.854."""
    centimetres = parse_length(text).to(UNITS["cm"])

    assert _rounded(centimetres, Fraction(step_cm)) == Fraction(printed_cm)
