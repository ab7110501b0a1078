"""Our table of units against two general unit libraries and scipy's constants, and our own Pint registry."""

from __future__ import annotations

import importlib
from fractions import Fraction

import pytest

from handling_db.quantities.pint_units import pint_registry, to_pint
from handling_db.quantities.quantity import Quantity as Written
from handling_db.quantities.table import UNITS

astropy_units = importlib.import_module("astropy.units")
imperial = importlib.import_module("astropy.units.imperial")
constants = importlib.import_module("scipy.constants")
unyt = importlib.import_module("unyt")

BASES = {"mass": "kg", "length": "m", "volume": "L", "angle": "deg"}
LAST_BITS = 4e-16  # two steps of a float: these libraries chain their factors in floats

ASTROPY_GALLON = 2e-9  # its gallon is a litre over 0.264172052, a rounded figure

ASTROPY = {
    "kg": astropy_units.kg,
    "g": astropy_units.g,
    "mg": astropy_units.mg,
    "t": astropy_units.tonne,
    "lb": imperial.lb,
    "oz": imperial.oz,
    "short ton": imperial.ton,
    "mm": astropy_units.mm,
    "cm": astropy_units.cm,
    "m": astropy_units.m,
    "in": imperial.inch,
    "ft": imperial.foot,
    "L": astropy_units.L,
    "mL": astropy_units.mL,
    "m³": astropy_units.m**3,
    "US gal": imperial.gallon,
    "deg": astropy_units.deg,
    "rad": astropy_units.rad,
    "kg/L": astropy_units.kg / astropy_units.L,
    "kg/m³": astropy_units.kg / astropy_units.m**3,
    "g/cm³": astropy_units.g / astropy_units.cm**3,
    "lb/ft³": imperial.lb / imperial.foot**3,
    "lb/US gal": imperial.lb / imperial.gallon,
}
ASTROPY_BASES = {
    "mass": astropy_units.kg,
    "length": astropy_units.m,
    "volume": astropy_units.L,
    "angle": astropy_units.deg,
    "density": astropy_units.kg / astropy_units.L,
}


@pytest.mark.parametrize("name", ASTROPY)
def test_astropy_agrees(name):
    theirs = ASTROPY[name].to(ASTROPY_BASES[UNITS[name].dimension])
    within = ASTROPY_GALLON if "gal" in name else LAST_BITS

    assert theirs == pytest.approx(float(UNITS[name].factor), rel=within, abs=0)


UNYT = {
    "kg": ("kg", 1),
    "g": ("g", 1),
    "mg": ("mg", 1),
    "t": ("tonne", 1),
    "lb": ("lb", 1),
    "oz": ("oz", 1),
    "short ton": ("lb", 2000),
    "mm": ("mm", 1),
    "cm": ("cm", 1),
    "m": ("m", 1),
    "in": ("inch", 1),
    "ft": ("ft", 1),
    "L": ("L", 1),
    "mL": ("mL", 1),
    "m³": ("m**3", 1),
    "US gal": ("inch**3", 231),
    "deg": ("degree", 1),
    "rad": ("rad", 1),
    "kg/m³": ("kg/m**3", 1),
    "g/cm³": ("g/cm**3", 1),
    "lb/ft³": ("lb/ft**3", 1),
}
UNYT_BASES = {"mass": "kg", "length": "m", "volume": "L", "angle": "degree", "density": "kg/L"}


@pytest.mark.parametrize("name", UNYT)
def test_unyt_agrees(name):
    unit, number = UNYT[name]
    theirs = unyt.unyt_quantity(float(number), unit).to(UNYT_BASES[UNITS[name].dimension])

    assert float(theirs) == pytest.approx(float(UNITS[name].factor), rel=LAST_BITS, abs=0)


SCIPY = {  # in kg, m, m³ or rad
    "lb": constants.pound,
    "oz": constants.ounce,
    "t": constants.metric_ton,
    "short ton": constants.short_ton,
    "long ton": constants.long_ton,
    "in": constants.inch,
    "ft": constants.foot,
    "L": constants.liter * 1000,
    "US gal": constants.gallon_US * 1000,
    "imp gal": constants.gallon_imp * 1000,
    "rad": 1 / constants.degree,
}


@pytest.mark.parametrize("name", SCIPY)
def test_scipy_agrees(name):
    assert SCIPY[name] == pytest.approx(float(UNITS[name].factor), rel=LAST_BITS, abs=0)


@pytest.mark.parametrize("name", [name for name, unit in UNITS.items() if unit.dimension in BASES])
def test_pint_agrees_exactly(name):
    unit = UNITS[name]
    written = Written(f"7 {name}", Fraction(7), unit, Fraction(1))

    assert to_pint(written).to(pint_registry().Unit(BASES[unit.dimension])).magnitude == 7 * unit.factor


def test_every_unit_is_checked_by_somebody():
    assert set(ASTROPY) | set(UNYT) | set(SCIPY) == set(UNITS)
