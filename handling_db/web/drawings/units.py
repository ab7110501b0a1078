"""Masses on drawings: one unit, the one that stands first; the page beside them has both."""

from __future__ import annotations

from handling_db.quantities.display import figure, in_unit, places_for
from handling_db.quantities.table import KG, LB
from handling_db.weights.answer import Number


def mass_text(kg: Number, first: str, *, doubt: Number | None = None, rounding: str = "ROUND_HALF_UP") -> str:
    """``384 kg``, or ``447.2 kg`` with a doubt that is worth a decimal. [kg]"""
    unit = LB if first == "lb" else KG
    places = 0 if doubt is None else places_for(in_unit(doubt, unit))
    return f"{figure(in_unit(kg, unit), places, rounding)} {unit.name}"


def span_text(low: Number, high: Number, first: str) -> str:
    """``12.7 to 31.8 kg``. [kg]"""
    unit = LB if first == "lb" else KG
    places = places_for(in_unit((high - low) / 2, unit))
    return f"{figure(in_unit(low, unit), places)} to {figure(in_unit(high, unit), places)} {unit.name}"
