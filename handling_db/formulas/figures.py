"""What a formula calculates with: Pint's quantities in the exact registry, and nothing that can run away.

A figure stays an exact fraction as long as the operations allow; a root, pi or an over-long fraction makes
it a float. All are in base units: kg, m (so m³ for volumes), deg. A figure whose number is not known, but
whose unit is, has NaN for a number: so a formula is checked by the same arithmetic that works it out.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeAlias

from handling_db.formulas.faults import FormulaError
from handling_db.quantities.pint_units import pint_registry

Figure: TypeAlias = Any
"""A `pint.Quantity` of `pint_registry`; Pint is imported with the first formula, not before."""

MAX_POWER = 12  # of one base in a dimension
MAX_SIZE = Fraction(10**60)
MAX_BITS = 1024  # of a numerator or denominator; a longer fraction goes on as a float

_BEYOND = "the result is beyond what this calculates (1e-60 to 1e60); check the figures"
_NOT_FINITE = "the result is not a finite number; check the figures put in"
_NAMES = {
    "": "a plain number",
    "mass": "a mass",
    "length": "a length",
    "length^2": "an area",
    "length^3": "a volume",
    "mass length^-3": "a density",
    "angle": "an angle",
    "mass length^-1": "a mass per length",
    "mass length^-2": "a mass per area",
    "length^-1": "one over a length",
    "mass^-1": "one over a mass",
}
_UNITS = {"a mass": "kg", "a length": "mm", "a volume": "L", "an angle": "deg"}


# by type too: 1 and 1.0 are equal, and a float makes floats of all that it meets
@lru_cache(maxsize=4096, typed=True)
def figure(number: Fraction | float, unit: str = "") -> Figure:
    """A number in a unit of the registry, in base units.

    Raises
    ------
    FormulaError
        Not finite, larger than 1e60, or smaller than 1e-60 and not zero.
    """
    if not math.isfinite(number):
        raise FormulaError(_NOT_FINITE)
    return bounded(pint_registry().Quantity(number, unit).to_base_units())


def unknown(unit: str = "") -> Figure:
    """A figure of which only the unit is known."""
    return pint_registry().Quantity(math.nan, unit).to_base_units()


def measured_in(found: Figure, unit: str) -> Fraction | None:
    """The exact number of these units, or None where it measures something else."""
    if not found.is_compatible_with(unit):
        return None
    return Fraction(found.to(unit).magnitude)


def what_of(found: Figure) -> str:
    """Name what a figure measures, such as "a length" or "mass^2 length^-1"."""
    powers = {base: found.dimensionality.get(f"[{base}]", 0) for base in ("mass", "length", "angle")}
    shown = " ".join(base if power == 1 else f"{base}^{power}" for base, power in powers.items() if power)
    return _NAMES.get(shown, shown)


def bounded(found: Figure) -> Figure:
    """Refuse what no weight needs, so that nothing can grow without end."""
    number = found.magnitude
    if number != 0 and not 1 / MAX_SIZE <= abs(number) <= MAX_SIZE and not math.isnan(number):
        raise FormulaError(_BEYOND if math.isfinite(number) else _NOT_FINITE)
    if any(abs(power) > MAX_POWER for power in found.dimensionality.values()):
        raise FormulaError(f"the dimension grows beyond a power of {MAX_POWER}; use smaller exponents")
    if isinstance(number, Fraction) and max(map(int.bit_length, number.as_integer_ratio())) > MAX_BITS:
        return type(found)(float(number), found.units)
    return found


def alike(left: Figure, right: Figure, doing: str) -> None:
    """Refuse two figures that measure different things; the sentence names both.

    Raises
    ------
    FormulaError
    """
    if left.dimensionality == right.dimensionality:
        return
    one, other = what_of(left), what_of(right)
    advice = ""
    if _NAMES[""] in (one, other):
        unit = _UNITS.get(other if one == _NAMES[""] else one)
        advice = f"; give the plain number a unit, such as 5*{unit}" if unit else "; check the units"
    raise FormulaError(f"{doing} {one} and {other}{advice}")


def combined(sign: str, left: Figure, right: Figure) -> Figure:
    """One of + - * / of two figures.

    Raises
    ------
    FormulaError
        Unlike figures in a sum, or a division by zero.
    """
    if sign == "*":
        return bounded(left * right)
    if sign == "/":
        if right.magnitude == 0:
            raise FormulaError("this divides by zero; check the figures, or guard the case with when(...)")
        return bounded(left / right)
    alike(left, right, "cannot add" if sign == "+" else "cannot subtract between")
    return bounded(left + right if sign == "+" else left - right)


def powered(base: Figure, exponent: int) -> Figure:
    """A figure to a small whole exponent."""
    size = abs(base.magnitude)
    if size == 0 and exponent < 0:
        raise FormulaError("this raises zero to a negative power, which divides by zero")
    # Looked at before it is worked out: a float overflow raises, and a long fraction costs time.
    if size and abs(exponent * math.log10(size)) > 61:
        raise FormulaError(_BEYOND)
    return bounded(base**exponent)


def rooted(found: Figure) -> Figure:
    """Square root, as a float.

    Raises
    ------
    FormulaError
        Negative, or of something whose root means nothing: a length.
    """
    if found.magnitude < 0:
        raise FormulaError("this takes the square root of a negative number; check the figures")
    if any(power % 2 for power in found.dimensionality.values()):
        raise FormulaError(f"sqrt of {what_of(found)} means nothing; give it an area or a plain number")
    return type(found)(math.sqrt(found.magnitude), found.units ** Fraction(1, 2))
