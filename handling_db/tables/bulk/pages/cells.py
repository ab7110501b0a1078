"""Rows as they stand in the pages of an SQLite file.

Source: "Database File Format" of SQLite (sqlite.org/fileformat2.html), 1.6 and 2.1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from handling_db.tables.bulk.pages.fields import SHORT, Field, NotPlain, bytes_of, copy, put_number, some

if TYPE_CHECKING:
    from numpy.typing import NDArray

_ROWS = 1 << 15  # written together: few enough to stay in the processor's cache


@dataclass(frozen=True, slots=True)
class Cells:
    """Rows as they stand in pages, one after the other.

    Parameters
    ----------
    data : array of bytes
    start : array of int
        Where each begins in `data`; one more at the end.
    """

    data: NDArray[np.uint8]
    start: NDArray[np.int64]


def cells_of(fields: Sequence[Field], count: int, rowid: NDArray[np.int64] | None = None) -> Cells:
    """Rows of some columns as they stand in pages.

    Parameters
    ----------
    fields : sequence of Field
        In the order in which the table or index keeps them.
    count : int
        Rows.
    rowid : array of int, optional
        The number of each row, where the table has such.

    Raises
    ------
    NotPlain
        There are too many columns.
    """
    head = 1 + sum((bytes_of(field.types) for field in fields), np.zeros(1, dtype=np.int64))
    if int(head.max()) >= SHORT:
        raise NotPlain
    payload = head + sum(field.width for field in fields)
    before = [payload] if rowid is None else [payload, rowid]
    size = payload + sum(map(bytes_of, before))
    types = [head, *(field.types for field in fields)]
    if size.size == 1:
        return _all_alike(fields, count, [*before, *types], int(size[0]))
    start = np.zeros(count + 1, dtype=np.int64)
    np.cumsum(size, out=start[1:])
    data = np.zeros(int(start[-1]), dtype=np.uint8)
    for first in range(0, count, _ROWS):
        rows = slice(first, min(first + _ROWS, count))
        at = start[rows].copy()
        for number in before:
            at += put_number(data, at, some(number, rows))
        at += _put_head(data, at, [some(number, rows) for number in types])
        for field in fields:
            if bool(field.width.any()):
                field.put(data, at, rows)
                at += some(field.width, rows)
    return Cells(data, start)


def _put_head(
    data: NDArray[np.uint8], at: NDArray[np.int64], numbers: Sequence[NDArray[np.int64]]
) -> NDArray[np.int64] | int:
    """Write the heads of some rows; the bytes that each took."""
    count = len(numbers)
    if all(int(number.max()) < SHORT for number in numbers):
        heads = np.empty((at.size, count), dtype=np.uint8)
        for place, number in enumerate(numbers):
            heads[:, place] = number
        copy(data, at, heads.reshape(-1), np.arange(at.size) * count, count)
        return count
    here = at.copy()
    for number in numbers:
        here += put_number(data, here, number)
    return here - at


def _all_alike(fields: Sequence[Field], count: int, numbers: Sequence[NDArray[np.int64]], size: int) -> Cells:
    """Rows with the same types and widths in all of them: column by column of bytes."""
    head = np.zeros(size, dtype=np.uint8)
    at = np.zeros(1, dtype=np.int64)
    for number in numbers:
        at += put_number(head, at, number)
    data = np.zeros((count, size), dtype=np.uint8)
    place = int(at[0])
    data[:, :place] = head[:place]
    for field in fields:
        width = int(field.width[0])
        if width:
            data[:, place : place + width] = field.bytes_by_row(width)
            place += width
    return Cells(data.reshape(-1), np.arange(count + 1) * size)
