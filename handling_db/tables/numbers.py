"""Numbers in the cells of a flat table: whole columns at once where they are plain, one by one where not.

Flat tables are written by machines too, so any finite decimal is read here, exponents included; hand-written
records are stricter. What could mean two things is refused:

* With ``decimal="point"`` commas between groups of three digits separate thousands, which is remarked on; any
  other comma is a fault.
* With ``decimal="comma"`` the signs are the other way round: ``1.500`` is 1500, ``1.5`` is refused.
* With ``decimal=""`` nobody stated the sign: figures are read as with a point and looked at, and where one of
  them has two readings none is taken (`decimal_sign`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from handling_db.quantities.number_text import LARGEST, digit_step
from handling_db.tables.text.decimal_sign import Signs

LIMIT = float(LARGEST)
MAX_DIGITS = 40

# A column joined by newlines, every cell a plain unsigned decimal; possessive, so it never backtracks.
_PLAIN = re.compile(r"(?:\d++(?:\.\d++)?+\n)*+", re.ASCII)
_SIGNED = re.compile(r"(?:-?\d++(?:\.\d++)?+(?:[eE][+-]?\d{1,2}+)?+\n)*+", re.ASCII)
_ONE = re.compile(
    r"(?P<sign>[+-]?)(?P<whole>\d*)(?:\.(?P<places>\d*))?(?:[eE](?P<power>[+-]?\d+))?", re.ASCII
)
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d+)?", re.ASCII)
_POINT_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(\.\d{3})+(,\d+)?", re.ASCII)

_ONLY_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:(?:,\d{3})+\.\d+|(?:,\d{3}){2,})", re.ASCII)

_HALVES = [0.5 / 10**places for places in range(MAX_DIGITS + 1)]


class NumberFault(ValueError):
    """A cell that is not one plain number: what is wrong, and what to write."""

    def __init__(self, sentence: str, remedy: str) -> None:
        super().__init__(f"{sentence} {remedy}")
        self.sentence = sentence
        self.remedy = remedy


class NotStated(NumberFault):
    """A comma in a sheet of which nobody stated the decimal sign; said once for the sheet, not here."""

    def __init__(self) -> None:
        super().__init__("the decimal sign is not stated;", "")


class Numbers:
    """Reads the numbers of one file.

    Parameters
    ----------
    delimiter : str
        What separates the cells of the file.
    decimal : str
        ``point`` or ``comma``; empty where nobody stated it.
    """

    def __init__(self, delimiter: str, decimal: str) -> None:
        self.delimiter = delimiter
        self.decimal = decimal
        self.comma = decimal == "comma"
        self.signs = None if decimal else Signs(semicolons=delimiter == ";")

    def see(self, field: str, texts: Sequence[str], lines: Sequence[int]) -> None:
        """Look at figures for what they show of the decimal sign, where nobody stated it."""
        if self.signs is not None:
            self.signs.see(field, texts, lines)

    def plain(
        self, texts: Sequence[str], *, signed: bool = False
    ) -> tuple[list[float], Sequence[str]] | None:
        """A column without empty cells in one go, or None where a cell needs a closer look.

        Parameters
        ----------
        texts : sequence of str
        signed : bool
            Whether minus signs and exponents may stand there too.

        Returns
        -------
        (list of float, sequence of str) or None
            Values, and texts with a decimal point.
        """
        joined = "\n".join(texts) + "\n"
        if self.comma and ("," in joined or "." in joined):
            if "." in joined:
                return None
            joined = joined.replace(",", ".")
            texts = joined.split("\n")[:-1]
        pattern = _SIGNED if signed else _PLAIN
        if not pattern.fullmatch(joined):
            return None
        values = list(map(float, texts))
        if not values or (
            max(values) <= LIMIT and min(values) >= -LIMIT and max(map(len, texts)) <= MAX_DIGITS
        ):
            return values, texts
        return None

    def one(self, text: str) -> tuple[float, str, str]:
        """Read one cell.

        Returns
        -------
        (float, str, str)
            The value, its text with a decimal point and no plus sign, and a remark or an empty text.

        Raises
        ------
        NumberFault
            Not one finite decimal number that can be read without guessing.
        """
        shown = text.strip()
        figure, remark = self._with_point(shown)
        match = _ONE.fullmatch(figure)
        if match is None or not (match["whole"] or match["places"]):
            raise NumberFault(
                f"{_short(shown)} is not a number;",
                "write digits alone, as in 12.5; the unit has its own column. Leave empty what is not known.",
            )
        if len(figure) > MAX_DIGITS:
            raise NumberFault(f"{_short(shown)} has more than {MAX_DIGITS} characters;", "round it.")
        power = match["power"]
        if power is not None and abs(int(power)) > 99:
            raise NumberFault(
                f"{shown!r} has an exponent beyond 99;", "write a figure of a size that exists."
            )
        plain = _plain_text(match["sign"], match["whole"], match["places"], power)
        value = float(plain)
        if abs(value) > LIMIT:
            raise NumberFault(f"{shown!r} is beyond {LIMIT:,.0f};", "write a figure of a size that exists.")
        return value, figure if _reads_back(figure) else plain, remark

    def _with_point(self, shown: str) -> tuple[str, str]:
        """The same figure with a decimal point and no thousands, and a remark or an empty text."""
        if self.comma:
            if "." not in shown:
                return shown.replace(",", ".", 1), ""
            if _POINT_THOUSANDS.fullmatch(shown):
                figure = shown.replace(".", "").replace(",", ".")
                once = shown.count(".") == 1 and "," not in shown
                return figure, f"{shown!r} is read as {figure};" if once else ""
            raise NumberFault(
                f"{_short(shown)} has a decimal point, but the table is read with decimal commas;",
                "write a comma, or read the table with decimal points.",
            )
        if "," not in shown:
            return shown, ""
        if self.signs is not None and not _ONLY_THOUSANDS.fullmatch(shown):
            raise NotStated  # the sheet as a whole is refused; see `Signs.asked`
        if not _THOUSANDS.fullmatch(shown):
            raise NumberFault(
                f"{_short(shown)} has a comma that does not separate thousands;",
                "write a point, or read the table with decimal commas.",
            )
        figure = shown.replace(",", "")
        return figure, f"{shown!r} is read as {figure};"


def _short(text: str) -> str:
    return repr(text if len(text) <= MAX_DIGITS else text[: MAX_DIGITS - 3] + "...")


def _reads_back(figure: str) -> bool:
    return _SIGNED.fullmatch(figure + "\n") is not None


def _plain_text(sign: str, whole: str, places: str | None, power: str | None) -> str:
    """The figure without a plus sign, and with a digit on both sides of a point."""
    text = ("-" if sign == "-" else "") + (whole or "0")
    if places:
        text += "." + places
    return text + (f"e{int(power)}" if power is not None else "")


def assumed_step(text: str) -> Fraction:
    """The step of rounding that the digits of a figure suggest, exponent and all; see `digit_step`.

    Parameters
    ----------
    text : str
        As `Numbers` gives it: ``840.0`` gives 0.1, ``415`` gives 5, ``1.50e3`` gives 10.
    """
    mantissa, _, power = text.lstrip("-").lower().partition("e")
    whole, _, places = mantissa.partition(".")
    return digit_step(whole, places or None) * Fraction(10) ** int(power or 0)


def half_steps(texts: Sequence[str]) -> list[float]:
    """Half of the assumed step of each figure, in the figure's own unit."""
    known = {text: _half_step(text) for text in set(texts)}  # a column mostly says the same again and again
    return list(map(known.__getitem__, texts))


def _half_step(text: str) -> float:
    places = text.partition(".")[2]
    half: float = _HALVES[len(places)] if places.isdecimal() else float(assumed_step(text) / 2)
    return half
