"""Writing a collection as typed tables for a fleet, whole or not at all."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handling_db.database.queries import open_database
from handling_db.database.queries.collection import stamp_of
from handling_db.database.queries.records import RECORDS, record_of
from handling_db.errors import HandlingError, some_of
from handling_db.files.atomic import told
from handling_db.fleet import table_rows
from handling_db.fleet.engine import Bounds, as_one, opened, put, text
from handling_db.fleet.record_rows import Planned, record_rows
from handling_db.fleet.tables import COLUMNS, create, file_of
from handling_db.records.collection import Collection, collect

_SHOP = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class Written:
    """What was written: for which shop, and how many rows of each table."""

    shop: str
    stamp: str
    rows: Mapping[str, int]


def write_tables(database: Path, target: Path, shop: str | None, bounds: Bounds) -> Written:
    """Write what a database file holds as typed tables, one Parquet file each.

    Parameters
    ----------
    database : Path
    target : Path
        A folder that is not there yet.
    shop : str, optional
        Id of the shop whose collection it is; the one recorded in it unless given.
    bounds : Bounds

    Raises
    ------
    HandlingError
        It cannot be said whose it is, the target is there already, or something cannot be read or written.
    """
    with told(target):
        if target.exists():
            raise HandlingError(f"{target}: is there already")
    connection = open_database(database)
    try:
        shop = _whose(connection, shop)
        stamp = stamp_of(connection)
        part = target.with_name(f".part-{target.name}")
        with opened(bounds) as engine:
            as_one(engine)
            for table in COLUMNS:
                engine.execute(create(table))
            for table, chunk in _chunks(connection):
                _put(engine, table, chunk, (shop, stamp))
            counts = {name: _count(engine, name) for name in COLUMNS}
            with told(target):
                shutil.rmtree(part, ignore_errors=True)  # left by a run that was stopped
                part.mkdir(parents=True)
                try:
                    for table in COLUMNS:
                        file = text(str(part / file_of(table)))
                        engine.execute(f"copy (select * from {table}) to {file} (format parquet)")
                    part.rename(target)
                except BaseException:
                    shutil.rmtree(part, ignore_errors=True)
                    raise
        return Written(shop, stamp, counts)
    finally:
        connection.close()


def _whose(connection: sqlite3.Connection, shop: str | None) -> str:
    known = [str(row[0]) for row in connection.execute("select code from shop order by code")]
    if shop is None:
        if len(known) == 1:
            return known[0]
        raise HandlingError(f"say whose collection this is with --shop ID; recorded are: {some_of(known)}")
    if not _SHOP.fullmatch(shop):
        raise HandlingError(
            f"--shop: {shop!r} is no id; write small letters, digits and hyphens: quay-shed-nine"
        )
    return shop


Chunk = Sequence[Sequence[Any]]


def _chunks(connection: sqlite3.Connection) -> Iterable[tuple[str, Chunk]]:
    found = record_rows(_collection(connection), _plans(connection), _places(connection))
    yield "names", found.names
    yield "lines", found.lines
    yield "masses", found.masses
    yield "totals", found.totals
    first = found.count
    del found
    if table_rows.number_large(connection, first):
        for table, question in table_rows.OF_TABLES.items():
            for chunk in table_rows.rows(connection, question):
                yield table, chunk
    for table, question in table_rows.SAID.items():
        for chunk in table_rows.rows(connection, question):
            yield table, chunk


def _collection(connection: sqlite3.Connection) -> Collection:
    rows = connection.execute(f"{RECORDS} order by kind, code")
    return collect([(kind, record_of(kind, code, written)) for kind, code, written in rows])


def _plans(connection: sqlite3.Connection) -> dict[tuple[str, str], Planned]:
    rows = connection.execute(table_rows.PLANS)
    return {(code, state): Planned(kg, why) for code, state, kg, why in rows}


def _places(connection: sqlite3.Connection) -> dict[str, tuple[str, int]]:
    return {code: (file, line) for code, file, line in connection.execute(table_rows.PLACES)}


def _put(engine: Any, table: str, rows: Chunk, own: tuple[str, str]) -> None:
    if not rows:
        return
    kinds = dict(COLUMNS[table])
    shop, stamp = ([value] * len(rows) for value in own)
    columns = [shop, stamp, *zip(*rows, strict=True)]
    put(engine, table, dict(zip(kinds, columns, strict=True)), kinds)


def _count(engine: Any, table: str) -> int:
    return int(engine.execute(f"select count(*) from {table}").fetchone()[0])
