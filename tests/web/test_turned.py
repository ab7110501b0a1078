"""Long lists are turned over: every row stands on one leaf, none is lost, and a short list has no leaves."""

from __future__ import annotations

import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from datasette.utils import MultiParams

from handling_db.database.build import build_database
from handling_db.web.serving import application
from handling_db.web.turned import leaf

UNIT = """
- {{component: u{n:03}, name: Unit {n:03}, kind: assembly, parts listed: all, parts: [{{component: p{n:03}, quantity: 1}}]}}
- {{component: p{n:03}, name: Part {n:03}, kind: part}}
- {{lift group: l{n:03}, name: Lift {n:03}, root: u{n:03}, takes: [[p{n:03}]]}}
- {{joint: j{n:03}, name: Joint {n:03}, within: u{n:03}, between: [u{n:03}, p{n:03}]}}
- {{note: n{n:03}, about: {{component: p{n:03}}}, kind: {kind}, text: turn it, told by: shop, author: fitter,
   on: 2026-04-02, status: draft{more}}}
"""
COUNT = 230


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder = tmp_path_factory.mktemp("many")
    energy = ", hazard: it flies, exposed: hands, attitude: any"
    texts = [
        UNIT.format(n=n, kind="stored energy" if n % 4 == 0 else "order", more=energy if n % 4 == 0 else "")
        for n in range(COUNT)
    ]
    (folder / "records.yml").write_text("".join(texts), encoding="utf-8")
    build_database([folder / "records.yml"], folder / "many.db")
    return application(folder / "many.db")


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


async def leaves(served: Any, path: str) -> list[str]:
    """The texts of a page and of all that follow it, by the links a reader takes."""
    texts: list[str] = []
    while path:
        response = await served.client.get(path)
        assert response.status_code == 200, response.text[:300]
        texts.append(response.text)
        following = re.search(r'rel="next" href="([^"]+)"', response.text)
        path = following[1].replace("&amp;", "&") if following else ""
        assert len(texts) < 60
    return texts


@pytest.mark.slow
@pytest.mark.anyio
async def test_every_lift_and_joint_stands_on_one_leaf(many: Any) -> None:
    texts = await leaves(many, "/lifts")
    assert len(texts) == 10
    for kind in "lj":
        path = {"l": "lift", "j": "joint"}[kind]
        found = [code for text in texts for code in re.findall(rf'href="/{path}/({kind}\d+)"', text)]
        assert found == [f"{kind}{n:03}" for n in range(COUNT)]
    assert all("on its page" not in text for text in texts)  # each has its figure


@pytest.mark.anyio
async def test_every_note_stands_on_a_leaf_with_stored_energy_first(many: Any) -> None:
    texts = await leaves(many, "/notes")
    assert len(texts) == 2
    seen = {code for text in texts for code in re.findall(r'id="note-(n\d+)"', text)}
    urgent = [f"n{n:03}" for n in range(0, COUNT, 4)]
    assert seen == {f"n{n:03}" for n in range(COUNT) if n % 4} | set(urgent[:40])
    for text in texts:
        assert re.findall(r'id="note-(n\d+)"', text)[:40] == urgent[:40]
        assert "18 more notes on stored energy" in text
    alone = await leaves(many, "/notes?kind=stored+energy")
    assert [code for text in alone for code in re.findall(r'id="note-(n\d+)"', text)] == urgent


@pytest.mark.anyio
async def test_every_finding_stands_on_one_leaf_and_programs_get_all(many: Any) -> None:
    texts = await leaves(many, "/checker")
    every = (await many.client.get("/checker.json")).json()["findings"]
    assert len(every) > 400
    assert sum(text.count('class="said') for text in texts) == len(every)
    assert len(texts) == -(-len(every) // 200)


def test_a_leaf_that_is_not_there_is_the_nearest() -> None:
    def asked(page: str, **more: str) -> Any:
        return SimpleNamespace(
            args=MultiParams({"page": [page], **{name: [text] for name, text in more.items()}})
        )

    for text, number in (("1", 1), ("3", 3), ("9", 3), ("0", 1), ("-1", 1), ("x", 1), ("9" * 50, 1), ("", 1)):
        assert leaf(asked(text), "/notes", 250, 100).number == number
    assert leaf(asked("2", q="a b"), "/notes", 250, 100).before == "?q=a+b"
    assert leaf(asked("2", q="a b"), "/notes", 250, 100).after == "?q=a+b&page=3"
    assert leaf(asked("1"), "/notes", 0, 100).of == 1


@pytest.mark.anyio
async def test_the_demo_has_no_leaves(demo_db: Path) -> None:
    served = application(demo_db)
    for path in ("/lifts", "/notes", "/checker"):
        assert "Page 1 of" not in (await served.client.get(path)).text
