"""A mass in one cell as people write it: ``158.0``, ``348 lb``, ``12 1/2 lb``, ``158.0 ± 0.5 kg``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from handling_db.errors import UnitError
from handling_db.quantities.number_text import FRACTION, NUMBER, read_number
from handling_db.tables.numbers import NumberFault, Numbers
from handling_db.tables.text.headings import is_unknown

_DOUBT = re.compile(r"\s*(?:±|\+\s*/\s*-|\+-|plus or minus|plus/minus)\s*", re.IGNORECASE)
_LEADING = re.compile(r"[+-]?(?:[\d.,]*\d)(?:[eE][+-]?\d+)?", re.ASCII)
_SPACED = re.compile(r"(?<=\d)[\u00a0\u202f\u2009'’](?=\d{3}(?!\d))")


@dataclass(frozen=True, slots=True)
class CellFigure:
    """One mass as it stands in a cell.

    Parameters
    ----------
    number : str
        With a decimal point.
    unit : str
        The unit that stands in the cell; empty where none does.
    plus_minus : str
        The doubt that stands in the cell, in the same unit or with its own behind it; empty for none.
    plus_minus_unit : str
        Its own unit; empty where it is that of the figure. ``%`` for parts of a hundred.
    step : str
        The step that a fraction of a unit shows, such as 1/8; empty otherwise.
    remark : str
        What is to be said of the way it was read.
    """

    number: str
    unit: str = ""
    plus_minus: str = ""
    plus_minus_unit: str = ""
    step: str = ""
    remark: str = ""


def read_figure(text: str, numbers: Numbers) -> CellFigure | None:
    """Read one cell of a column of masses.

    Parameters
    ----------
    text : str
    numbers : Numbers
        Of the sheet, for its decimal sign.

    Returns
    -------
    CellFigure or None
        None where the cell is empty or says that nobody knows.

    Raises
    ------
    NumberFault
        Not one figure that can be read without guessing.
    """
    if is_unknown(text):
        return None
    shown = _SPACED.sub("", text.strip())
    parts = _DOUBT.split(shown)
    if len(parts) > 2 or (len(parts) == 2 and not parts[0].strip()):
        raise NumberFault(f"{text.strip()[:40]!r} is not one figure and its doubt;", "write 158.0 ± 0.5 kg.")
    number, unit, step, remark = _number_and_unit(parts[0], text, numbers)
    if len(parts) == 1:
        return CellFigure(number, unit, step=step, remark=remark)
    doubt, doubt_unit, _, _ = _number_and_unit(parts[1], text, numbers)
    if not unit and doubt_unit != "%":  # 158.0 ± 0.5 kg: one unit for both
        unit, doubt_unit = doubt_unit, ""
    return CellFigure(number, unit, doubt, doubt_unit, step, remark)


def _number_and_unit(part: str, text: str, numbers: Numbers) -> tuple[str, str, str, str]:
    """Number with a point, unit, step of a fraction, remark."""
    shown = part.strip()
    fraction = FRACTION.match(shown) or NUMBER.match(shown)
    if fraction is not None and fraction.groupdict().get("under"):
        try:
            value, step = read_number(fraction.groupdict(), shown)
        except UnitError as error:
            raise NumberFault(f"{error};", "write it as a decimal figure.") from None
        if fraction["sign"] or {",", "."} & set(fraction[0]):
            raise NumberFault(f"{text.strip()[:40]!r} is not a number;", "write digits alone, as in 12.5.")
        return decimal_of(value), shown[fraction.end() :].strip(), decimal_of(step), ""
    match = _LEADING.match(shown)
    if match is None:
        numbers.one(text)  # raises, with the words for what is no number at all
        raise NumberFault(f"{text.strip()[:40]!r} is not a number;", "write digits alone, as in 12.5.")
    unit = shown[match.end() :].strip()
    if unit and not re.fullmatch(r"[^\d.,;:+\-/*=<>~]*(?:/[a-zA-Zü.]+)?\.?", unit):
        raise NumberFault(
            f"{text.strip()[:40]!r} is not one plain figure;", "write a number and its unit, as in 158.0 kg."
        )
    _, number, remark = numbers.one(match[0])
    return number, unit.rstrip(".") if unit != "." else "", "", remark


def decimal_of(value: Fraction) -> str:
    """A fraction whose denominator is a product of twos and fives, written out exactly.

    Raises
    ------
    ValueError
        It has no end.
    """
    denominator, places = value.denominator, 0
    while denominator % 10 == 0:
        denominator, places = denominator // 10, places + 1
    twos = fives = 0
    while denominator % 2 == 0:
        denominator, twos = denominator // 2, twos + 1
    while denominator % 5 == 0:
        denominator, fives = denominator // 5, fives + 1
    if denominator != 1:
        raise ValueError(f"{value} has no end as a decimal figure")
    places += max(twos, fives)
    digits = str(abs(value.numerator) * 10**places // value.denominator).rjust(places + 1, "0")
    text = f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return f"-{text}" if value < 0 else text
