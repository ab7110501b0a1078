"""Cells of a sheet as the reader of each kind of file hands them over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from handling_db.errors import HandlingError

MAX_FILE_BYTES = 30_000_000
MAX_UNPACKED_BYTES = 300_000_000
MAX_ROWS = 100_000
MAX_COLUMNS = 200
MAX_TEXT = 4000

SCALED = "a format that shows another figure than is stored:"

Kind = Literal["text", "number", "date", "truth", "error", "empty"]


class SheetError(HandlingError):
    """A file that is no sheet that can be read; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell.

    Parameters
    ----------
    text : str
        What it shows, trimmed; a number with all the digits that are stored.
    kind : Kind
        How the file holds it.
    formula : str
        The formula that its value was worked out by; empty for a typed value.
    unit : str
        A unit that only its number format shows, such as kg in ``0.0 "kg"``.
    rows : (int, int) or None
        First and last row of the merged area it stands for; None for a cell by itself.
    indent : int
        How far its text stands to the right: spaces before it, or the indent of its alignment.
    """

    text: str = ""
    kind: Kind = "empty"
    formula: str = ""
    unit: str = ""
    rows: tuple[int, int] | None = None
    indent: int = 0


EMPTY = Cell()


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row with its number in the file, counted from one."""

    number: int
    cells: tuple[Cell, ...]
    hidden: bool = False

    def at(self, column: int | None) -> Cell:
        """The cell of a column; an empty one where the row is shorter or there is no such column."""
        return self.cells[column] if column is not None and column < len(self.cells) else EMPTY

    @property
    def blank(self) -> bool:
        """Whether nothing stands in it."""
        return all(cell.kind == "empty" for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet.

    Parameters
    ----------
    file : str
        The file's name without its folder.
    name : str
        The sheet's name; empty for a file that has no sheets.
    rows : tuple of SheetRow
    hidden_columns : frozenset of int
        Counted from zero.
    semicolons : bool
        Whether its cells are separated by ``;``, as programs write that need the comma for decimals.
    hidden : bool
        Whether the sheet as a whole is hidden.
    told : tuple of str
        What is to be said of how it was read, such as a code page, or what this kind of file does not show.
    """

    file: str
    name: str
    rows: tuple[SheetRow, ...]
    hidden_columns: frozenset[int] = field(default_factory=frozenset)
    semicolons: bool = False
    hidden: bool = False
    told: tuple[str, ...] = ()

    def where(self, row: int, column: int | None = None) -> str:
        """``sheet Parts, cell F12``, ``row 12``."""
        sheet = f"sheet {self.name}, " if self.name else ""
        return f"{sheet}row {row}" if column is None else f"{sheet}cell {letters(column)}{row}"

    def filled(self) -> Iterator[SheetRow]:
        """The rows that are not blank."""
        return (row for row in self.rows if not row.blank)


def without_tail(rows: list[SheetRow]) -> tuple[SheetRow, ...]:
    """The rows up to the last one in which anything stands."""
    last = max((place for place, row in enumerate(rows, 1) if not row.blank), default=0)
    return tuple(rows[:last])


def letters(column: int) -> str:
    """The letters of a column counted from zero: A, B, ... Z, AA."""
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text
