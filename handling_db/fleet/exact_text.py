"""An exact figure as text, and back: a decimal figure where it has an end, else a fraction."""

from __future__ import annotations

from fractions import Fraction

from handling_db.tables.text.figures import decimal_of


def exact_text(value: Fraction | None) -> str | None:
    """``45.359237``, or ``10/3``; None for none. `Fraction` reads both."""
    if value is None:
        return None
    try:
        return decimal_of(value)
    except ValueError:
        return str(value)
