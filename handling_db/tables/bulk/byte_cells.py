"""The cells of a large table as places in its bytes: found, compared and numbered without a text for each.

Only what is plainly a row of cells on each line is taken: no line end but the usual two, none inside quotes,
as many cells on every line as in the heading. Everything else is for the reader of rows, which words what
is wrong.
"""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.tables.rows import MAX_ROWS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_BLOCK = 1 << 20  # bytes looked at together: few enough to stay in the processor's cache
_PAD = b"\0" * 8  # so that eight bytes can be read from the start of the last cell
_BOM = b"\xef\xbb\xbf"
_APART = "\x1f"
_ODD = (b"\0", _APART.encode())
_QUIETED = re.compile(rb"'[=+\-@\t\r]")  # what may be a text that was kept from being taken for a formula
_ROWS = 10_000  # taken out of quotes together
_MIX = (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F)  # odd numbers that spread the bits of a word


@dataclass(frozen=True, slots=True)
class ByteColumn:
    """Where the cells of one column stand: the first byte and how many, by row below the heading."""

    start: NDArray[np.uint32]
    width: NDArray[np.int32]

    def of(self, rows: NDArray[np.intp] | NDArray[np.int32]) -> ByteColumn:
        """The same column in some rows only."""
        return ByteColumn(self.start[rows], self.width[rows])


@dataclass(frozen=True, slots=True)
class ByteTable:
    """The rows of a table below its heading, each on one line: row 0 stands on line 2.

    Parameters
    ----------
    data : bytes
        The lines, each ended by a newline, and some bytes of nothing.
    delimiter : str
    row : ByteColumn
        Whole lines, without their ends.
    columns : mapping of position to ByteColumn
        Those that were asked for.
    """

    data: bytes
    delimiter: str
    row: ByteColumn
    columns: Mapping[int, ByteColumn]

    def word(self, column: ByteColumn, at: int) -> NDArray[np.uint64]:
        """Eight bytes of each cell from its byte `at` on, as a number; 0 where the cell has ended."""
        import numpy as np

        words: NDArray[np.uint64] = np.ndarray(len(self.data) - 7, "<u8", self.data, strides=(1,))
        full = np.array([(1 << 8 * size) - 1 for size in range(9)], dtype=np.uint64)
        if not at:
            return words[column.start] & full[np.minimum(column.width, 8)]
        there = column.width > at  # behind the end of a short cell the file itself may have ended
        out = np.zeros(column.start.size, dtype=np.uint64)
        out[there] = (
            words[column.start[there] + np.uint32(at)] & full[np.minimum(column.width[there] - at, 8)]
        )
        return out

    def keys(self, column: ByteColumn) -> NDArray[np.uint64]:
        """A number for each cell: equal for equal cells, and up to eight bytes for equal cells only."""
        import numpy as np

        out = self.word(column, 0)
        for at in range(8, int(column.width.max(initial=0)), 8):
            longer = np.flatnonzero(column.width > at)  # the others have their key, whatever else is here
            so_far = out[longer]
            so_far = (so_far ^ (so_far >> np.uint64(29))) * np.uint64(_MIX[0])
            out[longer] = so_far + self.word(column.of(longer), at) * np.uint64(_MIX[1])
        return out

    def same(self, one: ByteColumn, other: ByteColumn) -> NDArray[np.bool_]:
        """Whether two cells of each pair are equal, byte by byte."""
        equal: NDArray[np.bool_] = one.width == other.width
        for at in range(0, int(one.width.max(initial=0)), 8):
            equal &= self.word(one, at) == self.word(other, at)
        return equal

    def texts(self, column: ByteColumn) -> list[str]:
        """The cells as texts."""
        if not column.start.size:
            return []
        ends = (column.start + column.width).tolist()
        cells = [self.data[a:b] for a, b in zip(column.start.tolist(), ends, strict=True)]
        return b"\n".join(cells).decode().split("\n")

    def rows(self, which: NDArray[np.intp]) -> list[list[str]]:
        """Whole rows as texts, column by column."""
        if not which.size:
            return []
        line = self.row.of(which)
        ends = (line.start + line.width).tolist()
        lines = [self.data[a:b] for a, b in zip(line.start.tolist(), ends, strict=True)]
        cells = self.delimiter.encode().join(lines).decode().split(self.delimiter)
        width = len(cells) // which.size
        return [cells[at::width] for at in range(width)]


def plain_bytes(data: bytes, delimiter: str) -> tuple[bytes, str] | None:
    """A table without quotes, and what separates its cells; None where that cannot be without a closer look.

    Where cells are quoted, they are taken out of their quotes and separated by a sign that is in none.
    """
    if any(odd in data for odd in _ODD) or _QUIETED.search(data):
        return None
    if b'"' not in data:
        return data, delimiter
    text = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig", newline="")
    reader = csv.reader(text, delimiter=delimiter, strict=True)
    pieces: list[bytes] = []
    try:
        while rows := list(itertools.islice(reader, _ROWS)):
            piece = "\n".join(map(_APART.join, rows))
            if "\r" in piece or piece.count("\n") >= len(rows):  # a cell of several lines
                return None
            pieces.append(piece.encode())
    except csv.Error:
        return None
    return b"\n".join(pieces) + b"\n", _APART


def heading_cells(data: bytes, delimiter: str) -> list[str]:
    """The cells of the first line of a table."""
    return data[: data.find(b"\n")].removeprefix(_BOM).decode().rstrip("\r").split(delimiter)


def find_cells(data: bytes, delimiter: str, width: int, wanted: Sequence[int]) -> ByteTable | None:
    """Find the cells of some columns in every line below the heading.

    Parameters
    ----------
    data : bytes
        See `plain_bytes`.
    delimiter : str
    width : int
        Cells in the heading.
    wanted : sequence of int
        Positions of columns.

    Returns
    -------
    ByteTable or None
        None where a line has another number of cells, or a cell or the table is longer than can be read.
    """
    import numpy as np

    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n")
        if b"\r" in data:
            return None
    data = data.rstrip(b"\n") + b"\n" + _PAD
    end = len(data) - len(_PAD)
    here = data.index(b"\n") + 1
    count = data.count(b"\n", here)
    if count >= MAX_ROWS or width < 2:
        return None
    row = ByteColumn(np.empty(count, dtype=np.uint32), np.empty(count, dtype=np.int32))
    columns = {
        at: ByteColumn(np.empty(count, dtype=np.uint32), np.empty(count, dtype=np.int32)) for at in wanted
    }
    seen = np.frombuffer(data, dtype=np.uint8)
    separator = delimiter.encode()[0]
    done = 0
    while here < end:
        stop = data.rfind(b"\n", here, here + _BLOCK) + 1 or data.index(b"\n", here) + 1
        block = seen[here:stop]
        marks = np.flatnonzero((block == separator) | (block == 10))
        rows = data.count(b"\n", here, stop)
        if marks.size != rows * width:
            return None
        ends = marks.reshape(rows, width)
        if not bool((block[ends[:, -1]] == 10).all()):
            return None
        first = np.zeros(rows, dtype=np.int64)
        first[1:] = ends[:-1, -1] + 1
        _put(row, done, first, ends[:, -1], here)
        for at, column in columns.items():
            _put(column, done, ends[:, at - 1] + 1 if at else first, ends[:, at], here)
        done += rows
        here = stop
    if int(row.width.max(initial=0)) > csv.field_size_limit():
        return None
    return ByteTable(data, delimiter, row, columns)


def _put(
    column: ByteColumn, done: int, first: NDArray[np.int64], last: NDArray[np.int64], offset: int
) -> None:
    column.start[done : done + first.size] = first + offset
    column.width[done : done + first.size] = last - first
