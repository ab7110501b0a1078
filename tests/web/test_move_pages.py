"""Pages about moving, in process: what they say, their JSON, their manners; drawings and codes."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import segno

from handling_db.moving.answer import move_answer
from handling_db.moving.question import MoveQuestion
from handling_db.records.collection import Collection
from handling_db.web.drawings.plan_view import plan_view
from handling_db.web.drawings.qr import qr_code
from handling_db.web.serving import application
from tests.web.looks import json_beside, of_each_question, page_of

pytestmark = pytest.mark.anyio

PAGES = [
    "/moves",
    "/move/upper-half-lift",
    "/move/upper-half-lift?route=bay-to-store&lift_height=300+mm&slope=2+deg&unit=lb",
    "/move/gear-section?state=dry",
    "/move/gear-section?state=dry&assume=auxiliary-drive%3D19+kg+to+25+kg",
    "/move/differential-section?set=discs%3D12",
    "/hands/transfer-box?shop=quay-shed-nine",
    "/hands/transfer-box",
    "/hands/output-gear?horizontal=40&vertical=75&travel=30&asymmetry=0&per_minute=0.2&duration=short"
    "&coupling=poor&units=metric",
    "/move/upper-half-lift?scale=420+kg&scale_doubt=1+kg",
    "/fixtures/gear-section",
    "/shop/low-tarrowby/section-off-the-truck?before=quay-shed-nine",
    "/shop/low-tarrowby/gear-section",
]
PRINTS = ["/move/upper-half-lift/card", "/move/upper-half-lift/tag", "/move/gear-section/tag?state=dry"]


@pytest.mark.parametrize("path", PAGES)
async def test_page_answers_with_cautions_stamp_and_json(served: Any, path: str) -> None:
    assert await json_beside(served, await page_of(served, path))


@pytest.mark.parametrize("path", PAGES + PRINTS)
async def test_no_page_gives_permission(served: Any, path: str) -> None:
    text = re.sub(r"<[^>]+>", " ", (await served.client.get(path)).text)
    assert not re.search(r"\b(safe|ok|okay|allowed|permitted)\b", text, re.IGNORECASE)


@pytest.mark.parametrize("path", PRINTS)
async def test_print_stands_alone(served: Any, path: str) -> None:
    page = await served.client.get(path)
    assert page.status_code == 200
    assert 'style="' not in page.text
    assert page.text.count("<link") == 1
    assert "cards.css" in page.text
    assert re.search(r"stamp [0-9a-f]{8}", page.text)
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy


async def test_shop_page_shows_the_hoist_is_short_by_the_true_figures(served: Any) -> None:
    text = (await served.client.get("/shop/low-tarrowby/section-off-the-truck")).text
    rows = dict(re.findall(r'<tr><th scope="row">([^<]+)</th><td>([^<]+)</td>', text))
    true = rows["On the hook, fluid and rigging at their best figures, with 10 % for breaking loose"]
    assert true.startswith("510 kg")
    assert "above" in true
    assert "short by" in true
    printed = rows["By the printed figure 415 kg / 920 lb, with 10 % for breaking loose"]
    assert printed.startswith("471 kg")
    assert "below" in printed


def _drawn(code: str) -> str:
    """The squares of a code."""
    path = re.search(r' d="([^"]+)" stroke=', code) or re.search(r'stroke="#000" d="([^"]+)"', code)
    assert path
    return path[1]


async def test_code_of_a_tag_leads_to_the_move_page_at_the_public_address(demo_db: Path) -> None:
    """It led to the component, at whatever name the printer's browser had for the machine."""
    served = application(demo_db, base_url="/w/", public_url="https://bench.example/w/")
    for query in ("", "?job=qsn-1187"):
        text = (await served.client.get(f"/move/upper-half-lift/tag{query}")).text
        expected = qr_code(f"https://bench.example/w/move/upper-half-lift{query}", "x")
        assert _drawn(str(expected)) in text
        assert "in this network only" not in text
    card = (await served.client.get("/move/upper-half-lift/card")).text
    assert "newest: https://bench.example/w/move/upper-half-lift;" in card


@pytest.mark.parametrize("host", ["localhost:8001", "127.0.0.1:8001", "[::1]:8001"])
async def test_no_code_for_an_address_that_only_this_machine_knows(served: Any, host: str) -> None:
    text = (await served.client.get("/move/upper-half-lift/tag", headers={"host": host})).text
    assert "<svg" not in text
    assert "No code: only this machine knows the address of this page." in text
    card = (await served.client.get("/move/upper-half-lift/card", headers={"host": host})).text
    assert host not in card
    assert "newest" not in card


async def test_code_of_a_network_says_that_it_leads_there_only_within(served: Any) -> None:
    text = (await served.client.get("/move/upper-half-lift/tag", headers={"host": "192.0.2.7:8001"})).text
    assert _drawn(str(qr_code("http://192.0.2.7:8001/move/upper-half-lift", "x"))) in text
    assert "Newest figures, in this network only" in text


async def test_index_and_scale_are_said(served: Any) -> None:
    path = "/hands/output-gear?horizontal=40&vertical=75&travel=30&asymmetry=0&per_minute=0.2"
    text = (await served.client.get(f"{path}&duration=short&coupling=poor&units=metric")).text
    assert "Index 2.05: above 1.0" in text
    assert "two lifting together do not make the figure double" in text
    text = (await served.client.get("/move/upper-half-lift?scale=420+kg&scale_doubt=1+kg")).text
    assert "The scale showed 419.0 to 421.0 kg" in text
    assert "the scale is heavier" in text


async def test_what_a_weighed_whole_leaves_is_in_the_json(served: Any) -> None:
    """The same limits as the look-up of the piece: nobody weighed its auxiliary drive."""
    answer = (await served.client.get("/move/gear-section.json?state=dry")).json()
    looked_up = (await served.client.get("/component/gear-section.json?state=dry")).json()["states"][0]
    assert answer["gross"]["high"] == pytest.approx(looked_up["high_kg"])
    assert answer["gross"]["low"] == pytest.approx(looked_up["low_kg"])
    assert answer["missing"] == []


@pytest.mark.parametrize(
    ("path", "status", "words"),
    [
        ("/move/nothing", 404, "nothing"),
        ("/move/upper-half-lift?pallet=x", 404, "there is no pallet"),
        ("/move/upper-half-lift?lift_height=300", 400, "lift height"),
        ("/move/upper-half-lift?unit=stone", 400, "is not one of: kg, lb"),
        ("/move/upper-half-lift/card?face=x", 400, "no face goes by"),
        ("/move/nothing/tag", 404, "nothing"),
        ("/hands/transfer-box?shop=x", 404, "there is no shop"),
        ("/hands/output-gear?horizontal=40", 400, "is not one of: short, moderate, long"),
        (
            "/hands/output-gear?horizontal=x&duration=short&coupling=poor&units=metric",
            400,
            "is not a number; write it plain",
        ),
        (
            "/hands/output-gear?horizontal=40&duration=short&coupling=poor&units=metric",
            400,
            "is not recorded",
        ),
        ("/move/upper-half-lift?scale=420+kg", 400, "the doubt of the scale is not recorded"),
        ("/shop/x/transfer-box", 404, "there is no shop"),
    ],
)
async def test_wrong_questions_get_a_page_that_says_so(
    served: Any, path: str, status: int, words: str
) -> None:
    page = await served.client.get(path)
    assert page.status_code == status
    assert words in page.text


@pytest.mark.slow
async def test_links_honour_the_prefix(prefixed: Any) -> None:
    links: list[str] = []
    for path in ("/move/upper-half-lift", "/moves", "/hands/transfer-box"):  # the client adds the prefix
        links += re.findall(r'(?:href|action)="(/[^"]*)"', (await prefixed.client.get(path)).text)
    assert [link for link in links if not link.startswith("/w/")] == []
    for path in of_each_question(links):
        assert (await prefixed.client.get(path.removeprefix("/w"))).status_code == 200, path


def test_plan_view_is_to_scale(demo: Collection) -> None:
    """The 1200 x 800 pallet keeps its shape, and the scale bar its length."""
    drawing = str(plan_view(move_answer(demo, MoveQuestion(what="upper-half-lift"))))
    outline = re.search(r'<polygon class="outline" points="([^"]+)"', drawing)
    assert outline
    points = [tuple(map(float, pair.split(","))) for pair in outline[1].split()]
    wide, tall = (max(p[i] for p in points) - min(p[i] for p in points) for i in (0, 1))
    assert wide / tall == pytest.approx(1.5, abs=0.01)
    bar = re.search(r"v6h([\d.]+)v-6.*?>([\d]+) mm<", drawing)
    assert bar
    assert float(bar[1]) / float(bar[2]) == pytest.approx(wide / 1200, rel=0.01)
    assert drawing.count('class="fork"') == 2
    assert 'class="centre"' in drawing
    assert "style=" not in drawing


def test_plan_view_without_a_centre_says_so(demo: Collection) -> None:
    answer = move_answer(
        demo, MoveQuestion(what="upper-half-lift", packing="none", pallet="flat-pallet-tarrowby")
    )
    drawing = str(plan_view(answer))
    assert "centre of gravity not known" in drawing
    assert 'class="centre"' not in drawing


def test_nothing_is_drawn_where_nothing_is_recorded(demo: Collection) -> None:
    assert plan_view(move_answer(demo, MoveQuestion(what="parking-brake"))) is None


def test_code_is_the_same_as_the_librarys_and_has_a_quiet_zone() -> None:
    address = "http://shed.example/component/gear-section"
    code = segno.make_qr(address, error="m")
    drawn = str(qr_code(address, "to the page <b>"))
    side = code.symbol_size(border=4)[0]
    assert f'viewBox="0 0 {side} {side}"' in drawn
    assert "style=" not in drawn
    assert "<b>" not in drawn
