"""JCGM 100:2008, Evaluation of measurement data: Guide to the expression of uncertainty in measurement (the GUM).

Clause 5.2.2 (ten resistors) verified: secondary, quoted. Clause F.2.2.1 (resolution of a reading): the rectangular
treatment verified in a secondary source; the clause number and the 0.29 are from memory.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from handling_db.quantities.mass import add_masses, within
from handling_db.quantities.quantity import parse_mass


def reading(kg, instrument, doubt):
    """A mass read on an instrument whose calibration is all the doubt there is."""
    half = Fraction(doubt)
    return within(Fraction(kg), half, half, shared={instrument: half})


def test_ten_resistors_of_one_standard_add_linearly():
    """5.2.2: ten of 1000 ohm, each u = 100 milliohm from one standard, give 10 kiloohm with u = 1 ohm.

    Here ten masses of 1000 kg read on one scale. Its doubt is held as a half-width, u times the root of three.
    """
    half = Fraction(math.sqrt(3) / 10)
    total = add_masses(reading(1000, "one standard", half) for _ in range(10))

    assert total.best == 10_000
    assert total.u == pytest.approx(1.0, rel=1e-12)


def test_ten_resistors_of_ten_standards_add_in_quadrature():
    """5.2.2: the same, taken as independent, would give 0.32 ohm."""
    half = Fraction(math.sqrt(3) / 10)
    total = add_masses(reading(1000, f"standard {i}", half) for i in range(10))

    assert round(total.u, 2) == 0.32
    assert total.half_width_worst == pytest.approx(10 * math.sqrt(3) / 10), "the worst case knows no luck"


def test_the_shared_error_cancels_in_a_difference():
    """5.2.2 with coefficients +1 and -1: what two readings share goes out."""
    difference = reading(1000, "one standard", "0.1") - reading(400, "one standard", "0.1")

    assert difference.best == 600
    assert difference.u == 0


@pytest.mark.parametrize(
    ("step", "printed_u_kg", "digits"),
    [("50 kg", 14.43, 2), ("5 lb", 1.443 * 0.45359237, 3)],
)
def test_a_reading_with_a_resolution(step, printed_u_kg, digits):
    """F.2.2.1: u = d / root 12 = 0.29 d. For d = 50 kg that is 14.43 kg, for 5 lb 1.443 lb."""
    d = parse_mass(step).base
    mass = within(Fraction(1000), d / 2, d / 2)

    assert mass.u == pytest.approx(printed_u_kg, abs=0.5 * 10**-digits)
    assert round(mass.u / float(d), 2) == 0.29


def test_twenty_rounded_parts():
    """Our own arithmetic from F.2.2.1 and equation 10: twenty parts with d = 20 kg give u = 25.82 kg."""
    total = add_masses(within(Fraction(100), Fraction(10), Fraction(10)) for _ in range(20))

    assert total.u == pytest.approx(20 * math.sqrt(20 / 12), rel=1e-12)
    assert round(total.u, 2) == 25.82
