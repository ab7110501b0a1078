"""What a caller gives with a question: masses and ranges as text, Pint quantities or kilograms."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from handling_db.errors import HandlingError
from handling_db.quantities.pint_units import kilograms_of, pint_registry, to_pint
from handling_db.quantities.quantity import parse_mass

# A mass as callers may write it: "22.5 kg", a Pint quantity of `mass`, or a number of kilograms.
MassLike = str | float | Fraction | Any
Span = str | tuple[MassLike, MassLike]


def mass(text: str) -> Any:
    """A mass as a Pint quantity with an exact magnitude: ``mass("1,250 lb").to("kg")``.

    Parameters
    ----------
    text : str
        Figure and unit as a source prints them; fractions of a pound too.

    Returns
    -------
    pint.Quantity
        In the unit that was written, its magnitude a `Fraction`, of a registry with the exact factors of this
        program and no other unit.

    Raises
    ------
    UnitError
        It cannot be read without guessing: a bare ``ton``, a number without a unit, a force.
    """
    return to_pint(parse_mass(text))


def needed(given: Mapping[str, Any], *names: str) -> None:
    """See that what nothing may be assumed for was given.

    Raises
    ------
    TypeError
        It was left out.
    """
    for name in names:
        if given.get(name) is None:
            raise TypeError(f"write {name}=...: it has no default, since leaving it out would hide a danger")


def kilograms(value: MassLike, label: str) -> Fraction:
    """A mass as an exact number of kilograms.

    Raises
    ------
    HandlingError
        Not a mass: the label says which.
    """
    if isinstance(value, str):
        return parse_mass(value).base
    if isinstance(value, int | float | Fraction):
        return Fraction(value)
    if isinstance(value, pint_registry().Quantity):
        return kilograms_of(value)
    raise HandlingError(f"{label}: write a mass as '22.5 kg', as hd.mass('22.5 kg') or as kilograms")


def ranges(assume: Mapping[str, Span] | None) -> dict[str, tuple[Fraction, Fraction]]:
    """Ranges for parts that nobody weighed, by component id. [kg]

    Raises
    ------
    HandlingError
        A text is no range, or runs backwards.
    """
    from handling_db.lifting.asked import assumed_ranges

    found: dict[str, tuple[Fraction, Fraction]] = {}
    for part, span in (assume or {}).items():
        if isinstance(span, str):
            found |= assumed_ranges([f"{part}={span}"])
            continue
        low, high = (kilograms(value, f"assume {part}") for value in span)
        if not 0 <= low <= high:
            raise HandlingError(f"assume {part}: the lower figure comes first, and none is below 0 kg")
        found[part] = (low, high)
    return found
