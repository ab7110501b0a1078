"""A reference to nothing is found whatever stands in its column, as the database itself finds it."""

from __future__ import annotations

import random
import sqlite3

from handling_db.database.references import broken_reference

TABLES = """
create table plain (id integer primary key, what text);
create table named (code text primary key, what text);
create table bare (id integer primary key, what text) without rowid;
create table falling (id integer primary key desc, what text);
create table uses (a integer references plain (id), b integer references plain, what text);
create table others (
  n integer not null references plain (id), c text references named (code), primary key (n, c)
) without rowid;
create table odd (d integer references bare (id), e integer references falling (id));
create index uses_a on uses (a);
"""


def test_as_the_database_itself_finds_it() -> None:
    """Keys with and without gaps; whole numbers, fractions, texts, bytes and nothing in what refers to them."""
    chance = random.Random(20261130)
    broken = whole = 0
    for _ in range(400):
        connection = sqlite3.connect(":memory:")
        connection.executescript(TABLES)
        ids = chance.choice(([1, 2, 3, 4], [3, 4, 5], [1, 2, 9], [-1, 0, 1], []))
        for table in ("plain", "bare", "falling"):
            connection.executemany(f"insert into {table} values (?, 'x')", [(i,) for i in ids])
        connection.executemany("insert into named values (?, 'x')", [("a",), ("b",)])
        odd = [2.5, "2", "two", b"2", 99, 0, -7] if chance.random() < 0.5 else []

        def one(odd: list[object] = odd, ids: list[int] = ids) -> object:
            return chance.choice([*ids, None, chance.choice([*odd, None])])

        connection.executemany("insert into uses values (?, ?, 'x')", [(one(), one()) for _ in range(3)])
        connection.executemany("insert into odd values (?, ?)", [(one(), one()) for _ in range(2)])
        sure = [(i, chance.choice(["a", "b", *(["c"] if odd else [])])) for i in ids]
        connection.executemany("insert into others values (?, ?)", sure)

        found = broken_reference(connection)

        expected = connection.execute("pragma foreign_key_check").fetchall()
        assert (found is None) == (not expected)
        assert found is None or found in expected
        broken += found is not None
        whole += found is None
        connection.close()
    assert min(broken, whole) > 50
