"""The grammar of a figure: ``1,830``, ``840.0``, ``12 1/2``; what it refuses, and why.

Programs write figures too: all the digits of a float (``13.741000000000001``) and exponents (``1.5e-1``) mean
one thing only and are read, so that whatever a table may hold can be read again wherever it is kept.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from handling_db.errors import UnitError

LARGEST = 10**12  # in whatever unit; a mass of a thousand million tonnes is a slip

NUMBER = re.compile(
    r"(?P<sign>-?)"
    r"(?P<whole>\d{1,3}(?:,\d{3})+|\d{1,13})(?:\.(?P<places>\d{1,30}))?"
    r"(?:[eE](?P<power>[+-]?\d{1,2})(?!\d))?"
    r"(?:\s+(?P<over>\d{1,3})/(?P<under>\d{1,3}))?",
    re.ASCII,
)
FRACTION = re.compile(r"(?P<sign>-?)(?P<over>\d{1,3})/(?P<under>\d{1,3})", re.ASCII)


def refuse_odd_tail(shown: str, tail: str, example: str) -> None:
    """Refuse what number grammars disagree about, with the reason."""
    if re.match(r"[0-9]", tail):
        if "," in shown:
            raise UnitError(f"{shown!r}: a comma stands before every three digits, as in 1,830 lb")
        raise UnitError(f"{shown!r} has too many digits; write at most 13 before and 30 after the point")
    tail = tail.strip()
    if re.match(r",\d", tail):
        raise UnitError(
            f"{shown!r}: a comma separates thousands here (1,830 lb); "
            "for decimals write a point, as in 1.5 kg"
        )
    if re.match(r"[eE][+-]?\d", tail):
        raise UnitError(
            f"{shown!r}: write the figure out; an exponent has two figures and no space before it"
        )
    if re.match(r"[0-9]", tail):
        raise UnitError(f"{shown!r}: no spaces inside a number; write 1,000 or 1000 with its unit")
    if tail[:1] in {".", "/", "*", "+", "-", ","} or tail[:1].isnumeric():
        raise UnitError(f"{shown!r} is not one plain number; {example}")


def read_number(found: dict[str, str | None], shown: str) -> tuple[Fraction, Fraction]:
    """Exact number and suggested step from the parts of a match, both positive."""
    whole = (found.get("whole") or "0").replace(",", "")
    places = found.get("places")
    over, under, power = found.get("over"), found.get("under"), found.get("power")
    value = Fraction(f"{whole}.{places}" if places else whole)
    if power is not None:
        if "," in (found.get("whole") or "") or over is not None:
            raise UnitError(f"{shown!r}: write either an exponent, or commas and fractions, not both")
        scale = Fraction(10) ** int(power)
        return _of_a_size(value * scale, shown), digit_step(whole, places) * scale
    if over is None or under is None:
        return _of_a_size(value, shown), digit_step(whole, places)
    if places:
        raise UnitError(f"{shown!r}: write either decimals or a fraction, not both")
    denominator = int(under)
    if denominator not in {2, 4, 8, 16, 32, 64}:
        raise UnitError(f"{shown!r}: a fraction has 2, 4, 8, 16, 32 or 64 below the line")
    if int(over) >= denominator:
        raise UnitError(f"{shown!r}: the fraction must be less than one")
    return value + Fraction(int(over), denominator), Fraction(1, denominator)


def _of_a_size(value: Fraction, shown: str) -> Fraction:
    """The value itself.

    Raises
    ------
    UnitError
        Nothing that is weighed or measured is so large.
    """
    if value > LARGEST:
        raise UnitError(f"{shown!r} is beyond {LARGEST:,}; write a figure of a size that exists")
    return value


def digit_step(whole: str, places: str | None) -> Fraction:
    """The step of rounding that the digits of a figure suggest.

    Digits after the point count (840.0 gives 0.1). Without a point it is the place of the last digit
    that is not zero, five of it if that digit is 5: 415 gives 5, 450 gives 50, 830 gives 10, 47 gives 1.
    Common practice, no source; always shown as assumed.
    """
    if places:
        return Fraction(1, 10 ** len(places))
    digits = whole.lstrip("0")
    kept = digits.rstrip("0")
    if not kept:
        return Fraction(1)
    place = Fraction(10 ** (len(digits) - len(kept)))
    return 5 * place if kept[-1] == "5" else place


MACHINE_DIGITS = 12  # of a float with more digits than that, the last ones are noise


def step_range(text: str) -> tuple[Fraction, Fraction]:
    """The finest and the coarsest step of rounding that a figure's digits may mean.

    Programs write ``50736.0`` for a whole number and ``185000`` for one that was rounded to nobody knows
    what: between these two steps lies what `digit_step` assumes.

    Parameters
    ----------
    text : str
        The figure, digits and a point alone or with an exponent; commas are passed over.

    Returns
    -------
    (Fraction, Fraction)
        Alike where the digits leave no choice.
    """
    mantissa, _, power = text.replace(",", "").lstrip("-").lower().partition("e")
    whole, _, places = mantissa.partition(".")
    scale = Fraction(10) ** int(power or 0)
    assumed = digit_step(whole, places or None)
    fine = coarse = assumed
    if not places:
        fine = min(assumed, Fraction(1))
    else:
        digits = (whole + places).lstrip("0")
        kept = places
        if len(digits) > MACHINE_DIGITS:
            shown = round(Decimal(mantissa), max(0, MACHINE_DIGITS - len(whole.lstrip("0"))))
            kept = f"{shown:f}".partition(".")[2]
        kept = kept.rstrip("0")
        coarse = max(assumed, digit_step(whole, kept or None))
    return fine * scale, coarse * scale
