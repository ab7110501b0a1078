"""The page on the database says what its schema says, and every question of the stock pages has an answer."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
import yaml

from handling_db.database.building import build_with_bar
from handling_db.files.folders import data_folder
from tests.docs.write_database import PAGE, PICTURE, empty, page, picture, tables

ROOT = Path(__file__).parents[2]
DESCRIBED = yaml.safe_load((ROOT / "metadata.yml").read_text("utf-8"))["databases"]["handling"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> sqlite3.Connection:
    file = tmp_path_factory.mktemp("database") / "handling.db"
    build_with_bar([data_folder() / "demo"], file)
    return sqlite3.connect(file)


def test_the_page_and_its_picture_are_current() -> None:
    """If this fails: ``python -m tests.docs.write_database``."""
    assert PAGE.read_text("utf-8") == page()
    assert PICTURE.read_text("utf-8") == picture()


def test_what_is_described_is_there() -> None:
    connection = empty()
    there = {*tables(connection, "table"), *tables(connection, "view")}

    assert set(DESCRIBED["tables"]) <= there
    assert set(tables(connection, "view")) <= set(DESCRIBED["tables"])


@pytest.mark.parametrize("name", DESCRIBED["queries"])
def test_a_canned_query_runs(demo: sqlite3.Connection, name: str) -> None:
    query = DESCRIBED["queries"][name]

    demo.execute(query["sql"], dict.fromkeys(query.get("params", ()), ""))


def test_which_lifts_use_a_sling_is_one_query(demo: sqlite3.Connection) -> None:
    sql = DESCRIBED["queries"]["lifts_with_this_gear"]["sql"]

    lifts = {lift for lift, _, _ in demo.execute(sql, {"gear": "chain-three-leg-900"})}

    assert lifts == {"section-off-the-truck", "upper-half-lift"} | lifts
    assert (
        demo.execute("select count(*) from what_still_holds where there is null or there = 'yes'").fetchone()[
            0
        ]
        > 0
    )
    assert demo.execute("select tie, unit from temporary_ties_in").fetchall() == [("red-m10", "transfer-box")]
    assert demo.execute("select max(rated_kg) from ratings_of_gear").fetchone() == (4250.0,)


def test_limits_are_figures_in_kilograms(demo: sqlite3.Connection) -> None:
    rows = demo.execute(
        "select mover.rated, limit_kg.kg from limit_kg join mover on mover.code = limit_kg.code "
        "where limit_kg.kind = 'mover' and what = 'rated'"
    ).fetchall()

    assert rows
    factor = {"kg": 1.0, "t": 1000.0, "lb": 0.45359237}
    for text, kg in rows:
        number, unit = text.replace(",", "").split()
        assert kg == pytest.approx(float(number) * factor[unit], rel=1e-12)
