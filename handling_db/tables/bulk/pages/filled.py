"""An empty table of a database file and its indexes, filled with many rows at once as pages."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np

from handling_db.tables.bulk.pages.cells import Cells, cells_of
from handling_db.tables.bulk.pages.fields import Field, NotPlain, field_of, plain_column, same
from handling_db.tables.bulk.pages.texts import TextColumn
from handling_db.tables.bulk.pages.trees import LOCK, PAGE, PageTree, behind, tree_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from handling_db.tables.bulk.pages.fields import Column

_COUNT, _CHANGES, _CHANGES_SEEN = 28, 24, 92  # where the head of the file has its pages and its changes
_PLAIN = {16: b"\x10\x00", 18: b"\1\1", 20: b"\0", 44: b"\0\0\0\4", 52: bytes(4), 56: b"\0\0\0\1"}


def fill_table(connection: sqlite3.Connection, table: str, columns: Mapping[str, Column]) -> bool:
    """Put rows into an empty table and its indexes.

    Parameters
    ----------
    connection : sqlite3.Connection
        Of a file that nobody else has open, outside of any transaction.
    table : str
    columns : mapping of str to (sequence or array)
        Of one length; rows in the order of the key of the table. A table that numbers its rows has its key
        among them. What is not given is NULL or what the table has in its place.

    Returns
    -------
    bool
        False, and nothing done, where only the engine can do it: the table has rows already or texts longer
        than a page, or the file is not laid out as this program lays files out.
    """
    (file,) = (Path(row[2]) for row in connection.execute("pragma database_list") if row[1] == "main")
    if connection.in_transaction or connection.execute(f"select 1 from {table} limit 1").fetchone():
        return False
    try:
        kept = _Kept(connection, table, columns)
        with file.open("r+b") as opened:
            head = opened.read(100)
            if any(head[at : at + len(given)] != given for at, given in _PLAIN.items()):
                return False
            first = last = file.stat().st_size // PAGE
            made: list[tuple[int, PageTree]] = []
            for root, cells, numbers in kept.trees():
                made.append((root, tree_of(cells, numbers, last + 1)))
                last = behind(last, made[-1][1])
            for root, tree in made:
                first = _append(opened, first, root, tree)
            _tell(opened, head, last)
    except NotPlain:
        return False
    return True


class _Kept:
    """How a table and its indexes keep their rows."""

    def __init__(self, connection: sqlite3.Connection, table: str, columns: Mapping[str, Column]) -> None:
        self.columns = columns
        self.count = len(next(iter(columns.values())))
        ask = connection.execute
        info = ask(f"pragma table_xinfo({table})").fetchall()
        self.names = [row[1] for row in info]
        self.fields = {name: self._field(name, row[4]) for row in info for name in [row[1]]}
        self.roots = dict(ask("select name, rootpage from sqlite_master where tbl_name = ?", (table,)))
        self.table = table
        indexes = ask(f"pragma index_list({table})").fetchall()
        keys = {row[1]: ask(f"pragma index_xinfo({row[1]})").fetchall() for row in indexes}
        own = [row[1] for row in indexes if row[3] == "pk"]
        self.without_number = bool(own) and own[0] not in self.roots
        if self.without_number:
            self.names = [row[2] for row in keys.pop(own[0])]
        self.key = next((row[1] for row in info if row[5]), "")
        if any(row[4] for row in indexes) or any(row[3] for key in keys.values() for row in key):
            raise NotPlain  # for some rows only, or falling
        self.indexes = {name: [row[2] or self.key for row in key] for name, key in keys.items()}
        self.unique = {row[1] for row in indexes if row[2]}

    def _field(self, name: str, default: str | None) -> Field:
        if name in self.columns:
            return field_of(self.columns[name])
        return same(None if default is None else int(default))

    def trees(self) -> Iterator[tuple[int, Cells, NDArray[np.int64] | None]]:
        """The root of each tree, its rows, and their numbers where it has such."""

        if self.without_number:
            yield (
                self.roots[self.table],
                cells_of([self.fields[name] for name in self.names], self.count),
                None,
            )
        else:
            numbers = np.asarray(self.columns[self.key], dtype=np.int64)
            fields = [same(None) if name == self.key else self.fields[name] for name in self.names]
            yield self.roots[self.table], cells_of(fields, self.count, numbers), numbers
        for name, key in self.indexes.items():
            if not self.columns.keys() >= set(key):
                raise NotPlain
            columns = [plain_column(self.columns[column]) for column in key]
            order, twice = _order(columns[0])
            if twice and name in self.unique:
                raise NotPlain  # let the engine say so
            fields = [field_of(_taken(column, order)) for column in columns]
            yield self.roots[name], cells_of(fields, self.count), None


def _order(column: NDArray[Any] | TextColumn) -> tuple[NDArray[np.int64], bool]:
    """The rows in the order of a column, those alike as they stand; and whether there are such."""
    if isinstance(column, TextColumn):
        return column.order()
    bits = max(column.size - 1, 1).bit_length()
    if column.dtype.kind == "i" and int(np.abs(column).max()) < 1 << 62 - bits:
        both = column.astype(np.int64) << bits | np.arange(column.size)
        both.sort()  # quicker than to sort places
        order = both & (1 << bits) - 1
    else:
        order = np.argsort(column, kind="stable")
    in_order = column[order]
    if bool(in_order[-1] != in_order[-1]):
        raise NotPlain  # what is not a number comes last here and first there
    return order, bool((in_order[1:] == in_order[:-1]).any())


def _taken(column: NDArray[Any] | TextColumn, rows: NDArray[np.int64]) -> NDArray[Any] | TextColumn:
    return column.of_rows(rows) if isinstance(column, TextColumn) else column[rows]


def _append(opened: BinaryIO, last: int, root: int, tree: PageTree) -> int:
    """Write a tree behind the last page; the number of its own last one."""
    opened.seek(last * PAGE)
    done = 0
    if last < LOCK <= last + tree.count:
        done = (LOCK - last - 1) * PAGE
        opened.write(tree.pages[:done] + bytes(PAGE))
    opened.write(memoryview(tree.pages)[done:])
    opened.seek((root - 1) * PAGE)
    opened.write(tree.root)
    return behind(last, tree)


def _tell(opened: BinaryIO, head: bytes, count: int) -> None:
    """Write the new number of pages into the head, as somebody who changed the file."""
    changes = (int.from_bytes(head[_CHANGES : _CHANGES + 4]) + 1).to_bytes(4)
    for at, number in ((_CHANGES, changes), (_COUNT, count.to_bytes(4)), (_CHANGES_SEEN, changes)):
        opened.seek(at)
        opened.write(number)
