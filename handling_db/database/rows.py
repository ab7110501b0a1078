"""Rows on their way into the database: gathered by table, put in with one statement a table."""

from __future__ import annotations

import functools
import math
import sqlite3
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from handling_db.database.described import described
from handling_db.quantities.quantity import Quantity

Row = tuple[Any, ...]


class RowsByTable:
    """Gathers rows by table.

    Parameters
    ----------
    ids : mapping of (table, code) to int
        Integer keys of the rows that others refer to; filled by `number`.
    """

    def __init__(self) -> None:
        self.rows: dict[str, list[Row]] = {}
        self.ids: dict[tuple[str, str], int] = {}

    def number(self, table: str, codes: Iterable[str]) -> None:
        """Give the rows of a table their keys, in the order of their codes."""
        self.ids.update({(table, code): i for i, code in enumerate(sorted(codes), 1)})

    def id(self, table: str, code: str | None) -> int | None:
        """The key of a row; None where there is no such row."""
        return None if code is None else self.ids.get((table, code))

    def add(self, table: str, *values: Any) -> None:
        """One row, its values in the order of the table's columns."""
        self.rows.setdefault(table, []).append(values)

    def put(self, table: str, record: Any, **given: Any) -> None:
        """One row, filled by the names of the table's columns: what is given, else the record's own field.

        A column that refers to another table gets the key of the row that the field names, one in kilograms
        the mass of the field before ``_kg``, a limit rounded outward, and one of text the field as it is
        written; an empty text is NULL where the table allows it.
        """
        values = []
        for column in _filled(table):
            if column.name in given:
                value = given[column.name]
            else:
                value = getattr(record, column.field)
                if column.rounded is not None:
                    value = _kilograms(value, column.rounded)
                elif column.refers_to:
                    value = self.id(column.refers_to, value)
            if column.text and value is not None:
                value = str(value) or ("" if column.needed else None)
            values.append(value)
        self.add(table, *values)

    def write(self, connection: sqlite3.Connection) -> None:
        """Put all rows in, each table in the order in which they were added."""
        for table, rows in self.rows.items():
            insert(connection, table, rows)


@dataclass(frozen=True, slots=True)
class _Filled:
    """A column as a record fills it: from which field, and how."""

    name: str
    field: str
    rounded: Callable[[Fraction | float], float | None] | None
    refers_to: str
    text: bool
    needed: bool


@functools.cache
def _filled(table: str) -> tuple[_Filled, ...]:
    """The columns of a table, in its order."""
    found = []
    for column in next(one.columns for one in described() if one.name == table):
        name = column.name
        rounded = below if name.endswith("low_kg") else above if name.endswith("high_kg") else number
        found.append(
            _Filled(
                name,
                "id" if name == "code" else name.removesuffix("_kg"),
                rounded if name.endswith("_kg") else None,
                table if name == "id" else column.refers_to,
                column.type.lower() == "text",
                column.needed,
            )
        )
    return tuple(found)


def _kilograms(mass: Any, rounded: Callable[[Fraction | float], float | None]) -> float | None:
    """The mass of a field as its column has it; None for words that stand in its place."""
    exact = mass.base if isinstance(mass, Quantity) else mass
    return rounded(exact) if isinstance(exact, (Fraction, float, int)) else None


def insert(connection: sqlite3.Connection, table: str, rows: Sequence[Row] | Iterable[Row]) -> None:
    """Put rows into a table whose every column they give."""
    columns = len(connection.execute(f'select * from "{table}" limit 0').description)
    marks = ", ".join("?" * columns)
    connection.executemany(f'insert into "{table}" values ({marks})', rows)


def below(value: Fraction | float | None) -> float | None:
    """The largest float that is not above an exact value. [any]"""
    if value is None:
        return None
    near = float(value)
    return math.nextafter(near, -math.inf) if Fraction(near) > value else near


def above(value: Fraction | float | None) -> float | None:
    """The smallest float that is not below an exact value. [any]"""
    if value is None:
        return None
    near = float(value)
    return math.nextafter(near, math.inf) if Fraction(near) < value else near


def number(value: Fraction | float | None) -> float | None:
    """The nearest float."""
    return None if value is None else float(value)


def lines(texts: Iterable[str]) -> str | None:
    """Several texts, one a line; None for none at all."""
    return "\n".join(texts) or None
