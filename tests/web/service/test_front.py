"""Several collections in one server, each under its name; and everything under a prefix."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import httpx
import pytest

from handling_db.errors import HandlingError
from handling_db.web.service.copies import Copies
from handling_db.web.service.front import Front
from handling_db.web.service.place import ServedAt, read_place
from handling_db.web.service.run import front

pytestmark = pytest.mark.anyio

LINK = re.compile(r'(?:href|src|action)="([^"#]*)')


@pytest.fixture
def copies(tmp_path: Path) -> Iterator[Copies]:
    held = Copies(tmp_path)
    yield held
    held.close()


@pytest.fixture
def other_db(tmp_path: Path) -> Path:
    from handling_db.database.build import build_database

    (tmp_path / "records").mkdir()
    (tmp_path / "records" / "winch.yml").write_text("component: winch\nname: Quay winch\nkind: part\n")
    build_database([tmp_path / "records"], tmp_path / "other.db")
    return tmp_path / "other.db"


def client_of(served: Front, name: str = "localhost") -> httpx.AsyncClient:
    return httpx.AsyncClient(transport=httpx.ASGITransport(app=served), base_url=f"http://{name}")


async def crawl(client: httpx.AsyncClient, start: str, most: int = 16) -> dict[str, int]:
    """Every address that pages name, followed; the status of each."""
    found: dict[str, int] = {}
    waiting = [start]
    while waiting and len(found) < most:
        path = waiting.pop(0)
        if path in found:
            continue
        answer = await client.get(path)
        found[path] = answer.status_code
        if "text/html" in answer.headers.get("content-type", ""):
            for link in LINK.findall(answer.text):
                whole = urljoin(f"http://localhost{path}", link.replace("&amp;", "&"))
                if urlsplit(whole).hostname == "localhost":
                    waiting.append(whole.removeprefix("http://localhost"))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("base", ["/", "/shed/weights/"])
async def test_several_each_under_its_name(demo_db: Path, other_db: Path, copies: Copies, base: str) -> None:
    served = front({"demo": demo_db, "quay": other_db}, ServedAt(base_url=base), copies, print)
    async with client_of(served) as client:
        first = await client.get(base)
        assert "Which collection?" in first.text
        assert f'href="{base}demo/"' in first.text
        assert f'href="{base}quay/"' in first.text
        assert "Figures, not permission" in first.text
        listed = (await client.get(f"{base}start.json")).json()["collections"]
        assert [one["name"] for one in listed] == ["demo", "quay"]
        assert all(one["stamp"]["built"] for one in listed)
        assert "Quay winch" in (await client.get(f"{base}quay/component/winch")).text
        assert (await client.get(f"{base}demo/component/winch")).status_code == 404
        assert (await client.get(f"{base}other/")).status_code == 404
        sent_on = await client.get(f"{base}quay?unit=lb")
        assert (sent_on.status_code, sent_on.headers["location"]) == (308, f"{base}quay/?unit=lb")
        found = await crawl(client, base)
        assert len(found) >= 16
        assert {path: status for path, status in found.items() if status not in (200, 308)} == {}
        assert [path for path in found if not path.startswith(base)] == []
        assert (await client.post(base)).status_code == 405
        assert (await client.get(base, headers={"host": "evil.example"})).status_code == 421


@pytest.mark.slow
async def test_one_collection_behind_a_prefix_that_a_proxy_leaves_or_cuts_off(
    other_db: Path, copies: Copies
) -> None:
    served = front({"": other_db}, ServedAt(base_url="/w/"), copies, print)
    async with client_of(served) as client:
        found = await crawl(client, "/w/", 90)
        assert {path: status for path, status in found.items() if status != 200} == {}
        assert [path for path in found if not path.startswith("/w/")] == []
        left = await client.get("/w/component/winch")
        cut = await client.get("/component/winch")
        assert left.status_code == cut.status_code == 200
        assert LINK.findall(left.text) == LINK.findall(cut.text)
        sent_on = await client.get("/w")
        assert (sent_on.status_code, sent_on.headers["location"]) == (308, "/w/")


async def test_only_the_name_of_the_public_address_is_answered_to(demo_db: Path, copies: Copies) -> None:
    place = read_place((), port=0, lan=False, base_url="", public_url="https://bench.example/w/")
    served = front({"": demo_db}, place, copies, print)
    async with client_of(served, "bench.example") as client:
        assert (await client.get("/w/")).status_code == 200
    async with client_of(served, "evil.example") as client:
        assert (await client.get("/w/")).status_code == 421


async def test_one_of_several_may_be_missing_until_it_is_there(
    demo_db: Path, other_db: Path, tmp_path: Path, copies: Copies
) -> None:
    said: list[str] = []
    late = tmp_path / "late.db"
    served = front({"demo": demo_db, "late": late}, ServedAt(), copies, said.append)
    assert said == [
        f"{late}: there is no such database; build it with 'handling-db build'. "
        "It is looked for again at each request."
    ]
    async with client_of(served) as client:
        page = await client.get("/late/component/winch")
        assert page.status_code == 503
        assert "The database file late.db is not there. Nothing of this collection can be shown." in page.text
        answer = await client.get("/late/start.json")
        assert (answer.status_code, "late.db is not there" in answer.json()["error"]) == (503, True)
        assert "late.db is not there" in (await client.get("/")).text
        assert (await client.get("/demo/")).status_code == 200
        shutil.copyfile(other_db, late)
        assert "Quay winch" in (await client.get("/late/component/winch")).text
        assert "late.db" not in (await client.get("/")).text


@pytest.mark.parametrize("name", ["a/b", "Bench", "-", "a b", "..", "start", "x" * 61])
def test_names_that_cannot_stand_in_an_address(demo_db: Path, copies: Copies, name: str) -> None:
    with pytest.raises(HandlingError, match="cannot stand in an address"):
        front({name: demo_db}, ServedAt(), copies, print)


def test_none_can_be_served(tmp_path: Path, copies: Copies) -> None:
    with pytest.raises(HandlingError) as raised:
        front({"a": tmp_path / "a.db", "b": tmp_path / "b.db"}, ServedAt(), copies, print)
    assert "a.db: there is no such database" in str(raised.value)
    assert "b.db: there is no such database" in str(raised.value)
