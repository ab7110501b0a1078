"""How masses are printed: both units, digits after the doubt, limits rounded to the careful side."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.quantities import display
from handling_db.quantities.mass import exactly, within
from handling_db.quantities.quantity import convert
from handling_db.quantities.table import KG, LB


@dataclass(frozen=True)
class Stored:
    """A mass as the database gives it back: floats."""

    best: float
    low: float
    high: float
    complete: bool = True


def mass(best, half, *, complete=True):
    made = within(Fraction(best), Fraction(half), Fraction(half))
    return made if complete else made.at_least()


def stored(exact):
    return Stored(float(exact.best), float(exact.low), float(exact.high), exact.complete)


SECTION = mass("447.226", "3.78")
GEAR = mass("369.2", "3.34", complete=False)

DOUBTS = [  # best, half-width, printed
    ("447.226", "3.78", "447.2 ± 3.8 kg (986.0 ± 8.3 lb)"),
    ("844", "1", "844.0 ± 1.0 kg (1860.7 ± 2.2 lb)"),
    ("41.7", "0.5", "41.7 ± 0.5 kg (91.9 ± 1.1 lb)"),
    ("0.418", "0.005", "0.418 ± 0.005 kg (0.92 ± 0.01 lb)"),
    ("820", "14.5", "820 ± 15 kg (1808 ± 32 lb)"),
    ("820", "9.99", "820.0 ± 10.0 kg (1808 ± 22 lb)"),
    ("10", "0", "10.000 kg (22.046 lb)"),
]


@pytest.mark.parametrize(("best", "half", "printed"), DOUBTS)
def test_digits_follow_the_doubt_in_each_unit(best, half, printed):
    assert display.with_doubt(mass(best, half)) == printed
    assert display.with_doubt(stored(mass(best, half))) == printed


def test_the_shops_own_unit_stands_first():
    assert display.with_doubt(SECTION, first="lb") == "986.0 ± 8.3 lb (447.2 ± 3.8 kg)"
    assert display.pair(SECTION.best, SECTION.half_width_worst, first="lb") == "986.0 lb (447.2 kg)"
    assert display.at_least(GEAR, first="lb") == "at least 813.9 lb (369.2 kg)"
    assert display.span(SECTION.low, SECTION.high, first="lb") == "977.6 to 994.3 lb (443.4 to 451.0 kg)"
    assert display.planning_text(SECTION.high, first="lb") == "995 lb (452 kg)"


def test_a_pair_has_digits_after_its_doubt():
    assert display.pair(SECTION.best, SECTION.half_width_worst) == "447.2 kg (986.0 lb)"
    assert display.pair(Fraction("447.226"), Fraction(20)) == "447 kg (986 lb)"
    assert display.pair(Fraction("447.26"), Fraction(3), rounding=ROUND_FLOOR) == "447.2 kg (986.0 lb)"
    assert display.pair(Fraction("447.21"), Fraction(3), rounding=ROUND_CEILING) == "447.3 kg (986.0 lb)"


def test_an_at_least_mass_is_rounded_down_and_has_no_plus_or_minus():
    assert display.at_least(GEAR) == "at least 369.2 kg (813.9 lb)"
    assert display.with_doubt(GEAR) == display.at_least(GEAR)
    assert display.at_least(mass("819.55", "7.23")) == "at least 819.5 kg (1806.7 lb)"
    assert display.at_least(mass("369.299", "40")) == "at least 369.2 kg (814.1 lb)"
    assert display.at_least(mass("0.418", "0.005")) == "at least 0.418 kg (0.92 lb)"


def test_a_float_that_lies_a_hair_below_is_not_rounded_down_a_whole_step():
    assert Fraction(369.2) < Fraction("369.2")
    assert display.at_least(stored(GEAR)) == "at least 369.2 kg (813.9 lb)"


def test_a_span_shows_both_limits_in_both_units():
    assert display.span(SECTION.low, SECTION.high) == "443.4 to 451.0 kg (977.6 to 994.3 lb)"
    assert display.span(float(SECTION.low), float(SECTION.high)) == display.span(SECTION.low, SECTION.high)


PLANNING = [  # highest believable kg, planning kg, planning lb
    ("451.006", "452", "995"),
    ("450", "450", "993"),
    ("450.0000001", "451", "993"),
    ("100", "100", "221"),
    ("99.95", "100", "221"),
    ("99.91", "100", "221"),
    ("99.9", "99.9", "221"),
    ("47.01", "47.1", "104"),
    ("45.3", "45.3", "99.9"),
    ("45.34", "45.4", "100"),
    ("0.001", "0.1", "0.1"),
    ("0", "0", "0"),
]


@pytest.mark.parametrize(("high", "kg", "lb"), PLANNING)
def test_planning_figures_are_rounded_up_in_each_unit_by_itself(high, kg, lb):
    assert display.planning(Fraction(high), KG) == Fraction(kg)
    assert display.planning(Fraction(high), LB) == Fraction(lb)


def test_the_planning_text():
    assert display.planning_text(SECTION.high) == "452 kg (995 lb)"
    assert display.planning_text(Fraction("45.3")) == "45.3 kg (99.9 lb)"
    assert display.planning_text(Fraction("99.91")) == "100 kg (221 lb)"


@pytest.mark.parametrize("high", [450.0, math.nextafter(450.0, 500), 450.0 * (1 + 1e-12), 0.1 * 4500])
def test_what_summing_in_floats_leaves_over_does_not_add_a_kilogram(high):
    assert display.planning(high, KG) == 450


def test_a_float_that_is_really_above_is_still_rounded_up():
    assert display.planning(450.000001, KG) == 451


@given(st.fractions(0, 100_000, max_denominator=10_000))
def test_a_planning_figure_is_never_below_and_never_a_step_above(high):
    for unit in (KG, LB):
        value = convert(high, KG, unit)
        planned = display.planning(high, unit)

        assert value <= planned < value + (Fraction(1) if planned >= 100 else Fraction(1, 10))
        assert planned.denominator == 1 or planned < 100


@given(st.integers(0, 10**9).map(lambda grams: Fraction(grams, 1000)))
def test_stored_floats_print_as_the_exact_figures_do(best):
    exact = mass(best, "2.5")

    assert display.with_doubt(stored(exact)) == display.with_doubt(exact)
    assert display.at_least(stored(exact)) == display.at_least(exact)
    assert display.planning_text(float(exact.high)) == display.planning_text(exact.high)


@given(st.fractions(0, 100_000, max_denominator=10_000), st.fractions(0, 100, max_denominator=1000))
def test_both_units_are_always_there(best, half):
    printed = [
        text
        for first in ("kg", "lb")
        for text in (
            display.with_doubt(mass(best, half), first=first),
            display.at_least(mass(best, half), first=first),
            display.pair(best, half, first=first),
            display.span(best, best + half, first=first),
            display.planning_text(best, first=first),
        )
    ]

    for i, text in enumerate(printed):
        one, two = ("kg", "lb") if i < 5 else ("lb", "kg")
        assert text.index(f" {one} (") < text.index(f" {two})")


@given(st.fractions(0, 100_000, max_denominator=10_000), st.fractions(0, 100, max_denominator=1000))
def test_an_at_least_figure_is_never_above_the_mass(best, half):
    kg, lb = (
        Fraction(word)
        for word in display.at_least(mass(best, half)).replace("(", "").split()
        if word[0].isdigit()
    )

    assert best - Fraction(1, 10) < kg <= best
    assert kg <= best
    assert lb <= convert(best, KG, LB)


@pytest.mark.parametrize(
    ("doubt", "places"),
    [
        ("3.8", 1),
        ("40", 0),
        ("10", 0),
        ("9.99", 1),
        ("1", 1),
        ("0.5", 1),
        ("0.1", 1),
        ("0.02", 2),
        ("0.001", 3),
    ],
)
def test_how_many_decimals_a_doubt_deserves(doubt, places):
    assert display.places_for(Fraction(doubt)) == places
    assert display.places_for(float(doubt)) == places


def test_decimals_at_the_ends():
    assert display.places_for(Fraction(0)) == 3
    assert display.places_for(Fraction(1, 10**9)) == 3
    assert display.places_for(1 - 1e-12) == 1


@given(
    st.fractions(-(10**9), 10**9, max_denominator=10**6),
    st.integers(0, 3),
    st.sampled_from([ROUND_FLOOR, ROUND_CEILING, ROUND_HALF_UP]),
)
def test_figures_agree_with_the_decimal_module(value, places, rounding):
    by_decimal = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(
        Decimal(1).scaleb(-places), rounding
    )

    assert Decimal(display.figure(value, places, rounding)) == by_decimal


def test_figures_of_any_size_and_no_minus_nothing():
    assert display.figure(Fraction(10**80), 1) == f"{10**80}.0"
    assert display.figure(Fraction(-1, 100), 1) == "0.0"
    assert display.figure(Fraction("-2.5"), 0) == "-3"
    assert display.figure(Fraction("0.05"), 1) == "0.1"
    assert display.figure(Fraction("2.5"), 0) == "3"


def test_in_unit_keeps_what_is_exact():
    assert display.in_unit(Fraction("0.45359237"), LB) == 1
    assert display.in_unit(450, KG) == 450


def test_half_width_is_half_of_the_interval():
    assert display.half_width(SECTION) == Fraction("3.78")
    assert display.half_width(exactly(Fraction(3))) == 0


def test_counting_words():
    assert display.counted(1, "part") == "1 part"
    assert display.counted(0, "part") == "0 parts"
    assert display.counted(2, "assembly", "assemblies") == "2 assemblies"


@pytest.mark.parametrize(
    ("best", "half", "text"),
    [
        ("0", "0", "0 kg (0 lb)"),
        ("0.0002", "0.0001", "0.0002 ± 0.0001 kg (0.0004 ± 0.0002 lb)"),
        ("13.741", "0.0000000001", "13.741 kg (30.294 lb)"),
        ("0.4", "0.04", "0.40 ± 0.04 kg (0.88 ± 0.09 lb)"),
    ],
)
def test_nothing_reads_as_nothing_but_nothing(best, half, text):
    middle, spread = Fraction(best), Fraction(half)

    assert display.with_doubt(within(middle, spread, spread)) == text


@pytest.mark.parametrize(
    ("count", "what", "left"),
    [
        ("16", "16 bolts M10", "bolts M10"),
        ("16", "16 x bolts M10", "bolts M10"),
        ("16", "bolts M10", "bolts M10"),
        ("4", "40 mm bolts", "40 mm bolts"),
        ("16", "16", "16"),
        ("16", "16 xenon lamps", "xenon lamps"),
        ("", "dowels", "dowels"),
    ],
)
def test_a_count_is_said_once(count, what, left):
    assert display.without_count(count, what) == left
