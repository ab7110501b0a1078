"""Masses on drawings: one unit, the one that stands first; the page beside them has both."""

from __future__ import annotations

from handling_db.quantities.display import figure_in, places_in
from handling_db.quantities.table import KG, LB
from handling_db.weights.answer import Number


def mass_text(kg: Number, first: str, *, doubt: Number | None = None, rounding: str = "ROUND_HALF_UP") -> str:
    """``384 kg``, or ``447.2 kg`` with a doubt that is worth a decimal. [kg]"""
    unit = LB if first == "lb" else KG
    places = 0 if doubt is None else places_in(unit, doubt)
    return f"{figure_in(unit, kg, places, rounding)} {unit.name}"


def span_text(low: Number, high: Number, first: str) -> str:
    """``12.7 to 31.8 kg``. [kg]"""
    unit = LB if first == "lb" else KG
    places = places_in(unit, (high - low) / 2)
    return f"{figure_in(unit, low, places)} to {figure_in(unit, high, places)} {unit.name}"
