"""The decimal sign of a sheet: what its figures show of it, and when it has to be stated.

Nothing is guessed. A figure such as ``1.250`` is 1250 in one country and 1.25 in the next, and a single
``12,5`` beside it may be a slip of the hand: where a figure can be read in two ways, or where the sheet is
written as those with decimal commas are, no figure of it is taken until the sign is stated.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

# A point that can only be a decimal sign: 12.5, 0.125, 1250.500, 1,250.5, 1.2345, 1.5e3, 1,234,567.
_POINT = re.compile(
    r"(?<![\d.,])(?:\d+\.(?:\d{1,2}|\d{4,})(?![\d.,])|0\d*\.\d+|\d{4,}\.\d+|\d{1,3}(?:,\d{3})+\.\d+|\d*\.\d+[eE]"
    r"|\.\d)",
    re.ASCII,
)
_TWO_COMMAS = re.compile(r"(?<![\d.,])\d{1,3}(?:,\d{3}){2,}(?![\d,])", re.ASCII)
# A comma that can only be one, or points that can only separate thousands: 12,5, 1.250,5, 1.234.567.
_COMMA = re.compile(
    r"(?<![\d.,])(?:\d+,(?:\d{1,2}|\d{4,})(?![\d.,])|0\d*,\d+|\d{4,},\d+|\d{1,3}(?:\.\d{3})+,\d+"
    r"|\d{1,3}(?:\.\d{3}){2,}(?![\d.]))",
    re.ASCII,
)
_POINT_TWICE = re.compile(r"\.\d{3}\.", re.ASCII)  # what the second needs where there is no comma at all
_EITHER_POINT = re.compile(r"(?<![\d.,])[1-9]\d{0,2}\.\d{3}(?![\d.,eE])", re.ASCII)
_EITHER_COMMA = re.compile(r"(?<![\d.,])[1-9]\d{0,2},\d{3}(?![\d.,])", re.ASCII)


@dataclass(frozen=True, slots=True)
class SheetFigure:
    """A figure as it stands in a sheet."""

    text: str
    line: int
    field: str


class Signs:
    """Gathers what the figures of one sheet show of its decimal sign.

    Parameters
    ----------
    semicolons : bool
        Whether ``;`` separates the cells, as programs write that need the comma for decimals.
    """

    def __init__(self, *, semicolons: bool = False) -> None:
        self.semicolons = semicolons
        self.point: SheetFigure | None = None
        self.comma: SheetFigure | None = None
        self.either: SheetFigure | None = None
        self.commas_either: SheetFigure | None = None

    def see(self, field: str, texts: Sequence[str], lines: Sequence[int]) -> None:
        """Look at the figures of one column in some rows."""
        joined = "\n".join(texts)
        if joined.count("\n") >= len(texts):  # a cell of several lines is one figure all the same
            joined = "\n".join(text.replace("\n", " ") for text in texts)
        points = "." in joined
        if not points and "," not in joined:
            return
        if points and self.point is None and (found := _POINT.search(joined)):
            self.point = self._seen(field, joined, found.start(), lines)
        open_ = points and self.either is None and (self.point is None or self.semicolons)
        if open_ and (found := _EITHER_POINT.search(joined)):
            self.either = self._seen(field, joined, found.start(), lines)
        if "," in joined or _POINT_TWICE.search(joined):
            if self.comma is None and (found := _COMMA.search(joined)):
                self.comma = self._seen(field, joined, found.start(), lines)
            if self.point is None and (found := _TWO_COMMAS.search(joined)):
                self.point = self._seen(field, joined, found.start(), lines)
            if self.commas_either is None and (found := _EITHER_COMMA.search(joined)):
                self.commas_either = self._seen(field, joined, found.start(), lines)

    def _seen(self, field: str, joined: str, at: int, lines: Sequence[int]) -> SheetFigure:
        row = joined.count("\n", 0, at)
        return SheetFigure(joined.split("\n")[row].strip()[:40], lines[row], field)

    def asked(self) -> tuple[SheetFigure, str] | None:
        """The figure for which the sign has to be stated, and why; None where each has one reading."""
        if self.commas_either is not None:
            beside = (
                f", and {self.comma.text!r} (line {self.comma.line}) does not settle it" if self.comma else ""
            )
            return self.commas_either, f"{_readings(self.commas_either.text)}{beside}"
        if self.either is not None and (self.point is None or self.semicolons or self.comma is not None):
            return self.either, _readings(self.either.text)
        if self.comma is not None:
            return self.comma, "has a decimal comma, and nothing says that this sheet is written with them"
        if self.semicolons and self.point is not None:
            return (
                self.point,
                "stands in a sheet with ';' between its cells, as those with decimal commas have",
            )
        return None


def _readings(text: str) -> str:
    """Both readings of a figure: ``may be 1250 or 1.25``."""
    figure = re.search(r"[\d.,]+", text)
    digits = re.split(r"[.,]", figure[0] if figure else text)
    whole = "".join(digits)
    small = f"{float(Fraction(f'{digits[0]}.{digits[-1]}')):g}"
    rest = text[figure.end() :].strip() if figure else ""
    unit = f" {rest}" if rest and len(rest) < 12 else ""
    return f"may be {whole}{unit} or {small}{unit}"
