"""How a mass is printed: both units always, digits after the doubt, limits rounded to the careful side.

The one place where kilograms become text. Every face calls these functions.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING, Protocol

from handling_db.classes import dataclass
from handling_db.quantities.table import KG, LB, MeasureUnit

if TYPE_CHECKING:
    from fractions import Fraction

    Number = Fraction | float
else:
    Number = float  # as types go; a stored look-up starts without fractions and decimals

# as `decimal` names them
ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP = "ROUND_CEILING", "ROUND_FLOOR", "ROUND_HALF_UP"


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

BOTH = {"kg": (KG, LB), "lb": (LB, KG)}


Ratio = tuple[int, int]  # numerator and denominator, the latter positive: exact, and quicker than a Fraction


def _exact(value: Number) -> Ratio:
    """A figure as it is, every bit of a float included."""
    try:
        return value.as_integer_ratio()
    except AttributeError:  # a whole number of another library
        from fractions import Fraction

        return Fraction(value).as_integer_ratio()


def _good(value: Number) -> Ratio:
    """A figure exactly, or to the 12 digits that a stored float is good for.

    The nearest float to 369.2 lies below it, and rounded down as it is would print as 369.1.
    """
    return _of_float(value) if isinstance(value, float) else _exact(value)


@lru_cache(4096)
def _of_float(value: float) -> Ratio:
    # Most masses are written at several places of a page.
    digits, _, power = f"{value:.11e}".partition("e")
    if not power:
        return value.as_integer_ratio()  # no number, or one without end: says so
    shift = int(power) - 11
    over = int(digits.replace(".", ""))
    return (over * 10**shift, 1) if shift > 0 else (over, 10**-shift)


def _in(kg: Number, unit: MeasureUnit) -> Ratio:
    """Kilograms in another unit of mass, as `in_unit` has them."""
    return _turned(_good(kg), unit)


def _turned(kg: Ratio, unit: MeasureUnit) -> Ratio:
    if unit is KG:
        return kg
    if unit.dimension != KG.dimension:
        from fractions import Fraction

        from handling_db.quantities.quantity import convert

        convert(Fraction(1), KG, unit)  # says what is wrong
    return kg[0] * unit.under, kg[1] * unit.over


def _places_for(doubt: Ratio) -> int:
    over, under = doubt
    if over <= 0:
        return 3
    if over >= 10 * under:
        return 0
    if over >= under:
        return 1
    return max(1, min(3, -math.floor(math.log10(over / under * (1 + 1e-9)))))


def places_for(doubt: Number) -> int:
    """How many decimals a figure with this half-width deserves, 0 to 3.

    A half-width of one or more earns one decimal up to ten and none from there; below one, its first
    digit decides: 3.8 gives 1, 40 gives 0, 0.5 gives 1, 0.02 gives 2, nothing gives 3.
    """
    return _places_for(_exact(doubt))


def _enough(value: Ratio, places: int) -> int:
    """So many decimals more that something does not read as nothing: 0.0002 is not 0.000."""
    over, under = abs(value[0]), value[1]
    if over == 0 or 2 * over * 10**places >= under:
        return places
    return min(MOST_PLACES, -math.floor(math.log10(over / under)))


def _figure(value: Ratio, places: int, rounding: str = ROUND_HALF_UP) -> str:
    over, under = value
    over *= 10**places
    if rounding == ROUND_FLOOR:
        whole = over // under
    elif rounding == ROUND_CEILING:
        whole = -(-over // under)
    elif rounding == ROUND_HALF_UP:
        whole = (2 * over + under) // (2 * under) if over >= 0 else -((under - 2 * over) // (2 * under))
    else:
        raise KeyError(rounding)
    digits = f"{abs(whole):0{places + 1}d}"
    sign = "-" if whole < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"


def figure(value: Number, places: int, rounding: str = ROUND_HALF_UP) -> str:
    """A plain decimal text of an exact or floating value, rounded once, on exact digits."""
    return _figure(_exact(value), places, rounding)


def in_unit(kg: Number, unit: MeasureUnit) -> Fraction:
    """Kilograms in another unit of mass: exactly, or to the 12 digits that a stored float is good for."""
    from fractions import Fraction

    return Fraction(*_in(kg, unit))


def figure_in(unit: MeasureUnit, kg: Number, places: int, rounding: str = ROUND_HALF_UP) -> str:
    """Kilograms in another unit of mass as `figure` writes them."""
    return _figure(_in(kg, unit), places, rounding)


def places_in(unit: MeasureUnit, doubt: Number) -> int:
    """How many decimals a figure with this half-width deserves there, as `places_for` has them. [kg]"""
    return _places_for(_in(doubt, unit))


def pair(kg: Number, doubt: Number, *, first: str = "kg", rounding: str = ROUND_HALF_UP) -> str:
    """A mass in both units with digits after the doubt: ``447.2 kg (986.0 lb)``. [kg]"""
    mass, half = _good(kg), _good(doubt)
    texts = []
    for unit in BOTH[first]:
        value = _turned(mass, unit)
        places = _enough(value, _places_for(_turned(half, unit))) if value[0] else 0
        texts.append(f"{_figure(value, places, rounding)} {unit.name}")
    return f"{texts[0]} ({texts[1]})"


def with_doubt(mass: Doubtful, *, first: str = "kg") -> str:
    """Best figure and worst-case doubt in both units: ``447.2 ± 3.8 kg (986.0 ± 8.3 lb)``.

    An "at least" mass is printed as such, rounded down, without a plus-or-minus; limits that lie much farther
    to one side of the best figure are printed as they are: ``80 to 150 kg``.
    """
    if not mass.complete:
        return at_least(mass, first=first)
    if _far_to_one_side(mass):
        return span(mass.low, mass.high, first=first)  # one plus-or-minus would hide the far side
    half_kg, best_kg = _good(half_width(mass)), _good(mass.best)
    texts = []
    for unit in BOTH[first]:
        half, best = _turned(half_kg, unit), _turned(best_kg, unit)
        places = _enough(best, _places_for(half)) if best[0] or half[0] else 0
        text, doubt = _figure(best, places), _figure(half, places)
        if doubt.strip("0."):  # a doubt that rounds to nothing here is not printed as none
            text += f" ± {doubt}"
        texts.append(f"{text} {unit.name}")
    return f"{texts[0]} ({texts[1]})"


def _far_to_one_side(mass: Doubtful) -> bool:
    """Whether the middle of the limits lies more than a tenth of their half-width off the best figure."""
    (low, a), (half, b), (best, c) = _exact(mass.low), _exact(half_width(mass)), _exact(mass.best)
    return abs(low * b * c + half * a * c - best * a * b) * 10 > half * a * c  # all over a * b * c


def at_least(mass: Doubtful, *, first: str = "kg") -> str:
    """The known part, rounded down: ``at least 369.2 kg (813.9 lb)``.

    Never coarser than a tenth: the figure is a lower limit of the best values, not a measured whole.
    """
    half_kg, best_kg = _good(half_width(mass)), _good(mass.best)
    texts = []
    for unit in BOTH[first]:
        places = max(1, _places_for(_turned(half_kg, unit)))
        texts.append(f"{_figure(_turned(best_kg, unit), places, ROUND_FLOOR)} {unit.name}")
    return f"at least {texts[0]} ({texts[1]})"


def span(low: Number, high: Number, *, first: str = "kg") -> str:
    """An interval in both units: ``443.4 to 451.0 kg (977.6 to 994.3 lb)``. [kg]"""
    half, limits = _good((high - low) / 2), (_good(low), _good(high))
    texts = []
    for unit in BOTH[first]:
        places = _places_for(_turned(half, unit)) if high else 0
        low_text, high_text = (_figure(_turned(limit, unit), places) for limit in limits)
        texts.append(f"{low_text} to {high_text} {unit.name}")
    return f"{texts[0]} ({texts[1]})"


def _planning_tenths(high_kg: Number, unit: MeasureUnit) -> int:
    """The planning figure in one unit, in tenths of it."""
    over, under = _in(high_kg, unit)
    if isinstance(high_kg, float):
        over, under = over * (10**12 - 2), under * 10**12
    tenths = -(-over * 10 // under)  # rounded up
    return -(-over // under) * 10 if tenths >= 1000 and over > 99 * under else tenths


def planning(high_kg: Number, unit: MeasureUnit) -> Fraction:
    """The planning figure in one unit: rounded up, to 1 from 100 up and to 0.1 below.

    Rounded up from the exact value in each unit by itself. A float gets a margin of two parts in 10^12,
    the error that summing in floating point may have left, so that 450 does not become 451.
    """
    from fractions import Fraction

    return Fraction(_planning_tenths(high_kg, unit), 10)


def planning_text(high_kg: Number, *, first: str = "kg") -> str:
    """The planning figure in both units: ``452 kg (995 lb)``. [kg]"""
    texts = []
    for unit in BOTH[first]:
        tenths = _planning_tenths(high_kg, unit)
        places = 0 if tenths >= 1000 else 1
        texts.append(f"{_figure((tenths, 10), places, ROUND_CEILING)} {unit.name}")
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
