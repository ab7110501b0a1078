"""Columns put in as rows; what is not given has its default."""

from __future__ import annotations

import sqlite3

import numpy as np
import pytest

from handling_db.tables.bulk.inserting import insert_columns

PLAIN = """CREATE TABLE plain (
  id integer primary key,
  code text not null,              -- a remark
  many integer not null default 7, -- another, with a comma
  kg real,
  note text,
  last integer not null default 0
)"""
KEYED = """CREATE TABLE keyed (
  a integer not null references plain (id),
  b text not null,
  kg real,
  note text,
  primary key (b, a)               -- not in the order of the columns
) without rowid"""


@pytest.fixture
def connection() -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.execute(PLAIN)
    connection.execute(KEYED)
    connection.execute("insert into plain values (1, 'before', 2, 3.5, 'full', 1)")
    connection.execute("begin")
    return connection


@pytest.mark.parametrize("count", [1, 53, 54, 160, 9_001])
def test_rows_come_back_with_defaults_and_what_was_there_stays(
    connection: sqlite3.Connection, count: int
) -> None:
    kg = np.where(np.arange(count) % 3 == 0, np.nan, np.arange(count) / 8)
    codes = [f"c{i}" for i in range(count)]

    insert_columns(connection, "plain", {"code": codes, "kg": kg, "last": [0] * count})
    insert_columns(connection, "keyed", {"a": np.arange(count), "b": ["x"] * count, "note": [None] * count})
    connection.execute("commit")

    expected = [(i + 2, f"c{i}", 7, None if i % 3 == 0 else i / 8, None, 0) for i in range(count)]
    found = connection.execute("select * from plain order by id").fetchall()
    assert found == [(1, "before", 2, 3.5, "full", 1), *expected]
    assert connection.execute("select * from keyed order by a").fetchall() == [
        (i, "x", None, None) for i in range(count)
    ]
    assert [sql for (sql,) in connection.execute("select sql from sqlite_master")] == [PLAIN, KEYED]
    assert connection.execute("pragma integrity_check").fetchall() == [("ok",)]


def test_rows_can_be_changed_afterwards_in_columns_that_were_not_given(
    connection: sqlite3.Connection,
) -> None:
    insert_columns(connection, "plain", {"code": ["a", "b"]})
    connection.execute("update plain set note = 'said', last = 5 where code = 'a'")
    connection.execute("commit")

    assert connection.execute("select many, note, last from plain where id > 1 order by id").fetchall() == [
        (7, "said", 5),
        (7, None, 0),
    ]
    assert connection.execute("pragma quick_check").fetchall() == [("ok",)]


def test_what_has_to_be_there_is_still_asked_for(connection: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError, match=r"plain\.code"):
        insert_columns(connection, "plain", {"kg": [1.0, 2.0]})
