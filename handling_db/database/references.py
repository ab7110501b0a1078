"""Whether every row that a row refers to is there."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

BrokenReference = tuple[str, int | None, str, int]  # table, row, table referred to, which of its references


def broken_reference(connection: sqlite3.Connection) -> BrokenReference | None:
    """The first row that refers to one that is not there, as ``pragma foreign_key_check`` gives it.

    Where a table has each number from its first key to its last, a reference between the two has its row:
    then to compare all numbers of a column with these two takes the place of a look-up for each. In all other
    cases it is looked up.
    """
    tables = [name for (name,) in connection.execute("select name from sqlite_master where type = 'table'")]
    keys: dict[str, tuple[str, int, int] | None] = {}
    for table in tables:
        references = connection.execute(f"pragma foreign_key_list({_quoted(table)})").fetchall()
        if not references:
            continue
        for _, _, to, *_ in references:
            if to not in keys:
                keys[to] = _without_gaps(connection, to)
        if not _all_there(connection, table, references, keys):
            found = connection.execute(f"pragma foreign_key_check({_quoted(table)})").fetchone()
            if found is not None:
                return tuple(found)
    return None


def _without_gaps(connection: sqlite3.Connection, table: str) -> tuple[str, int, int] | None:
    """The whole-number key of a table, its first and its last number; None where some between are missing."""
    keys = [row[1] for row in connection.execute(f"pragma table_info({_quoted(table)})") if row[5]]
    if len(keys) != 1:
        return None
    name = _quoted(keys[0])
    try:  # only a key that is the row's own number is whole and there once
        rows = f"from {_quoted(table)} not indexed"  # each question by itself: the engine has short ways
        first, last, count, other = connection.execute(
            f"select (select min(rowid) {rows}), (select max(rowid) {rows}), (select count(*) {rows}), "
            f"exists (select 1 {rows} where {name} is not rowid)"
        ).fetchone()
    except sqlite3.OperationalError:  # a table whose rows have no number
        return None
    return (keys[0], first, last) if count and not other and last - first + 1 == count else None


def _all_there(
    connection: sqlite3.Connection,
    table: str,
    references: Sequence[tuple[int, int, str, str, str | None, str, str, str]],
    keys: dict[str, tuple[str, int, int] | None],
) -> bool:
    """Whether the numbers in all columns that refer to something show that it is there."""
    outside: list[str] = []
    for _, place, to, column, to_column, *_ in references:
        key = keys[to]
        if place or key is None or to_column not in (None, key[0]):
            return False
        name, (_, first, last) = _quoted(column), key
        outside.append(f"not ({name} between {first} and {last} and {name} = {name} | 0)")  # a whole number
    odd = f"select 1 from {_quoted(table)} not indexed where {' or '.join(outside)} limit 1"
    return connection.execute(odd).fetchone() is None


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
