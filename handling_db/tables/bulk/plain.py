"""A large table in which nothing is odd, read by whole columns; the same rows as the reader of rows finds.

Ids, quantities and masses are checked by the rules of that reader, each way of writing one only once. Where
anything is to be said of a row, nothing is taken: the file is then read row by row, which words it.
"""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from handling_db.records.kinds.source import SourceKind
from handling_db.tables.bulk.byte_cells import ByteTable, find_cells, heading_cells, plain_bytes
from handling_db.tables.bulk.numbering import Numbered, number_ids
from handling_db.tables.cells import MAX_ID, clean_id
from handling_db.tables.chunk import Chunk
from handling_db.tables.columns import ColumnLayout, read_heading
from handling_db.tables.findings import FileFindings
from handling_db.tables.flat_table import FlatTable, Usage
from handling_db.tables.numbers import Numbers
from handling_db.tables.quantities import Quantities
from handling_db.tables.reader import NO_ID, TableReader
from handling_db.tables.rows import CHUNK

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_TOGETHER = 5_000  # rows that say something new, read together
_WORD = 8  # bytes
_FIRST = 2  # line of the first row below the heading
_BESIDE = ("parent", "child", "quantity")
# What a row may say beside them; places, days and serials are for the reader of rows.
_SAID = frozenset(
    {
        "mass", "unit", "step", "plus_minus", "u", "state", "boundary", "build", "stated", "stated_unit",
        "stated_step", "source", "name", "part number", "remark",
    }
)  # fmt: skip


def read_plain(
    data: bytes, numbers: Numbers, said: FileFindings, kinds: Mapping[str, SourceKind] | None
) -> FlatTable | None:
    """Read a table with nothing odd in it.

    Parameters
    ----------
    data : bytes
        UTF-8.
    numbers : Numbers
    said : FileFindings
        Takes what is said of the heading.
    kinds : mapping of id to SourceKind, optional

    Returns
    -------
    FlatTable or None
        None where it has to be read row by row; what was said of it meanwhile is then to be forgotten.
    """
    plain = plain_bytes(data, numbers.delimiter)
    if plain is None:
        return None
    data, delimiter = plain
    layout = read_heading(heading_cells(data, delimiter), 1, said)
    if layout is None or any(name not in layout.position for name in _BESIDE):
        return None
    found = find_cells(data, delimiter, layout.width, sorted(layout.position.values()))
    if found is None or not found.row.start.size:
        return None
    reader = _PlainReader(found, TableReader(layout, 1, numbers, said, kinds, flat=True))
    return reader.read()


class _PlainReader:
    """One table on its way in."""

    def __init__(self, cells: ByteTable, reader: TableReader) -> None:
        self.cells = cells
        self.layout: ColumnLayout = reader.layout
        self.reader = reader
        self.columns = {name: cells.columns[at] for name, at in self.layout.position.items()}

    def read(self) -> FlatTable | None:
        """The table, or None."""
        columns = self.columns
        filled = {name for name, column in columns.items() if bool(column.width.any())}
        if not bool(columns["child"].width.all()) or not filled <= _SAID.union(_BESIDE):
            return None
        said_before = self.reader.said.total
        ids = number_ids(self.cells, columns["parent"], columns["child"])
        if ids is None or not _plain_ids(ids.codes):
            return None
        usage = self._usage(ids)
        if usage is None:
            return None
        self.reader.know(ids.codes, (ids.row + _FIRST).tolist())
        new = self._new(ids, sorted(filled.difference(_BESIDE)))
        for rows in self._pieces(new, both="mass" in filled and "stated" in filled):
            if not self._take(ids, rows):
                return None
        signs = self.reader.numbers.signs
        if self.reader.said.total > said_before or (signs is not None and signs.asked() is not None):
            return None
        return self._finished(ids, usage)

    def _finished(self, ids: Numbered, usage: Usage) -> FlatTable:
        import numpy as np

        self.reader.rows = ids.child.size
        roots: dict[int, int] = {}
        for row in np.flatnonzero(ids.parent < 0).tolist():
            roots.setdefault(int(ids.child[row]), row + _FIRST)
        return replace(self.reader.finish(), usage=usage, roots=roots)

    def _usage(self, ids: Numbered) -> Usage | None:
        """The part lines, or None where a quantity needs a closer look."""
        import numpy as np

        column = self.columns["quantity"]
        below = np.flatnonzero(ids.parent >= 0)
        if int(column.width.max()) > _WORD or not below.size:
            return None
        keys = self.cells.word(column, 0)
        ways = np.unique(keys)
        texts = [way.to_bytes(_WORD, "little").rstrip(b"\0").decode() for way in ways.tolist()]
        read = self._quantities(texts)
        if read is None:
            return None
        values, odd_texts = read
        of_row = np.searchsorted(ways, keys)
        at_top = values[of_row[ids.parent < 0]]
        quantity = values[of_row[below]]
        if bool(np.isnan(quantity).any()) or bool(((at_top < 1) | (at_top > 1)).any()):
            return None
        odd = np.flatnonzero(quantity != np.floor(quantity))
        return Usage(
            array("i", ids.parent[below].tobytes()),
            array("i", ids.child[below].tobytes()),
            array("d", quantity.tobytes()),
            array("i", (below + _FIRST).astype(np.int32).tobytes()),
            {place: odd_texts[int(of_row[below[place]])] for place in odd.tolist()},
        )

    def _quantities(self, texts: list[str]) -> tuple[NDArray[np.float64], dict[int, str]] | None:
        """What each way of writing a quantity means, not a number for none; and those not whole, as text."""
        import numpy as np

        values = np.full(len(texts), np.nan)
        some = [at for at, text in enumerate(texts) if text]
        shown = [texts[at] for at in some]
        if not some:
            return values, {}
        chunk = self._chunk({"parent": shown, "child": shown, "quantity": shown}, [_FIRST] * len(shown))
        quantities = Quantities(1)
        found = quantities.read(chunk, None)
        if found is None or chunk.bad:
            return None
        values[some] = found
        whole = quantities.not_whole(chunk, range(len(shown)), found)
        return values, {some[at]: text for at, text in whole}

    def _chunk(self, columns: Mapping[str, Sequence[str]], lines: Sequence[int]) -> Chunk:
        return Chunk(self.layout, columns, lines, self.reader.numbers, self.reader.said)

    def _new(self, ids: Numbered, names: Sequence[str]) -> NDArray[np.intp]:
        """Rows that say of their child what its first such row does not: most repeat what a part weighs."""
        import numpy as np

        columns = [self.columns[name] for name in names]
        says = np.zeros(ids.child.size, dtype=np.bool_)
        for column in columns:
            says |= column.width > 0
        rows = np.flatnonzero(says)
        node = ids.child[rows]
        first = np.full(len(ids.codes), rows.size, dtype=np.intp)
        np.minimum.at(first, node, np.arange(rows.size))
        earlier = rows[first[node]]
        again = earlier != rows
        later, before = rows[again], earlier[again]
        same = np.ones(later.size, dtype=np.bool_)
        for column in columns:
            same &= self.cells.same(column.of(later), column.of(before))
        new = ~again
        new[again] = ~same
        found: NDArray[np.intp] = rows[new]
        return found

    def _pieces(self, rows: NDArray[np.intp], *, both: bool) -> list[NDArray[np.intp]]:
        """Rows that are read together; of two columns of figures, one comes after the other in each piece.

        These have to be the pieces of the reader of rows, so that figures are kept in one order.
        """
        import numpy as np

        if not both:
            return [rows[start : start + _TOGETHER] for start in range(0, rows.size, _TOGETHER)]
        piece = (rows + 1) // CHUNK  # the heading is the first row of the first
        return np.split(rows, np.flatnonzero(np.diff(piece)) + 1) if rows.size else []

    def _take(self, ids: Numbered, rows: NDArray[np.intp]) -> bool:
        """Take in what some rows say of their children; False where there is something to be said of them."""
        texts = self.cells.rows(rows)
        columns = {
            name: texts[at]
            for name, at in self.layout.position.items()
            if name in ("parent", "child") or any(texts[at])
        }
        return self.reader.take_said(self._chunk(columns, (rows + _FIRST).tolist()), ids.child[rows].tolist())


def _plain_ids(codes: Sequence[str]) -> bool:
    """Whether all ids can be taken as they are written."""
    if NO_ID.search("\n".join(codes)):
        return False
    joined = "".join(codes)
    if joined.isprintable() and " " not in joined and max(map(len, codes)) <= MAX_ID:
        return True
    try:
        return all(clean_id(code) == code for code in codes)
    except ValueError:
        return False
