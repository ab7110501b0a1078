"""Pint's registry of the same units, generated from the one table; it never sees a user's text."""

from __future__ import annotations

import functools
import threading
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from handling_db.errors import UnitError
from handling_db.quantities.table import UNITS

if TYPE_CHECKING:
    from handling_db.quantities.quantity import Quantity

PINT_NAMES = {
    "short ton": "short_ton",
    "long ton": "long_ton",
    "m³": "cubic_metre",
    "US gal": "US_gallon",
    "imp gal": "imp_gallon",
}


_one_at_a_time = threading.Lock()


def pint_registry() -> Any:
    """Pint's registry of the same units, generated from the table above and exact.

    Returns
    -------
    pint.UnitRegistry
        With `Fraction` magnitudes and no unit that is not in the table. The same one for every caller:
        figures of two registries cannot be added.
    """
    with _one_at_a_time:  # two threads at the first formula would make two
        return _registry()


@functools.cache
def _registry() -> Any:
    import pint

    bases = {"mass": "kg", "length": "m", "angle": "deg"}
    lines = [f"{name} = [{dimension}]" for dimension, name in bases.items()]
    lines.append("L = m ** 3 / 1000")
    bases["volume"] = "L"
    for unit in UNITS.values():
        if unit.dimension in bases and unit.name != bases[unit.dimension]:
            name = PINT_NAMES.get(unit.name, unit.name)
            factor = f"{unit.factor.numerator} / {unit.factor.denominator}"
            lines.append(f"{name} = {factor} * {bases[unit.dimension]}")
    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions(lines)
    return registry


def to_pint(quantity: Quantity) -> Any:
    """The same quantity as a Pint quantity in `pint_registry`, for arithmetic with units."""
    registry = pint_registry()
    return registry.Quantity(quantity.number, PINT_NAMES.get(quantity.unit.name, quantity.unit.name))


def kilograms_of(quantity: Any) -> Fraction:
    """The exact number of kilograms of a Pint quantity of `pint_registry`.

    Raises
    ------
    UnitError
        It is not a mass.
    """
    if not quantity.check("[mass]"):
        raise UnitError(f"{quantity} is not a mass")
    return Fraction(quantity.to("kg").magnitude)
