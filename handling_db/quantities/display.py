"""How a mass is printed: both units always, digits after the doubt, limits rounded to the careful side.

The one place where kilograms become text. Every face calls these functions.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP
from fractions import Fraction
from typing import Protocol

from handling_db.quantities.quantity import KG, LB, MeasureUnit, convert

Number = Fraction | float


class Doubtful(Protocol):
    """Anything with a best figure, worst-case limits and a word on whether it is complete. [kg]"""

    @property
    def best(self) -> Number: ...  # noqa: D102

    @property
    def low(self) -> Number: ...  # noqa: D102

    @property
    def high(self) -> Number: ...  # noqa: D102

    @property
    def complete(self) -> bool: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class ShownMass:
    """A calculated mass as the functions here read it: the known part where there is no upper figure. [kg]"""

    best: float
    low: float
    high: float
    complete: bool

    @classmethod
    def of(cls, low: float, best: float, high: float | None) -> ShownMass:
        """Limits as a calculation has them, `high` None for "at least"."""
        return cls(best, low, best if high is None else high, high is not None)


def half_width(mass: Doubtful) -> Number:
    """Half of the worst-case interval. [kg]"""
    return (mass.high - mass.low) / 2


MOST_PLACES = 9  # decimals of a very small mass

_BOTH = {"kg": (KG, LB), "lb": (LB, KG)}


def places_for(doubt: Number) -> int:
    """How many decimals a figure with this half-width deserves, 0 to 3.

    A half-width of one or more earns one decimal up to ten and none from there; below one, its first
    digit decides: 3.8 gives 1, 40 gives 0, 0.5 gives 1, 0.02 gives 2, nothing gives 3.
    """
    if doubt <= 0:
        return 3
    if doubt >= 10:
        return 0
    if doubt >= 1:
        return 1
    return max(1, min(3, -math.floor(math.log10(float(doubt) * (1 + 1e-9)))))


def _enough(value: Number, places: int) -> int:
    """So many decimals more that something does not read as nothing: 0.0002 is not 0.000."""
    size = abs(Fraction(value))
    if size == 0 or size * 10**places >= Fraction(1, 2):
        return places
    return min(MOST_PLACES, -math.floor(math.log10(float(size))))


def figure(value: Number, places: int, rounding: str = ROUND_HALF_UP) -> str:
    """A plain decimal text of an exact or floating value, rounded once, on exact digits."""
    scaled = Fraction(value) * 10**places
    whole = {
        ROUND_FLOOR: math.floor(scaled),
        ROUND_CEILING: math.ceil(scaled),
        ROUND_HALF_UP: math.floor(abs(scaled) + Fraction(1, 2)) * (1 if scaled >= 0 else -1),
    }[rounding]
    digits = f"{abs(whole):0{places + 1}d}"
    sign = "-" if whole < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"


def in_unit(kg: Number, unit: MeasureUnit) -> Fraction:
    """Kilograms in another unit of mass: exactly, or to the 12 digits that a stored float is good for.

    The nearest float to 369.2 lies below it, and rounded down as it is would print as 369.1.
    """
    return convert(Fraction(f"{kg:.12g}") if isinstance(kg, float) else Fraction(kg), KG, unit)


def pair(kg: Number, doubt: Number, *, first: str = "kg", rounding: str = ROUND_HALF_UP) -> str:
    """A mass in both units with digits after the doubt: ``447.2 kg (986.0 lb)``. [kg]"""
    one, two = _BOTH[first]
    texts = []
    for unit in (one, two):
        value = in_unit(kg, unit)
        places = _enough(value, places_for(in_unit(doubt, unit))) if value else 0
        texts.append(f"{figure(value, places, rounding)} {unit.name}")
    return f"{texts[0]} ({texts[1]})"


def with_doubt(mass: Doubtful, *, first: str = "kg") -> str:
    """Best figure and worst-case doubt in both units: ``447.2 ± 3.8 kg (986.0 ± 8.3 lb)``.

    An "at least" mass is printed as such, rounded down, without a plus-or-minus; limits that lie much farther
    to one side of the best figure are printed as they are: ``80 to 150 kg``.
    """
    if not mass.complete:
        return at_least(mass, first=first)
    half = Fraction(half_width(mass))
    if abs(Fraction(mass.low) + half - Fraction(mass.best)) * 10 > half:
        return span(mass.low, mass.high, first=first)  # one plus-or-minus would hide the far side
    texts = []
    for unit in _BOTH[first]:
        half, best = in_unit(half_width(mass), unit), in_unit(mass.best, unit)
        places = _enough(best, places_for(half)) if best or half else 0
        text, doubt = figure(best, places), figure(half, places)
        if doubt.strip("0."):  # a doubt that rounds to nothing here is not printed as none
            text += f" ± {doubt}"
        texts.append(f"{text} {unit.name}")
    return f"{texts[0]} ({texts[1]})"


def at_least(mass: Doubtful, *, first: str = "kg") -> str:
    """The known part, rounded down: ``at least 369.2 kg (813.9 lb)``.

    Never coarser than a tenth: the figure is a lower limit of the best values, not a measured whole.
    """
    texts = []
    for unit in _BOTH[first]:
        places = max(1, places_for(in_unit(half_width(mass), unit)))
        texts.append(f"{figure(in_unit(mass.best, unit), places, ROUND_FLOOR)} {unit.name}")
    return f"at least {texts[0]} ({texts[1]})"


def span(low: Number, high: Number, *, first: str = "kg") -> str:
    """An interval in both units: ``443.4 to 451.0 kg (977.6 to 994.3 lb)``. [kg]"""
    texts = []
    for unit in _BOTH[first]:
        places = places_for(in_unit((high - low) / 2, unit)) if high else 0
        low_text, high_text = (figure(in_unit(limit, unit), places) for limit in (low, high))
        texts.append(f"{low_text} to {high_text} {unit.name}")
    return f"{texts[0]} ({texts[1]})"


def planning(high_kg: Number, unit: MeasureUnit) -> Fraction:
    """The planning figure in one unit: rounded up, to 1 from 100 up and to 0.1 below.

    Rounded up from the exact value in each unit by itself. A float gets a margin of two parts in 10^12,
    the error that summing in floating point may have left, so that 450 does not become 451.
    """
    value = in_unit(high_kg, unit)
    if isinstance(high_kg, float):
        value *= 1 - Fraction(2, 10**12)
    step = Fraction(1) if value > 99 and math.ceil(value * 10) >= 1000 else Fraction(1, 10)
    return math.ceil(value / step) * step


def planning_text(high_kg: Number, *, first: str = "kg") -> str:
    """The planning figure in both units: ``452 kg (995 lb)``. [kg]"""
    texts = []
    for unit in _BOTH[first]:
        value = planning(high_kg, unit)
        texts.append(f"{figure(value, 0 if value >= 100 else 1, ROUND_CEILING)} {unit.name}")
    return f"{texts[0]} ({texts[1]})"


def without_count(count: str, what: str) -> str:
    """A name without the count it starts with, where that stands beside it: ``bolts``, not ``16 bolts``.

    Parameters
    ----------
    count : str
    what : str
    """
    match = re.fullmatch(rf"{re.escape(count)}(?:\s*[x\u00d7])?\s+(?P<rest>\S.*)", what) if count else None
    return match["rest"] if match else what


def counted(number: int, noun: str, plural: str | None = None) -> str:
    """``1 part``, ``2 parts``."""
    return f"{number} {noun}" if number == 1 else f"{number} {plural or noun + 's'}"
