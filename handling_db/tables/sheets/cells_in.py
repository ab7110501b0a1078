"""Cells as texts, figures and ids; what cannot be read without guessing is refused with its reason."""

from __future__ import annotations

import re

from handling_db.tables.numbers import NotStated, NumberFault, Numbers
from handling_db.tables.quantities import without_count_word
from handling_db.tables.sheets.grid import Cell
from handling_db.tables.text.figures import read_figure
from handling_db.tables.text.headings import is_unknown

_POWER = re.compile(r"\d+(?:[.,]\d+)?[eE][+]?\d+", re.ASCII)
_MONTH = r"(?:jan|feb|mar|mär|mrz|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)[a-zä]*\.?"
_DATE_LIKE = re.compile(
    rf"\d{{1,2}}[-/ .]{{1,2}}{_MONTH}(?:[-/ .]\d{{2,4}})?|{_MONTH}[-/ .]\d{{1,4}}"
    r"|\d{1,2}\.\d{1,2}\.(?:\d{2}|\d{4})|\d{1,2}/\d{1,2}/(?:\d{2}|\d{4})"
    r"|(?:19|20)\d\d-[01]\d-[0-3]\d(?: 00:00(?::00)?)?",
    re.IGNORECASE,
)  # fmt: skip


class CellError(ValueError):
    """A cell that cannot be read: its field, what is wrong, and what to do."""

    def __init__(self, field: str, sentence: str, remedy: str) -> None:
        super().__init__(f"{field}: {sentence} {remedy}")
        self.field = field
        self.sentence = sentence
        self.remedy = remedy


def refuse_kind(cell: Cell, field: str) -> None:
    """Refuse a cell that holds a date, an error, a truth value or a formula without a value.

    Raises
    ------
    CellError
    """
    if cell.kind == "error":
        if cell.formula and not cell.text:
            told = f"the formula {cell.formula} has no stored value;"
            raise CellError(field, told, "open the file in its program and save it.")
        raise CellError(field, f"holds the error {cell.text};", "put the cell right.")
    if cell.kind == "date":
        told = f"is a date ({cell.text}); a text such as 3-12 was turned into one:"
        raise CellError(field, told, "type it again as text.")
    if cell.kind == "truth":
        raise CellError(field, f"is {cell.text}, neither a text nor a figure;", "type it again.")


def text_of(cell: Cell, field: str) -> str:
    """A text, such as a name.

    Raises
    ------
    CellError
        The cell holds a date, an error or a formula without a value.
    """
    refuse_kind(cell, field)
    return cell.text


def id_of(cell: Cell, field: str) -> str:
    """An id or a part number, as it was typed.

    Raises
    ------
    CellError
        A date, or a number that a program made of it.
    """
    text = text_of(cell, field)
    if _POWER.fullmatch(text) and cell.kind == "text":
        told = f"{text} is a long number that lost its digits;"
        raise CellError(field, told, "type it again as text.")
    if cell.kind == "text" and _DATE_LIKE.fullmatch(text):
        told = f"{text} looks like a date that was a part number;"
        raise CellError(field, told, "type it again as text.")
    if len(text) > 80:
        raise CellError(field, f"{text[:30]!r}... is longer than 80 characters;", "shorten it.")
    return text


def word_id(text: str) -> str:
    """A plain id of a name: small letters, digits and hyphens."""
    return re.sub(r"[^\w]+", "-", text.lower()).strip("-_")[:80].strip("-_")


def number_text(cell: Cell, field: str, numbers: Numbers) -> str:
    """A count or a place with a point for its decimal sign; empty for an empty cell.

    Raises
    ------
    CellError
        A date, an error, or a text that is no number.
    NotStated
        It needs a decimal sign that nobody stated.
    """
    refuse_kind(cell, field)
    if cell.kind != "text":
        return cell.text
    if is_unknown(cell.text):
        return ""
    text = without_count_word(cell.text) if field == "quantity" else cell.text
    try:
        return numbers.one(text)[1]
    except NotStated:
        raise
    except NumberFault as fault:
        raise CellError(field, fault.sentence, fault.remedy) from None


def figure_text(cell: Cell, field: str, numbers: Numbers) -> tuple[str, str]:
    """A mass with whatever unit and doubt stand in its cell, with points; and a remark on how it was read.

    Raises
    ------
    CellError
        A date, an error, or a text that is no figure.
    NotStated
        It needs a decimal sign that nobody stated.
    """
    if cell.kind in ("empty", "text") and is_unknown(cell.text):
        return "", ""
    refuse_kind(cell, field)
    if cell.kind == "number":
        return (f"{cell.text} {cell.unit}" if cell.unit else cell.text), ""
    try:
        figure = read_figure(cell.text, numbers)
    except NotStated:
        raise
    except NumberFault as fault:
        raise CellError(field, fault.sentence, fault.remedy) from None
    if figure is None:
        return "", ""
    if figure.step:  # a fraction is written without a point or a comma
        return cell.text, ""
    unit = f" {figure.unit}" if figure.unit else ""
    doubt = f" ± {figure.plus_minus} {figure.plus_minus_unit}".rstrip() if figure.plus_minus else ""
    if doubt and unit and figure.plus_minus_unit:
        return f"{figure.number}{unit}{doubt}", figure.remark
    return f"{figure.number}{doubt}{unit}" if doubt else f"{figure.number}{unit}", figure.remark
