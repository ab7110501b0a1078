"""Columns of rows as records of an SQLite file: for each value its type and its bytes.

Source: "Database File Format" of SQLite (sqlite.org/fileformat2.html), 1.6 for numbers of variable length,
2.1 for records. Whole numbers of a column are all as wide as its largest, which the format allows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from handling_db.tables.bulk.pages.texts import TextColumn

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = Sequence[Any] | NDArray[Any] | TextColumn

_WIDTHS = ((1, 1), (2, 2), (3, 3), (4, 4), (6, 5), (8, 6))  # bytes of a whole number, and its type
_REAL = 7
_ZERO = 8  # and 9 for a one: neither takes a byte
_TEXT = 13  # and two more for each byte
SHORT = 128  # from here on a number of variable length takes two bytes
_STEPS = (8, 4, 2, 1)  # bytes that are moved at once


class NotPlain(Exception):
    """Rows that only the engine can put in."""


@dataclass(frozen=True, slots=True)
class Field:
    """One column of records; arrays have an entry for each row, or one for all.

    Parameters
    ----------
    types : array of int
        The type of each value.
    width : array of int
        Bytes of each value.
    data : array of bytes
    start : array of int
        Where the bytes of each value begin in `data`.
    """

    types: NDArray[np.int64]
    width: NDArray[np.int64]
    data: NDArray[np.uint8]
    start: NDArray[np.int64]

    def put(self, to: NDArray[np.uint8], at: NDArray[np.int64], rows: slice) -> None:
        """Write the values of some rows where they begin."""

        start = np.broadcast_to(some(self.start, rows), at.size)
        if self.width.size == 1:
            copy(to, at, self.data, start, int(self.width[0]))
            return
        width = self.width[rows]
        for size in np.flatnonzero(np.bincount(width)).tolist():  # those of one size at once
            ours = np.flatnonzero(width == size)
            copy(to, at[ours], self.data, start[ours], size)

    def bytes_by_row(self, width: int) -> NDArray[np.uint8]:
        """The bytes of all values, where each has so many, a row of them for each."""

        if self.start.size == 1 or bool((np.diff(self.start) == width).all()):  # as they stand
            first = int(self.start[0])
            return self.data[first : first + self.start.size * width].reshape(-1, width)
        found: NDArray[np.uint8] = self.data[self.start[:, None] + np.arange(width)]
        return found


def some(values: NDArray[np.int64], rows: slice) -> NDArray[np.int64]:
    """Entries for some rows, or the one for all."""
    return values if values.size == 1 else values[rows]


def copy(
    to: NDArray[np.uint8], at: NDArray[np.int64], data: NDArray[np.uint8], start: NDArray[np.int64], size: int
) -> None:
    """Copy so many bytes for each row."""
    done = 0
    for step in _STEPS:
        while size - done >= step:
            _words(to, step)[at + done] = _words(data, step)[start + done]
            done += step


def _words(data: NDArray[np.uint8], size: int) -> NDArray[Any]:
    """The number that begins at each byte."""
    return np.ndarray(data.size - size + 1, f"<u{size}", data, strides=(1,))


def bytes_of(number: NDArray[np.int64]) -> NDArray[np.int64]:
    """Bytes that numbers of variable length take: seven bits in each."""
    found = np.ones(number.size, dtype=np.int64)
    for bits in range(7, int(number.max(initial=0)).bit_length(), 7):
        found += number >= 1 << bits
    return found


def put_number(
    data: NDArray[np.uint8], at: NDArray[np.int64], number: NDArray[np.int64]
) -> NDArray[np.int64] | int:
    """Write numbers of variable length where they begin; the bytes that each took."""
    high = int(number.max())
    if high < SHORT:
        if high:  # the bytes are nothing as they come
            data[at] = number
        return 1
    width = bytes_of(number)
    ends = at + width - 1
    if int(width.min()) == int(width.max()):
        for place in range(int(width[0])):
            data[ends - place] = number >> 7 * place & 0x7F | (0x80 if place else 0)
        return int(width[0])
    for place in range(int(width.max())):  # the last byte alone has no mark that more follow
        byte = number >> 7 * place & 0x7F | (0x80 if place else 0)
        there = np.broadcast_to(width > place, at.size)
        data[ends[there] - place] = np.broadcast_to(byte, at.size)[there]
    return width


def number_bytes(number: int) -> bytes:
    """A number of variable length by itself."""
    found = [number & 0x7F]
    while number := number >> 7:
        found.append(number & 0x7F | 0x80)
    return bytes(reversed(found))


def field_of(column: Column) -> Field:
    """A column of whole numbers, of figures, or of texts; None and what is not a number are NULL.

    Raises
    ------
    NotPlain
        It holds something else, or different things.
    """
    if isinstance(column, list) and _one_value(column):
        return same(column[0])
    read = plain_column(column)
    if isinstance(read, TextColumn):
        return _texts(read)
    return _reals(read) if read.dtype.kind == "f" else _wholes(read.astype(np.int64, copy=False))


def _one_value(column: Sequence[Any]) -> bool:
    first = column[0]
    return isinstance(first, str | int | None) and first is column[-1] and column.count(first) == len(column)


def plain_column(column: Column) -> NDArray[Any] | TextColumn:
    """A column as an array, or as texts.

    Raises
    ------
    NotPlain
        It holds something else, or different things.
    """
    if isinstance(column, TextColumn | np.ndarray):
        return column
    if isinstance(column, range):
        return np.arange(column.start, column.stop, column.step)
    kinds = set(map(type, column)) - {type(None)}
    if kinds <= {str}:
        return TextColumn.of(column)
    if kinds == {float}:
        return np.array(column, dtype=np.float64)
    if kinds <= {int, bool} and None not in column:
        return np.array(column, dtype=np.int64)
    raise NotPlain


def same(value: str | int | None) -> Field:
    """A column with one value in all rows."""
    if value is None:
        return _bare(np.zeros(1, dtype=np.int64))
    return _texts(TextColumn.of([value])) if isinstance(value, str) else _wholes(np.array([value]))


def _bare(types: NDArray[np.int64]) -> Field:
    """Values of which their types say everything."""
    nothing = np.zeros(1, dtype=np.int64)
    return Field(types, nothing, np.zeros(1, dtype=np.uint8), nothing)


def _wholes(values: NDArray[np.int64]) -> Field:
    low, high = int(values.min()), int(values.max())
    if low >= 0 and high <= 1:
        return _bare(values + _ZERO)
    width, kind = next(pair for pair in _WIDTHS if max(high, -1 - low) < 1 << 8 * pair[0] - 1)
    data = np.empty((values.size, width), dtype=np.uint8)
    for byte in range(width):
        data[:, byte] = values >> 8 * (width - 1 - byte)
    return Field(np.full(1, kind, dtype=np.int64), np.full(1, width, dtype=np.int64), data.reshape(-1),
                 np.arange(values.size) * width)  # fmt: skip


def _reals(values: NDArray[np.float64]) -> Field:
    there = ~np.isnan(values)
    all_there = bool(there.all())
    if all_there and bool((np.abs(values) < 1 << 31).all()) and bool((values == np.floor(values)).all()):
        return _wholes(values.astype(np.int64))  # the engine keeps them so, too
    kind, width = np.full(1, _REAL, dtype=np.int64), np.full(1, 8, dtype=np.int64)
    if not all_there:
        kind, width = np.where(there, kind, 0), np.where(there, width, 0)
    return Field(kind, width, values.astype(">f8").view(np.uint8), np.arange(values.size) * 8)


def _texts(column: TextColumn) -> Field:
    width = np.maximum(column.size, 0)
    kind = np.where(column.size < 0, 0, _TEXT + 2 * width)
    if bool((kind == kind[0]).all()):
        kind, width = kind[:1], width[:1]
    return Field(kind, width, np.frombuffer(column.data, dtype=np.uint8), column.start)


def as_list(column: Column) -> list[Any]:
    """A column as plain values; what is not a number is None."""
    if isinstance(column, TextColumn):
        return column.texts()
    values: list[Any] = list(column) if isinstance(column, Sequence) else column.tolist()
    if isinstance(column, Sequence) or column.dtype.kind != "f":
        return values
    return [None if value != value else value for value in values]
