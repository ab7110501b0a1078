"""Collections laid into an engine as their tables, without files: DuckDB as the commands use it, and SQLite."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from handling_db.fleet.engine import put
from handling_db.fleet.exact import Exact
from handling_db.fleet.record_rows import record_rows
from handling_db.fleet.roll_up import Climbed, add_up, climb, prepare
from handling_db.fleet.statements import BASIS, STATE
from handling_db.fleet.tables import COLUMNS, create
from handling_db.records.collection import Collection


class SecondEngine:
    """SQLite, which shares no line with the engine the statements were written on."""

    def __init__(self) -> None:
        self.connection = sqlite3.connect(":memory:")

    def execute(self, statement: str) -> Any:
        return self.connection.execute(statement)


def lay(engine: Any, shops: Mapping[str, Collection]) -> None:
    """Put the tables of some shops in."""
    for table in COLUMNS:
        engine.execute(create(table))
    rows: dict[str, list[tuple[Any, ...]]] = {"names": [], "lines": [], "masses": [], "totals": []}
    for shop, collection in shops.items():
        found = record_rows(collection, {}, {})
        for table, gathered in rows.items():
            gathered += [(shop, f"stamp-{shop}", *row) for row in getattr(found, table)]
    for table, gathered in rows.items():
        insert(engine, table, gathered)


def insert(engine: Any, table: str, rows: list[tuple[Any, ...]]) -> None:
    if not rows:
        return
    if isinstance(engine, SecondEngine):
        marks = ", ".join("?" * len(rows[0]))
        engine.connection.executemany(f"insert into {table} values ({marks})", rows)
        return
    kinds = dict(COLUMNS[table])
    put(engine, table, dict(zip(kinds, zip(*rows, strict=True), strict=True)), kinds)


def rolled(engine: Any, *, exact: bool = True) -> tuple[Climbed, int, dict[tuple[str, str, str, str], Any]]:
    """Roll everything up: by shop, component, build and state its best, low, high, complete and so on."""
    prepare(engine)
    climbed = climb(engine)
    decided = add_up(engine, climbed, Exact(engine).stands if exact else None)
    rows = engine.execute(
        f"select n.shop, n.component, n.build, {STATE.format(column='r.state')}, r.best_kg, r.low_kg, "
        f"r.known_high_kg, r.complete, {BASIS.format(column='r.basis')}, "
        "r.height, r.unknown_pieces from rolled r join named n on n.node = r.node"
    ).fetchall()
    return climbed, decided, {tuple(row[:4]): row[4:] for row in rows}


def close(found: float, wanted: Fraction) -> bool:
    return abs(Fraction(found) - wanted) <= Fraction(1, 10**12) * wanted
