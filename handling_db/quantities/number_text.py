"""The grammar of a figure as people write it: ``1,830``, ``840.0``, ``12 1/2``; what it refuses, and why."""

from __future__ import annotations

import re
from fractions import Fraction

from handling_db.errors import UnitError

NUMBER = re.compile(
    r"(?P<sign>-?)"
    r"(?P<whole>\d{1,3}(?:,\d{3})+|\d{1,9})(?:\.(?P<places>\d{1,9}))?"
    r"(?:\s+(?P<over>\d{1,3})/(?P<under>\d{1,3}))?",
    re.ASCII,
)
FRACTION = re.compile(r"(?P<sign>-?)(?P<over>\d{1,3})/(?P<under>\d{1,3})", re.ASCII)


def refuse_odd_tail(shown: str, tail: str, example: str) -> None:
    """Refuse what number grammars disagree about, with the reason."""
    if re.match(r"[0-9]", tail):
        if "," in shown:
            raise UnitError(f"{shown!r}: a comma stands before every three digits, as in 1,830 lb")
        raise UnitError(f"{shown!r} has too many digits; write at most 9 before and 9 after the point")
    tail = tail.strip()
    if re.match(r",\d", tail):
        raise UnitError(
            f"{shown!r}: a comma separates thousands here (1,830 lb); "
            "for decimals write a point, as in 1.5 kg"
        )
    if re.match(r"[eE][+-]?\d", tail):
        raise UnitError(f"{shown!r}: write the figure out, without an exponent")
    if re.match(r"[0-9]", tail):
        raise UnitError(f"{shown!r}: no spaces inside a number; write 1,000 or 1000 with its unit")
    if tail[:1] in {".", "/", "*", "+", "-", ","} or tail[:1].isnumeric():
        raise UnitError(f"{shown!r} is not one plain number; {example}")


def read_number(found: dict[str, str | None], shown: str) -> tuple[Fraction, Fraction]:
    """Exact number and suggested step from the parts of a match, both positive."""
    whole = (found.get("whole") or "0").replace(",", "")
    places = found.get("places")
    over, under = found.get("over"), found.get("under")
    value = Fraction(f"{whole}.{places}" if places else whole)
    if over is None or under is None:
        return value, digit_step(whole, places)
    if places:
        raise UnitError(f"{shown!r}: write either decimals or a fraction, not both")
    denominator = int(under)
    if denominator not in {2, 4, 8, 16, 32, 64}:
        raise UnitError(f"{shown!r}: a fraction has 2, 4, 8, 16, 32 or 64 below the line")
    if int(over) >= denominator:
        raise UnitError(f"{shown!r}: the fraction must be less than one")
    return value + Fraction(int(over), denominator), Fraction(1, denominator)


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
