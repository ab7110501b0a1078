"""Masses with doubt: the laws of adding, multiplying and subtracting."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.quantities.mass import NOTHING, Mass, add_masses, exact_sum, exactly, within

KILOGRAMS = st.fractions(min_value=0, max_value=10_000, max_denominator=1000)
HALVES = st.fractions(min_value=0, max_value=50, max_denominator=1000)
SCALES = st.sampled_from(["floor scale", "bench scale"])


@st.composite
def masses(draw, *, complete=None):
    half = draw(HALVES)
    halves = st.fractions(0, 1, max_denominator=1000)
    shared = {name: half * share / 2 for name, share in draw(st.dictionaries(SCALES, halves)).items()}
    mass = within(draw(KILOGRAMS), draw(HALVES) + half, half, shared=shared)
    return mass if complete or draw(st.booleans()) else mass.at_least()


def interval(mass):
    return mass.best, mass.low, mass.high


@pytest.mark.slow
@given(masses(), masses(), masses())
def test_adding_is_exact_in_any_order(a, b, c):
    one, two, three = (a + b) + c, a + (b + c), add_masses((c, a, b))

    assert interval(one) == interval(two) == interval(three)
    assert one.shared == two.shared == three.shared
    assert one.complete == two.complete == three.complete == (a.complete and b.complete and c.complete)
    assert one.u == pytest.approx(two.u, rel=1e-12)
    assert one.half_width_rss == pytest.approx(three.half_width_rss, rel=1e-12)


@given(masses())
def test_nothing_added_changes_nothing(mass):
    assert mass + NOTHING == mass
    assert add_masses(()) == NOTHING


@pytest.mark.slow
@given(masses(), masses())
def test_best_lies_between_low_and_high_whatever_is_done(a, b):
    results = [a, b, a + b, a.times(Fraction(7, 2)), a.at_least(), *([a - b] if b.complete else [])]

    assert all(mass.low <= mass.best <= mass.high for mass in results)
    assert all(mass.half_width_worst == (mass.high - mass.low) / 2 >= 0 for mass in results)


@given(masses(), masses())
def test_half_widths_add_in_the_worst_case_and_no_more_than_that_in_quadrature(a, b):
    total = a + b

    assert total.half_width_worst == a.half_width_worst + b.half_width_worst
    assert total.half_width_rss <= (a.half_width_rss + b.half_width_rss) * (1 + 1e-12)
    assert total.u <= (a.u + b.u) * (1 + 1e-12)


@given(masses(), st.integers(1, 40))
def test_so_many_of_one_statement_have_so_many_times_its_doubt(mass, count):
    """One statement is one witness: its error is the same in every piece, and does not average out."""
    line = mass.times(Fraction(count))

    assert interval(line) == tuple(count * value for value in interval(mass))
    assert line.half_width_rss == pytest.approx(count * mass.half_width_rss, rel=1e-12)
    assert line.u == pytest.approx(count * mass.u, rel=1e-12)
    assert line.shared == {name: count * half for name, half in mass.shared.items()}


@given(masses(), st.fractions(0, 20), st.fractions(0, 20))
def test_multiplying_twice_is_multiplying_by_the_product(mass, first, second):
    assert interval(mass.times(first).times(second)) == interval(mass.times(first * second))


def test_statements_of_their_own_add_in_quadrature():
    """Three and four make five, where nothing is shared."""
    total = within(Fraction(10), Fraction(3), Fraction(3)) + within(Fraction(20), Fraction(4), Fraction(4))

    assert total.half_width_worst == 7
    assert total.half_width_rss == pytest.approx(5)
    assert total.u == pytest.approx(5 / math.sqrt(3))


@given(st.lists(HALVES, min_size=1, max_size=12))
def test_rounding_doubts_alone_have_u_of_the_rss_over_root_three(halves):
    """A rectangular doubt has its half-width over the root of three as standard uncertainty."""
    total = add_masses(within(Fraction(100), half, half) for half in halves)

    assert total.u == pytest.approx(total.half_width_rss / math.sqrt(3), abs=1e-12)
    assert total.half_width_rss == pytest.approx(math.sqrt(sum(float(h) ** 2 for h in halves)), abs=1e-12)
    assert total.half_width_worst == sum(halves)


def test_one_instrument_adds_directly_and_two_do_not():
    def read(scale):
        half = Fraction(1)
        return within(Fraction(50), half, half, shared={scale: half})

    same = read("floor scale") + read("floor scale")
    different = read("floor scale") + read("bench scale")

    assert same.shared == {"floor scale": 2}
    assert same.half_width_rss == pytest.approx(2)
    assert same.u == pytest.approx(2 / math.sqrt(3))
    assert different.half_width_rss == pytest.approx(math.sqrt(2))
    assert same.half_width_worst == different.half_width_worst == 2


def test_calibration_is_taken_out_of_the_own_doubt():
    mass = within(Fraction(50), Fraction(3), Fraction(3), shared={"floor scale": Fraction(1)})

    assert mass.half_squared == 4
    assert mass.half_width_worst == 3
    assert mass.half_width_rss == pytest.approx(math.sqrt(5))


def test_a_calibration_doubt_of_nothing_is_no_shared_doubt():
    mass = within(Fraction(50), Fraction(3), Fraction(3), shared={"floor scale": Fraction(0)})

    assert mass.shared == {}


def test_a_stated_standard_uncertainty_is_kept():
    mass = within(Fraction(50), Fraction(2), Fraction(2), u=1.0)

    assert mass.u == pytest.approx(1.0)
    assert mass.half_width_worst == 2


def test_the_lower_limit_of_a_statement_is_never_below_zero():
    mass = within(Fraction(2), Fraction(5), Fraction(5))

    assert interval(mass) == (2, 0, 7)


@given(masses(complete=True))
def test_at_least_spreads_to_every_sum(mass):
    known = mass.at_least()

    assert interval(known) == interval(mass)
    assert not known.complete
    assert not (known + exactly(Fraction(1))).complete
    assert not (exactly(Fraction(1)) + known).complete
    assert not known.times(Fraction(3)).complete
    assert not (known - exactly(Fraction(1))).complete
    assert (mass + exactly(Fraction(1))).complete


@pytest.mark.slow
@given(masses(), masses(complete=True))
def test_taking_off_adds_the_doubts(whole, piece):
    rest = whole - piece

    assert rest.best == whole.best - piece.best
    assert rest.low == whole.low - piece.high
    assert rest.high == whole.high - piece.low
    assert rest.half_width_worst == whole.half_width_worst + piece.half_width_worst
    assert rest.complete == whole.complete


def test_one_scale_cancels_in_a_difference():
    half = Fraction(1)
    with_it = within(Fraction(80), half, half, shared={"floor scale": half})
    without_it = within(Fraction(50), half, half, shared={"floor scale": half})

    rest = with_it - without_it

    assert rest.best == 30
    assert rest.u == 0
    assert rest.half_width_worst == 2, "the worst case makes no use of it"


def test_two_scales_do_not_cancel_in_a_difference():
    half = Fraction(1)
    with_it = within(Fraction(80), half, half, shared={"floor scale": half})
    without_it = within(Fraction(50), half, half, shared={"bench scale": half})

    assert (with_it - without_it).half_width_rss == pytest.approx(math.sqrt(2))


def test_what_is_only_known_as_at_least_cannot_be_taken_off():
    """The rest would be "at most", and printed as "at least" it would be too light by what is missing."""
    with pytest.raises(ValueError) as caught:
        exactly(Fraction(10)) - exactly(Fraction(3)).at_least()
    assert str(caught.value) == "cannot take off a mass that is only known as 'at least'"


def test_a_negative_quantity_is_refused():
    with pytest.raises(ValueError) as caught:
        exactly(Fraction(10)).times(Fraction(-1))
    assert str(caught.value) == "a quantity cannot be negative: -1"


@pytest.mark.parametrize("limits", [(11, 12), (8, 9), (12, 8)])
def test_limits_that_do_not_enclose_the_best_figure_are_refused(limits):
    low, high = limits
    with pytest.raises(ValueError) as caught:
        Mass(Fraction(10), Fraction(low), Fraction(high))
    assert str(caught.value) == f"limits {low} to {high} kg do not enclose 10 kg"


def test_a_mass_cannot_be_changed():
    with pytest.raises(AttributeError):
        exactly(Fraction(10)).best = Fraction(11)  # type: ignore[misc]
    with pytest.raises(TypeError):
        exactly(Fraction(10)).shared["scale"] = Fraction(1)  # type: ignore[index]


@given(st.lists(st.fractions(max_denominator=10**6), max_size=12))
def test_a_sum_over_one_denominator_is_the_sum(numbers: list[Fraction]) -> None:
    assert exact_sum(numbers) == sum(numbers, start=Fraction(0))
