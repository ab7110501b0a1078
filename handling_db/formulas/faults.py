"""The one fault of the formula language, and how it gets the column of the sign that caused it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from handling_db.errors import HandlingError


class FormulaError(HandlingError, ValueError):
    """A formula cannot be read or worked out.

    Parameters
    ----------
    message : str
        What is wrong and what to write.
    column : int, optional
        Where in the text, counted from 1.
    """

    def __init__(self, message: str, column: int | None = None) -> None:
        self.message = message
        self.column = column
        super().__init__(message if column is None else f"column {column}: {message}")


@contextmanager
def at(column: int) -> Iterator[None]:
    """Give a fault that has no column yet this one."""
    try:
        yield
    except FormulaError as error:
        raise FormulaError(error.message, error.column or column) from None


def unknown_name(name: str, known: Iterable[str], column: int) -> FormulaError:
    """A name that stands for nothing, with the nearest one that does."""
    near = difflib.get_close_matches(name, known, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"known here: {', '.join(sorted(known)) or 'none'}"
    return FormulaError(f"{name!r} is neither a unit nor a parameter with a value; {hint}", column)


def not_a_number(name: str, column: int) -> FormulaError:
    """A choice stands where a number is needed."""
    return FormulaError(
        f"{name} is a choice, not a number; write table({name}, ...) or when({name} == ..., ...)", column
    )


def not_a_choice(name: str, column: int) -> FormulaError:
    """A number stands where a choice is needed."""
    return FormulaError(f"{name} is a number, not a choice; compare it with a number", column)
