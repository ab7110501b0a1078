"""Tables filled as pages: the engine reads back what was put in, and finds nothing wrong with the file."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handling_db.tables.bulk.pages import filled, trees
from handling_db.tables.bulk.pages.fields import as_list
from handling_db.tables.bulk.pages.filled import fill_table
from handling_db.tables.bulk.pages.texts import TextColumn

TABLES = """
create table numbered (
  id integer primary key, code text not null, figure real, many integer not null, word text, same text, line int
);
create unique index numbered_code on numbered (code);
create index numbered_many on numbered (many);
create index numbered_word on numbered (word);
create table keyed (
  word text, over integer not null, under integer not null, figure real not null, other integer not null default 0,
  primary key (over, under)
) without rowid;
create index keyed_under on keyed (under);
"""
LETTERS = "abcdefghijk-0123 äß漢🔩"


def opened(file: Path, tables: str = TABLES) -> sqlite3.Connection:
    connection = sqlite3.connect(file, isolation_level=None)
    connection.execute("pragma journal_mode = off")
    connection.execute("pragma synchronous = off")
    connection.executescript(tables)
    return connection


def text(chance: random.Random, longest: int) -> str:
    return "".join(chance.choices(LETTERS, k=chance.randrange(longest)))


def numbered(chance: random.Random, count: int) -> dict[str, Any]:
    """Ids with gaps; texts short, long and none; figures, whole ones, and none; numbers of every width."""
    longest = chance.choice([3, 12, 90, 400])
    codes = [f"{text(chance, longest)}#{i}" for i in range(count)]
    chance.shuffle(codes)
    high = chance.choice([1, 2, 127, 128, 40_000, 1 << 23, 1 << 31, 1 << 40, (1 << 62)])
    low = -high - 1 if high > 1 and chance.random() < 0.5 else 0
    whole = chance.random() < 0.3
    figures = [float(chance.randrange(9)) if whole else chance.uniform(-1e9, 1e9) for _ in range(count)]
    if chance.random() < 0.5:
        figures = [figure if chance.random() < 0.8 else float("nan") for figure in figures]
    words = [text(chance, longest) if chance.random() < 0.7 else None for _ in range(count)]
    first = chance.choice([1, 120, 16_380, 2_097_000])
    ids = np.cumsum(np.array([chance.choice([1, 1, 1, 7]) for _ in range(count)])) + first
    same = chance.choice([None, "", "just one", "x" * 70])
    given = {
        "id": ids,
        "code": codes if chance.random() < 0.5 else TextColumn.of(codes),
        "figure": np.array(figures) if chance.random() < 0.5 else [None if f != f else f for f in figures],
        "many": np.array([chance.randint(low, high) for _ in range(count)], dtype=np.int64),
        "word": words,
        "same": [same] * count,
        "line": range(5, 5 + count),
    }
    for name in ("figure", "same", "line"):
        if chance.random() < 0.2:
            del given[name]
    return given


def keyed(chance: random.Random, count: int) -> dict[str, Any]:
    pairs = sorted({(chance.randrange(count // 3 + 1), chance.randrange(300)) for _ in range(count)})
    words = ("short", None, "somewhat longer")
    return {
        "word": TextColumn.chosen(words, np.array([chance.randrange(3) for _ in pairs])),
        "over": np.array([over for over, _ in pairs]),
        "under": [under for _, under in pairs],
        "figure": [chance.choice([0.5, 1.0, 2.25]) for _ in pairs],
    }


def by_the_engine(connection: sqlite3.Connection, table: str, columns: dict[str, Any]) -> None:
    names, marks = ", ".join(columns), ", ".join("?" * len(columns))
    rows = zip(*map(as_list, columns.values()), strict=True)
    connection.execute("begin")
    connection.executemany(f"insert into {table} ({names}) values ({marks})", rows)
    connection.execute("commit")


def rows_of(connection: sqlite3.Connection, table: str, rest: str = "") -> list[tuple[Any, ...]]:
    found = connection.execute(f"select * from {table} {rest}").fetchall()
    return [(*row, *map(type, row)) for row in found]


@pytest.mark.parametrize("seed", range(20))
def test_the_engine_reads_what_was_put_in(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    count = chance.choice([1, 2, 30, 400, 2_500, 6_000])
    made = {"numbered": numbered(chance, count), "keyed": keyed(chance, count)}
    ours, theirs = opened(tmp_path / "ours.db"), opened(tmp_path / "theirs.db")
    for table, columns in made.items():
        assert fill_table(ours, table, columns)
        by_the_engine(theirs, table, columns)

        assert rows_of(ours, table) == rows_of(theirs, table)
    assert ours.execute("pragma integrity_check").fetchall() == [("ok",)]  # indexes against rows, too
    assert ours.execute("pragma page_count").fetchone()[0] * 4096 == (tmp_path / "ours.db").stat().st_size
    for rest in ("indexed by numbered_code order by code", "indexed by numbered_many order by many, id"):
        assert rows_of(ours, "numbered", rest) == rows_of(theirs, "numbered", rest)

    # the engine goes on with the file as with one of its own
    for connection in (ours, theirs):
        connection.execute("insert into numbered (id, code, many) values (0, 'before all', 5)")
        connection.execute("insert into numbered (code, many) values ('behind all', -5)")
        connection.execute("delete from keyed where under % 3 = 0")
        connection.execute("update numbered set code = code || '!' where id % 2")
    for table in made:
        assert rows_of(ours, table) == rows_of(theirs, table)
    assert ours.execute("pragma integrity_check").fetchall() == [("ok",)]


def test_same_bytes(tmp_path: Path) -> None:
    for name in ("one.db", "two.db"):
        fill_table(opened(tmp_path / name), "numbered", numbered(random.Random(4), 3_000))
    assert (tmp_path / "one.db").read_bytes() == (tmp_path / "two.db").read_bytes()


def test_another_connection_sees_it(tmp_path: Path) -> None:
    """The one that had read the table while it was empty as well."""
    connection = opened(tmp_path / "x.db")
    assert connection.execute("select count(*) from keyed").fetchone() == (0,)
    fill_table(connection, "keyed", {"over": range(900), "under": range(900), "figure": np.zeros(900)})
    assert connection.execute("select count(*), max(over) from keyed").fetchone() == (900, 899)
    other = sqlite3.connect(tmp_path / "x.db")
    assert other.execute("select count(*), sum(other) from keyed").fetchone() == (900, 0)


def test_what_only_the_engine_can_do_is_left_to_it(tmp_path: Path) -> None:
    """And the file stays as it was, to the byte."""
    few: dict[str, Any] = {"id": [1, 2], "code": ["a", "b"], "many": [1, 2], "word": [None, "a"]}
    long = few | {"word": ["x" * 5_000, ""]}
    cases: list[tuple[str, dict[str, Any]]] = [
        (TABLES, long),
        (TABLES, few | {"word": [b"bytes", b""]}),
        (TABLES, few | {"line": [1, None]}),
        (TABLES, {name: few[name] for name in ("id", "code", "many")}),
        (TABLES, few | {"code": ["a", "a"]}),
        (f"{TABLES} insert into numbered (id, code, many) values (9, 'c', 1);", few),
        (f"{TABLES} create index part on numbered (many) where many > 1;", few),
        (f"{TABLES} create index falling on numbered (many desc);", few),
        (f"pragma page_size = 8192; {TABLES}", few),
        (f"pragma auto_vacuum = full; {TABLES}", few),
        (f"pragma encoding = 'UTF-16'; {TABLES}", few),
    ]
    for number, (tables, columns) in enumerate(cases):
        file = tmp_path / f"{number}.db"
        connection = opened(file, tables)
        before = file.read_bytes()

        assert not fill_table(connection, "numbered", columns), tables[:40]
        assert file.read_bytes() == before
    connection = opened(tmp_path / "in.db")
    connection.execute("begin")
    assert not fill_table(connection, "numbered", few)


def test_the_page_that_the_engine_locks_is_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In files of more than a gigabyte; here as if it were among the first."""
    chance = random.Random(8)
    for lock in (9, 30, 61):
        monkeypatch.setattr(trees, "LOCK", lock)
        monkeypatch.setattr(filled, "LOCK", lock)
        file = tmp_path / f"{lock}.db"
        connection = opened(file)
        columns = keyed(chance, 9_000)
        assert fill_table(connection, "keyed", columns)

        told = [row[0] for row in connection.execute("pragma integrity_check")]
        assert [one for one in told if "never used" not in one] == []
        assert len(told) == 1
        assert str(lock) in told[0]
        assert file.read_bytes()[(lock - 1) * 4096 : lock * 4096] == bytes(4096)
        assert connection.execute("select count(*) from keyed").fetchone()[0] == len(columns["over"])


def test_texts_in_the_order_of_the_engine() -> None:
    chance = random.Random(5)
    for longest in (2, 9, 40):
        texts = [text(chance, longest) for _ in range(500)]
        column = TextColumn.of(texts)
        order, twice = column.order()
        assert column.of_rows(order).texts() == sorted(texts, key=str.encode)
        assert order.tolist() == sorted(range(500), key=lambda row: (texts[row].encode(), row))
        assert twice == (len(set(texts)) < 500)
        assert not TextColumn.of([*set(texts)]).order()[1]
