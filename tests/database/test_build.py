"""Building the database file: what is in it, what is refused, and that it is the old file or the new one."""

from __future__ import annotations

import random
import signal
import sqlite3
import time
from pathlib import Path

import pytest

from handling_db.database import schema
from handling_db.database.build import BuildRefused, build_database
from handling_db.database.file import check_file, publish
from handling_db.database.rows import above, below
from handling_db.errors import HandlingError
from handling_db.findings import Verdict
from tests.killing import begun, building, is_done

SMALL = """\
- {component: case, name: Case, kind: part, masses: [{printed: 12.5 kg, source: list}]}
- component: box
  name: Box
  kind: assembly
  parts listed: all
  parts:
    - {component: case, quantity: 1}
    - {component: lid, quantity: 2}
- {component: lid, name: Lid, kind: part, also called: [cover], part number: L 7-1}
- {source: list, name: A list, kind: supplier's list}
"""


@pytest.fixture
def records(tmp_path: Path) -> Path:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "box.yml").write_text(SMALL)
    return folder


def rows(file: Path, sql: str) -> list[tuple[object, ...]]:
    connection = sqlite3.connect(f"file:{file}?mode=ro", uri=True)
    try:
        return connection.execute(sql).fetchall()
    finally:
        connection.close()


def test_report_and_rows(records: Path, tmp_path: Path) -> None:
    said: list[tuple[str, int, int]] = []
    report = build_database([records], tmp_path / "x.db", progress=lambda *told: said.append(told))

    assert report.out == tmp_path / "x.db"
    assert report.counts["components"] == 3
    assert report.counts["part lines"] == 2
    assert {finding.rule for finding in report.findings} >= {"mass-missing"}
    assert said[-1] == ("done", 1, 1)
    assert rows(report.out, "select stamp from built") == [(report.stamp,)]
    assert rows(report.out, "select code, name from component order by id") == [
        ("box", "Box"), ("case", "Case"), ("lid", "Lid"),
    ]  # fmt: skip
    assert rows(report.out, "select text from record where code = 'lid'") == [
        (
            '{"component": "lid", "name": "Lid", "kind": "part", "also called": ["cover"], "part number": "L 7-1"}',
        )
    ]
    assert rows(report.out, "select file, line from finding where rule = 'mass-missing'") == [
        ("records/box.yml", 9)
    ]


def test_missing_is_null_and_never_zero(records: Path, tmp_path: Path) -> None:
    build_database([records], tmp_path / "x.db")
    lid = "select best_kg, low_kg, high_kg, u_kg, plan_kg, complete from total where component = 3"
    box = "select best_kg, plan_kg, complete, why_none from total where component = 1 and state = 'filled'"

    assert set(rows(tmp_path / "x.db", lid)) == {(None, None, None, None, None, 0)}
    assert rows(tmp_path / "x.db", box) == [(12.5, None, 0, "1 part has no mass")]


def test_the_file_says_what_it_is(records: Path, tmp_path: Path) -> None:
    build_database([records], tmp_path / "x.db")

    assert rows(tmp_path / "x.db", "pragma journal_mode") == [("delete",)]
    assert rows(tmp_path / "x.db", "pragma user_version") == [(schema.VERSION,)]
    assert rows(tmp_path / "x.db", "pragma application_id") == [(schema.APPLICATION,)]
    assert rows(tmp_path / "x.db", "pragma integrity_check") == [("ok",)]
    assert rows(tmp_path / "x.db", "pragma foreign_key_check") == []


@pytest.mark.slow
def test_same_input_same_bytes(demo_folder: Path, tmp_path: Path) -> None:
    """Also from another folder and after another build."""
    one = build_database([demo_folder], tmp_path / "one.db")
    (tmp_path / "elsewhere").mkdir()
    two = build_database([demo_folder], tmp_path / "elsewhere" / "two.db")

    assert one.stamp == two.stamp
    assert one.out.read_bytes() == two.out.read_bytes()


def test_where_the_records_stand_does_not_matter(records: Path, tmp_path: Path) -> None:
    other = tmp_path / "other" / "records"
    other.mkdir(parents=True)
    (other / "box.yml").write_text(SMALL)

    build_database([records], tmp_path / "one.db")
    build_database([other], tmp_path / "two.db")
    assert (tmp_path / "one.db").read_bytes() == (tmp_path / "two.db").read_bytes()


def test_other_input_other_stamp(records: Path, tmp_path: Path) -> None:
    one = build_database([records], tmp_path / "one.db").stamp
    (records / "box.yml").write_text(SMALL.replace("12.5 kg", "12.6 kg"))

    assert build_database([records], tmp_path / "one.db").stamp != one


def test_every_fault_is_told_and_nothing_is_written(records: Path, tmp_path: Path) -> None:
    build_database([records], tmp_path / "x.db")
    before = (tmp_path / "x.db").read_bytes()
    (records / "bad.yml").write_text(
        "- {component: bar, name: Bar, kind: assembly, parts: [{component: none-such, quantity: 1}]}\n"
        "- {component: rod, name: Rod, kind: part, masses: [{printed: 5, source: list}]}\n"
    )
    with pytest.raises(BuildRefused, match="2 faults, nothing was built") as refused:
        build_database([records], tmp_path / "x.db")

    faults = [str(f) for f in refused.value.findings if f.verdict is Verdict.FAULT]
    assert faults[0].startswith(f"{records}/bad.yml:2: masses[0].printed: '5' has no unit")
    assert faults[1].startswith(f"{records}/bad.yml:1: parts[0].component: there is no component 'none-such'")
    assert all(fault in str(refused.value) for fault in faults)
    assert (tmp_path / "x.db").read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["records", "x.db"]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda p: p.mkdir(), "is a folder; give the name of a file, such as"),
        (lambda p: p.write_text("parent,child\n"), "is there already and is no database of this program"),
        (lambda p: sqlite3.connect(p).execute("create table t (a)"), "is no database of this program"),
    ],
)
def test_what_is_not_ours_is_not_overwritten(records: Path, tmp_path: Path, make: object, words: str) -> None:
    target = tmp_path / "target"
    make(target)  # type: ignore[operator]
    with pytest.raises(HandlingError) as refused:
        build_database([records], target)
    assert words in str(refused.value)


def test_no_folder_for_the_file(records: Path, tmp_path: Path) -> None:
    with pytest.raises(HandlingError, match="nowhere; make it first"):
        build_database([records], tmp_path / "nowhere" / "x.db")


def test_a_broken_reference_is_not_published(tmp_path: Path) -> None:
    def fill(database: object) -> None:
        database.executescript(
            "create table a (b references c (id)); create table c (id integer primary key)"
        )  # type: ignore[attr-defined]
        database.execute("insert into a values (7)")  # type: ignore[attr-defined]

    with pytest.raises(HandlingError, match="has a row of 'a' that refers to no row of 'c'"):
        publish(tmp_path / "x.db", fill)
    assert [*tmp_path.iterdir()] == []


def test_a_damaged_file_is_not_published(records: Path, tmp_path: Path) -> None:
    build_database([records], tmp_path / "x.db")
    data = bytearray((tmp_path / "x.db").read_bytes())
    data[4096 * 3 : 4096 * 3 + 200] = bytes(200)
    (tmp_path / "x.db").write_bytes(data)
    with pytest.raises((HandlingError, sqlite3.DatabaseError)):
        check_file(tmp_path / "x.db")


@pytest.mark.slow
def test_a_kill_leaves_the_old_file_or_the_new_one(demo_folder: Path, tmp_path: Path) -> None:
    """Six builds are killed at random moments; the next build finds nothing but a whole file."""
    old, new = tmp_path / "old.db", tmp_path / "new.db"
    (tmp_path / "records").mkdir()
    (tmp_path / "records" / "box.yml").write_text(SMALL)
    build_database([tmp_path / "records"], old)
    start = time.perf_counter()
    build_database([demo_folder], new)
    whole = time.perf_counter() - start
    wanted = {"old": old.read_bytes(), "new": new.read_bytes()}
    room = tmp_path / "room"
    room.mkdir()
    target = room / "handling.db"
    chance = random.Random(20_26)
    killed = 0
    for _ in range(6):
        target.write_bytes(wanted["old"])
        child, said = begun(building, demo_folder, target)
        time.sleep(chance.uniform(0, 1.2 * whole))
        child.kill()
        child.join()
        killed += child.exitcode == -signal.SIGKILL and not is_done(said)
        said.close()
        assert target.read_bytes() in wanted.values()
    assert killed >= 2, "too few were killed on the way to mean anything"
    build_database([demo_folder], target)
    assert [path.name for path in room.iterdir()] == ["handling.db"]
    assert target.read_bytes() == wanted["new"]


def test_a_build_that_still_runs_keeps_its_room(records: Path, tmp_path: Path) -> None:
    def fill(database: object) -> None:
        build_database([records], tmp_path / "x.db")
        database.execute("create table t (a)")  # type: ignore[attr-defined]

    publish(tmp_path / "x.db", fill)
    assert rows(tmp_path / "x.db", "select count(*) from t") == [(0,)]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["records", "x.db"]


def test_limits_are_rounded_outward() -> None:
    from fractions import Fraction

    third = Fraction(1, 3)
    assert Fraction(below(third)) < third < Fraction(above(third))
    assert below(Fraction(1, 4)) == above(Fraction(1, 4)) == 0.25
    assert below(None) is None


def test_the_tables_refer_to_each_other() -> None:
    connection = sqlite3.connect(":memory:")
    connection.executescript(schema.TABLES + schema.INDEXES + schema.SEARCH)
    tables = [
        name
        for (name,) in connection.execute(
            "select name from sqlite_master where type = 'table' and sql not like 'create virtual%' "
            "and name not like '%words%' and name not like '%fragments%'"
        )
    ]
    assert len(tables) > 20
    for table in tables:
        columns = [row[1] for row in connection.execute(f"pragma table_info({table})")]
        assert len(columns) == len(set(columns)), table
        for target in connection.execute(f"pragma foreign_key_list({table})"):
            assert target[2] in tables


def test_what_nobody_weighed_is_found_by_an_index_of_its_own(records: Path, tmp_path: Path) -> None:
    build_database([records], tmp_path / "x.db")

    assert [row[0] for row in rows(tmp_path / "x.db", "select code from nobody_weighed")] == ["lid"]
    plan = str(rows(tmp_path / "x.db", "explain query plan select code from nobody_weighed"))
    assert "total_nobody_knows" in plan
