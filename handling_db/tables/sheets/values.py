"""Cells as figures, counts, ids and days; what cannot be read without guessing is refused with its reason."""

from __future__ import annotations

import re
from fractions import Fraction

from handling_db.errors import UnitError
from handling_db.quantities.quantity import Quantity, Unit, find_unit, parse_quantity
from handling_db.tables.sheets.grid import Cell

# What people write where they do not know: it is no figure, and it is not zero.
UNKNOWN = frozenset(
    {"-", "–", "?", "??", "n/a", "na", "tbd", "tbc", "unknown", "not known", "x", "nobody knows"}
)
_PLAIN = re.compile(r"\d+(\.\d+)?", re.ASCII)
_THOUSANDS = re.compile(r"\d{1,3}(,\d{3})+(\.\d+)?(?=\D|$)", re.ASCII)
_COMMA = re.compile(r"\d+,\d{1,2}(?!\d)|\d+,\d{4,}", re.ASCII)
_POWER = re.compile(r"\d+(\.\d+)?[eE][+]?\d+", re.ASCII)
_MONTH = r"(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DATE_LIKE = re.compile(rf"\d{{1,2}}[-/ .]{_MONTH}([-/ .]\d{{2,4}})?|{_MONTH}[-/ .]\d{{1,4}}", re.IGNORECASE)


class CellError(ValueError):
    """A cell that cannot be read; the message says why and what to do."""


def text_of(cell: Cell, what: str) -> str:
    """A text, such as a name.

    Raises
    ------
    CellError
        The cell holds a date, an error or a formula without a value.
    """
    _refuse(cell, what)
    return cell.text


def _refuse(cell: Cell, what: str) -> None:
    if cell.kind == "error":
        if cell.formula and not cell.text:
            raise CellError(
                f"{what}: the formula {cell.formula} has no stored value; open the file and save it"
            )
        raise CellError(f"{what}: holds the error {cell.text}; put the cell right")
    if cell.kind == "date":
        raise CellError(
            f"{what}: is a date ({cell.text}); a text such as 3-12 was turned into one: type it again as text"
        )
    if cell.kind == "truth":
        raise CellError(f"{what}: is {cell.text}, neither a text nor a figure")


def id_of(cell: Cell, what: str) -> str:
    """An id or a part number, as it was typed.

    Raises
    ------
    CellError
        A date or a number that a program made of it.
    """
    text = text_of(cell, what)
    if cell.kind == "text" and _POWER.fullmatch(text):
        raise CellError(f"{what}: {text} is a long number that lost its digits; type it again as text")
    if cell.kind == "text" and _DATE_LIKE.fullmatch(text):
        raise CellError(f"{what}: {text} looks like a date that was a part number; type it again as text")
    if len(text) > 80:
        raise CellError(f"{what}: {text[:30]!r}... is longer than 80 characters")
    return text


def mass_of(cell: Cell, unit: Unit | None, decimal: str, what: str) -> Quantity | None:
    """A mass; None where the cell is empty or says that nobody knows.

    Parameters
    ----------
    cell : Cell
    unit : Unit or None
        Of a figure that has none of its own: from the unit column, the heading or the mapping file.
    decimal : str
        ``point`` or ``comma``.

    Raises
    ------
    CellError
        A date, an error, a bare number without a unit, zero, or a text that is no mass.
    """
    if cell.kind == "empty" or cell.text.lower() in UNKNOWN:
        return None
    _refuse(cell, what)
    text = cell.text
    own = cell.unit
    if cell.kind == "text":
        text = _figure(text, decimal, what)
    if _is_number(text):
        named = _unit(own, what) if own else unit
        if named is None:
            raise CellError(
                f"{what}: {cell.text} has no unit; write it in the cell, the heading or the mapping file"
            )
        text = f"{text} {named.name}"
    try:
        found = parse_quantity(text, "mass")
    except UnitError as error:
        raise CellError(f"{what}: {error}") from None
    if found.base == 0:
        raise CellError(f"{what}: {cell.text} is no mass; leave the cell empty where nobody knows")
    return found


def _is_number(text: str) -> bool:
    return _PLAIN.fullmatch(text) is not None


def _unit(text: str, what: str) -> Unit:
    try:
        return find_unit(text, "mass")
    except UnitError as error:
        raise CellError(f"{what}: {error}") from None


def _figure(text: str, decimal: str, what: str) -> str:
    """A typed figure with a point and without thousands commas.

    Raises
    ------
    CellError
        A comma that could be either.
    """
    if decimal == "comma":
        head = re.match(r"[\d.,]+", text)
        if head is None:
            return text
        figure = head[0].rstrip(".,")
        if re.fullmatch(r"\d{1,3}(\.\d{3})+(,\d+)?|\d+(,\d+)?", figure):
            return figure.replace(".", "").replace(",", ".") + text[len(figure) :]
        raise CellError(f"{what}: {text!r} is no figure with a decimal comma")
    thousands = _THOUSANDS.match(text)
    if thousands:
        return thousands[0].replace(",", "") + text[thousands.end() :]
    if _COMMA.match(text):
        raise CellError(f"{what}: {text!r} has a comma; if it is a decimal comma, say 'decimal: comma'")
    return text


def count_of(cell: Cell, decimal: str, what: str) -> str:
    """A count above zero, as text.

    Raises
    ------
    CellError
        Empty, zero, a date, or no number.
    """
    if cell.kind == "empty":
        raise CellError(f"{what}: is missing; write how many there are")
    _refuse(cell, what)
    text = _figure(cell.text, decimal, what) if cell.kind == "text" else cell.text
    match = re.fullmatch(r"(\d{1,9}(?:\.\d{1,6})?)\s*(x|×|pcs?|pieces?|off|ea|each)?\.?", text, re.IGNORECASE)
    if match is None:
        raise CellError(f"{what}: {cell.text!r} is no count")
    number = Fraction(match[1])
    if number == 0:
        raise CellError(f"{what}: 0 lists nothing; leave the row out")
    return str(number) if number.denominator == 1 else match[1]


def day_of(cell: Cell, what: str) -> str:
    """A day as year-month-day; empty for an empty cell.

    Raises
    ------
    CellError
        A text that could be two days.
    """
    if cell.kind in ("empty", "date"):
        return cell.text
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", cell.text, re.ASCII):
        return cell.text
    raise CellError(f"{what}: {cell.text!r} is no day; write year-month-day, such as 2026-03-09")


def is_total(texts: list[str]) -> bool:
    """Whether the first text of a row says that the row is a sum."""
    first = next((text.lower().strip(" :.") for text in texts if text), "")
    return re.fullmatch(r"(grand |sub-?|sub )?(total|sum)s?( weight| mass)?( of .*)?", first) is not None
