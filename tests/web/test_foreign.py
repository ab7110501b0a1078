"""The plugin in a Datasette that serves databases of others: alone, beside ours, and under names of our pages."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from datasette.app import Datasette
from datasette.plugins import pm

pytestmark = pytest.mark.anyio

NAMES_OF_OURS = ("notes", "find", "lifts", "component", "picture", "start", "shop")


def foreign(folder: Path, name: str) -> str:
    file = folder / f"{name}.db"
    connection = sqlite3.connect(file)
    connection.execute("create table boats (id integer primary key, name text)")
    connection.execute("insert into boats values (1, 'Heron'), (2, 'Teal')")
    connection.commit()
    connection.close()
    return str(file)


async def answers(datasette: Datasette, paths: list[str]) -> dict[str, tuple[int, str]]:
    found = {}
    for path in paths:
        answer = await datasette.client.get(path)
        found[path] = (answer.status_code, answer.text)
    return found


PATHS = [
    "/", "/river", "/river/boats", "/river/boats.json?_shape=array", "/river/boats.csv",
    "/river?sql=select+1+as+one", "/-/databases.json", "/-/plugins", "/component/x", "/notes", "/start.json",
]  # fmt: skip


@pytest.mark.slow
async def test_foreign_database_is_served_as_without_us(tmp_path: Path) -> None:
    """`/` answered 500, names were turned away, and what Datasette tells about itself was closed."""
    file = foreign(tmp_path, "river")
    with_us = await answers(Datasette([file]), PATHS)
    plugin = next(one for one in pm.get_plugins() if getattr(one, "__name__", "") == "handling_db.web")
    name = pm.get_name(plugin)
    pm.unregister(plugin)
    try:
        without_us = await answers(Datasette([file]), PATHS)
    finally:
        pm.register(plugin, name)
    for path in PATHS:
        assert with_us[path][0] == without_us[path][0], path
        if "plugins" not in path and with_us[path][0] == 200:
            assert _steady(with_us[path][1]) == _steady(without_us[path][1]), path
    assert with_us["/"][0] == 200


def _steady(text: str) -> str:
    """Without times of a query, which differ from one asking to the next."""
    return re.sub(r"\d+\.\d+\s*ms|\"(query_ms|ms)\": [\d.e-]+|(Query|Queries) took [\d.]+", "", text)


@pytest.mark.slow
async def test_other_names_and_writing_methods_reach_a_foreign_database(tmp_path: Path) -> None:
    served = Datasette([foreign(tmp_path, "river")])
    assert (await served.client.get("/river", headers={"host": "data.example"})).status_code == 200
    answer = await served.client.post("/river/boats")
    assert "read-only" not in answer.text
    assert "content-security-policy" not in answer.headers


@pytest.mark.slow
async def test_both_together(tmp_path: Path, demo_db: Path) -> None:
    served = Datasette([foreign(tmp_path, "river"), str(demo_db)])
    first = await served.client.get("/")
    assert first.status_code == 200
    assert "river" in first.text
    assert 'href="/start"' in first.text, "a way to our pages from the stock ones"
    start = await served.client.get("/start")
    assert start.status_code == 200
    assert 'class="hd"' in start.text
    assert 'href="/"' not in start.text, "our ways lead to our first page"
    assert 'href="/start"' in start.text
    piece = await served.client.get("/component/transfer-box")
    assert "Transfer box" in piece.text
    assert "content-security-policy" in piece.headers
    assert (await served.client.post("/component/transfer-box")).status_code == 405
    assert (await served.client.get("/river/boats/1")).status_code == 200
    assert (await served.client.get("/component/nope")).status_code == 404
    assert "Datasette" not in (await served.client.get("/component/nope")).text
    assert (await served.client.get("/-/databases.json")).status_code == 200


@pytest.mark.parametrize("name", NAMES_OF_OURS)
async def test_foreign_database_that_has_the_name_of_a_page(tmp_path: Path, demo_db: Path, name: str) -> None:
    served = Datasette([foreign(tmp_path, name), str(demo_db)])
    theirs = (await served.client.get(f"/{name}")).text
    assert "boats" in theirs
    assert (await served.client.get(f"/{name}/boats.json?_shape=array")).json()[1]["name"] == "Teal"
    ours = "/checker"
    assert 'class="hd"' in (await served.client.get(ours)).text


async def test_stock_datasette_over_ours_alone_is_as_careful_as_serve(demo_db: Path) -> None:
    served = Datasette([], immutables=[str(demo_db)])
    assert 'class="hd"' in (await served.client.get("/")).text
    assert (await served.client.get("/", headers={"host": "evil.example"})).status_code == 421
    assert (await served.client.get("/-/databases")).status_code == 404


async def test_a_file_of_another_version_is_said_in_words(tmp_path: Path, demo_db: Path) -> None:
    """Our pages over tables of another version failed with 500."""
    other = tmp_path / "old.db"
    other.write_bytes(demo_db.read_bytes())
    connection = sqlite3.connect(other)
    connection.execute("pragma user_version = 1")
    connection.commit()
    connection.close()
    for served in (Datasette([str(other)]), Datasette([str(other), foreign(tmp_path, "river")])):
        answer = await served.client.get("/start")
        assert answer.status_code == 400
        assert "old.db: built by another version of this program" in answer.text
        assert str(tmp_path) not in answer.text


@pytest.mark.slow
async def test_stock_failures_of_others_stay_theirs(tmp_path: Path, demo_db: Path, capfd: Any) -> None:
    both = Datasette([foreign(tmp_path, "river"), str(demo_db)])
    assert 'class="hd"' not in (await both.client.get("/river/nope")).text
    ours = Datasette([], immutables=[str(demo_db)])
    assert 'class="hd"' in (await ours.client.get("/handling/nope")).text
