"""The page that explains the database: every table and column, what refers to what, and the way to the rows."""

from __future__ import annotations

import contextlib
import re
import sqlite3
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import yaml

from handling_db.database.described import described
from handling_db.web.drawings.tables import tables_drawing
from handling_db.web.serving import application, metadata_file

pytestmark = pytest.mark.anyio


async def test_every_table_and_column_of_the_file_is_explained(served: Any, demo_db: Path) -> None:
    page = await served.client.get("/database")
    assert page.status_code == 200
    connection = sqlite3.connect(demo_db)
    names = connection.execute(
        "select name from sqlite_master where type = 'table' and name not like 'sqlite_%' "
        "and name not like '%_words%' and name not like '%_fragments%'"
    ).fetchall()
    assert len(names) > 30
    for (name,) in names:
        part = page.text.split(f'id="{name}"')[1].split("</details>")[0]
        columns = [row[1] for row in connection.execute(f"pragma table_info({name})")]
        assert re.findall(r"<dt><code>(\w+)</code>", part) == columns
        for _, _, other, column, *_ in connection.execute(f"pragma foreign_key_list({name})"):
            assert (
                f'<a href="#{other}">{other}</a>'
                in part.split(f"<dt><code>{column}</code>")[1].split("</dd>")[0]
            )
    for (name,) in connection.execute("select name from sqlite_master where type = 'view'").fetchall():
        assert f'href="/handling/{name}"' in page.text


@pytest.mark.slow
async def test_every_link_of_the_page_leads_somewhere(served: Any) -> None:
    page = await served.client.get("/database")
    addresses = set(re.findall(r'href="(/handling[^"#]*)"', page.text))
    assert len(addresses) > 40
    for address in sorted(addresses)[::4]:
        assert (await served.client.get(address)).status_code == 200, address
    for mark in set(re.findall(r'href="#(\w+)"', page.text)) - {"main"}:
        assert f'id="{mark}"' in page.text


async def test_it_is_reached_from_the_start_page_and_from_the_rows(served: Any, prefixed: Any) -> None:
    assert 'href="/database"' in (await served.client.get("/")).text
    assert 'href="/database"' in (await served.client.get("/handling/gear")).text
    assert 'href="/w/handling/gear"' in (await prefixed.client.get("/database")).text


QUERIES = yaml.safe_load(metadata_file().read_text("utf-8"))["databases"]["handling"]["queries"]
GIVEN = {
    "over_kg": "400", "gear": "chain-three-leg-900", "day": "2027-01-01", "fixture": "pallet",
    "component": "output-gear",
}  # fmt: skip


@pytest.mark.parametrize("name", QUERIES)
async def test_every_canned_query_answers_on_the_stock_page(name: str, served: Any) -> None:
    asked = "&".join(f"{word}={GIVEN[word]}" for word in QUERIES[name].get("params", ()))
    page = await served.client.get(f"/handling/{name}?{asked}")
    told = await served.client.get(f"/handling/{name}.json?_shape=array&{asked}")
    assert page.status_code == told.status_code == 200
    assert QUERIES[name]["title"] in page.text
    assert told.json() or name == "over_their_rating"  # no mover of the demo is too weak for a whole unit


async def test_its_json(served: Any) -> None:
    told = (await served.client.get("/database.json")).json()
    (gear,) = [table for table in told["tables"] if table["name"] == "gear"]
    assert {
        "name": "own_mass_kg",
        "type": "REAL",
        "says": "",
        "refers_to": "",
        "key": False,
        "needed": False,
    } in gear["columns"]


def test_the_picture_has_every_tie_and_no_box_over_another() -> None:
    tables = [table for table in described() if not table.view]
    root = ElementTree.fromstring(str(tables_drawing(tables, linked=True)))
    name = "{http://www.w3.org/2000/svg}"
    boxes = [
        tuple(float(box.attrib[side]) for side in ("x", "y", "width", "height"))
        for box in root.findall(f"{name}a/{name}rect")
    ]
    assert len(boxes) == len(tables)
    for index, (x, y, width, height) in enumerate(boxes):
        for left, top, across, down in boxes[:index]:
            assert x >= left + across or left >= x + width or y >= top + down or top >= y + height
    paths = root.findall(f"{name}path")
    assert len(paths) == sum(len(table.ties) for table in tables)
    right = {box[0] + box[2] for box in boxes}
    for path in paths:  # from the left edge of a box to the right edge of one further left
        start, *_, end = re.findall(r"(\d+),\d+", path.attrib["d"])
        assert float(start) in {box[0] for box in boxes}
        assert float(end) in right
        assert float(end) < float(start)


async def test_tables_are_counted_without_a_word_in_the_log(
    demo_db: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    view = application(demo_db)

    listed = (await view.client.get("/handling.json")).json()["tables"]

    said = capfd.readouterr()
    assert (said.out, said.err) == ("", "")
    with contextlib.closing(sqlite3.connect(demo_db)) as connection:
        for name in ("component", "note", "usage"):
            rows = connection.execute(f"select count(*) from {name}").fetchone()[0]
            assert [one["count"] for one in listed if one["name"] == name] == [rows]
