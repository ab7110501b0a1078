"""The units a formula may use as constants: ``64*mm + 7*mm*discs``.

Made from the one table of exact factors, so that a formula and a printed figure can never disagree
about a pound. Compound units are written out: ``0.87*kg/L``, ``7850*kg/m**3``.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from handling_db.formulas.values import ANGLE, LENGTH, MASS, VOLUME, Dimension, Value
from handling_db.quantities.quantity import UNITS

# Dimension in formulas, and how many base units of a formula (kg, m, m³, deg) one base unit of the
# table (kg, m, L, deg) is.
_BASES: dict[str, tuple[Dimension, Fraction]] = {
    "mass": (MASS, Fraction(1)),
    "length": (LENGTH, Fraction(1)),
    "volume": (VOLUME, Fraction(1, 1000)),
    "angle": (ANGLE, Fraction(1)),
}


def _constants() -> dict[str, Value]:
    made: dict[str, Value] = {}
    for unit in UNITS.values():
        name = unit.name.replace(" ", "_")
        if unit.dimension in _BASES and name.isascii() and name.isidentifier():
            dimension, scale = _BASES[unit.dimension]
            made[name] = Value(unit.factor * scale, dimension)
    return made


UNIT_CONSTANTS: Mapping[str, Value] = MappingProxyType(_constants())
"""Name in a formula (`short_ton` for a short ton) to its exact value in kg, m, m³ or deg."""
