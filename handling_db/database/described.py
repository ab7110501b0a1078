"""The tables of the database explained: columns, types, what the schema says, and what refers to what."""

from __future__ import annotations

import functools
import re
import sqlite3
from dataclasses import dataclass

from handling_db.database import schema

_SHADOWS = re.compile(r"_(words|fragments)(_|$)")  # what a search keeps for itself


@dataclass(frozen=True, slots=True)
class DescribedColumn:
    """One column.

    Parameters
    ----------
    type : str
        As SQLite has it; empty in views.
    says : str
        What the schema says of it; its unit stands in its name.
    refers_to : str
        The table whose rows its integers are the keys of; empty for none.
    key : bool
        Whether it is the key of the table, or part of it.
    needed : bool
        Whether it is never empty.
    """

    name: str
    type: str
    says: str
    refers_to: str
    key: bool
    needed: bool


@dataclass(frozen=True, slots=True)
class Table:
    """One table, or a view over several.

    Parameters
    ----------
    says : str
        What the schema says of it.
    view : bool
        Whether it is a question over other tables.
    """

    name: str
    says: str
    view: bool
    columns: tuple[DescribedColumn, ...]

    @property
    def ties(self) -> dict[str, str]:
        """By column, the table it refers to."""
        return {column.name: column.refers_to for column in self.columns if column.refers_to}


@functools.cache
def described() -> tuple[Table, ...]:
    """Every table and then every view, in the order of the schema."""
    connection = sqlite3.connect(":memory:")
    try:
        connection.executescript(schema.TABLES)
        names = connection.execute(
            "select name, type, sql from sqlite_master where type in ('table', 'view') "
            "order by type = 'view', rowid"
        ).fetchall()
        above = _above()
        return tuple(
            Table(name, above.get(name, ""), kind == "view", _columns(connection, name, sql))
            for name, kind, sql in names
            if not _SHADOWS.search(name) and not name.startswith("sqlite_")
        )
    finally:
        connection.close()


def _columns(connection: sqlite3.Connection, table: str, sql: str) -> tuple[DescribedColumn, ...]:
    refers = {row[3]: row[2] for row in connection.execute(f"pragma foreign_key_list({table})")}
    behind = dict(re.findall(r"^\s*(\w+) [^\n]*?-- ?(.*)$", sql, re.MULTILINE))
    return tuple(
        DescribedColumn(name, kind, behind.get(name, ""), refers.get(name, ""), bool(key), bool(needed))
        for _, name, kind, needed, _, key in connection.execute(f"pragma table_info({table})")
    )


def _above() -> dict[str, str]:
    """What stands in the schema above each table and view."""
    found = re.findall(r"((?:^--[^\n]*\n)+)create (?:table|view) (\w+)", schema.TABLES, re.MULTILINE)
    return {name: " ".join(line.lstrip("- ").strip() for line in text.splitlines()) for text, name in found}
