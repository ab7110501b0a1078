"""UN/CEFACT Recommendation 20, Codes for Units of Measure Used in International Trade (Revision 17, 2021).

Verified: the code list file. Several of its factors are rounded (a gallon (UK) stands as 4,546 092 for 4.546 09), so
they are compared to six digits; ours are the exact ones of NIST SP 811.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.errors import UnitError
from handling_db.quantities.quantity import find_unit, parse_mass, parse_quantity
from handling_db.quantities.table import UNITS

CODES = [  # code, our name, factor as printed (decimal commas there), base unit
    ("KGM", "kg", "1", "kg"),
    ("GRM", "g", "1E-3", "kg"),
    ("MGM", "mg", "1E-6", "kg"),
    ("TNE", "t", "1E3", "kg"),
    ("LBR", "lb", "0.45359237", "kg"),
    ("ONZ", "oz", "2.834952E-2", "kg"),
    ("STN", "short ton", "0.9071847E3", "kg"),
    ("LTN", "long ton", "1.016047E3", "kg"),
    ("LTR", "L", "1E-3", "m³"),
    ("GLL", "US gal", "3.785412E-3", "m³"),
    ("GLI", "imp gal", "4.546092E-3", "m³"),
]


@pytest.mark.parametrize(("code", "name", "printed", "base"), CODES)
def test_codes_and_factors_to_six_digits(code, name, printed, base):
    unit = find_unit(code)
    ours = unit.factor / UNITS[base].factor

    assert unit.name == name
    assert abs(ours / Fraction(printed) - 1) < Fraction(5, 10**7)
    assert parse_quantity(f"2 {code}", unit.dimension).base == 2 * unit.factor


@pytest.mark.parametrize(
    ("code", "name"), [("MTR", "m"), ("MMT", "mm"), ("CMT", "cm"), ("INH", "in"), ("FOT", "ft")]
)
def test_codes_of_lengths(code, name):
    assert find_unit(code).name == name


@pytest.mark.parametrize("code", ["NEW", "B47", "C78", "B37"])
def test_weights_in_units_of_force_are_no_masses(code):
    """Newton, kilonewton, pound-force and (deprecated) kilogram-force."""
    with pytest.raises(UnitError, match="that is a force, not a mass; write the mass in kg or lb"):
        parse_mass(f"2 {code}")


@pytest.mark.parametrize(
    ("code", "advice"),
    [("CWA", "a hundredweight is 100 lb in one"), ("CWI", "112 lb in another"), ("STI", "a stone is 14 lb")],
)
def test_codes_that_are_read_differently_in_two_countries_are_refused(code, advice):
    with pytest.raises(UnitError, match=advice):
        parse_mass(f"2 {code}")
