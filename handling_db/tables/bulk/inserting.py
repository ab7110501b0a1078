"""Columns of a large table put into the database as rows."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray

Columns = dict[str, "Sequence[Any] | NDArray[Any]"]

_VALUES = 160  # put in by one statement: fewer calls, and far from the limit of 999 values
_PIECE = 4_000  # rows of arrays that become values of Python together: they stay in the processor's cache


def insert_columns(connection: sqlite3.Connection, table: str, columns: Columns) -> None:
    """Put rows in that come as columns of one length; a column of nothing but its default is left out.

    A figure of an array that is no number is stored as NULL.
    """
    count = len(next(iter(columns.values())))
    if not count:
        return
    written: dict[str, str] = {}
    given: Columns = {}
    described = connection.execute(f"pragma table_info({table})")
    defaults = {name: default for _, name, _, _, default, _ in described}
    for name, column in columns.items():
        if not (_alike(column) and isinstance(column[0], str | int | None)):
            given[name] = column
        elif (value := _in_sql(column[0])) != (defaults[name] or "null"):
            written[name] = value  # handed over once and not for each row
    if not given:
        given = {(name := next(iter(written))): columns[name]}
        written.pop(name)
    names = ", ".join([*given, *written])
    row = f"({', '.join(['?'] * len(given) + [*written.values()])})"
    together = max(_VALUES // len(given), 1)
    whole = count - count % together
    for start, stop, rows in ((0, whole, together), (whole, count, 1)):
        statement = f"insert into {table} ({names}) values {', '.join([row] * rows)}"
        connection.executemany(statement, _values(list(given.values()), start, stop, rows))


def _values(
    columns: Sequence[Sequence[Any] | NDArray[Any]], start: int, stop: int, rows: int
) -> Iterator[tuple[Any, ...]]:
    """The values of some rows, so many rows at a time."""
    piece = max(_PIECE // rows, 1) * rows
    for first in range(start, stop, piece):
        cut = (column[first : min(first + piece, stop)] for column in columns)
        lists = [part if isinstance(part, Sequence) else part.tolist() for part in cut]
        yield from zip(*(part[i::rows] for i in range(rows) for part in lists), strict=True)


def _alike(column: Sequence[Any] | NDArray[Any]) -> bool:
    return isinstance(column, Sequence) and column[0] is column[-1] and column.count(column[0]) == len(column)


def _in_sql(value: str | int | None) -> str:
    """A value as it stands in a statement."""
    if value is None:
        return "null"
    if not isinstance(value, str):
        return str(int(value))
    return "'" + value.replace("'", "''") + "'"
