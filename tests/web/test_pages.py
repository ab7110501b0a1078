"""Every page of our own, in process: what it says, its JSON, its links and its manners."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.web.looks import json_beside, of_each_question, page_of

pytestmark = pytest.mark.anyio

PAGES = [
    "/",
    "/component/transfer-box",
    "/component/differential-section",
    "/component/auxiliary-drive",
    "/component/oil-charge",
    "/component/lock-clutch-pack?set=discs%3D12&state=dry",
    "/component/differential-section?without=parking-brake&unit=lb",
    "/find?q=rear",
    "/checker",
    "/notes",
    "/notes?kind=tie&q=pipe",
    "/fixtures",
    "/shops",
    "/sources",
    "/source/pt34-handbook",
    "/a-z",
    "/a-z?letter=T",
    "/words",
]


@pytest.mark.parametrize("path", PAGES)
async def test_page_answers_with_cautions_and_stamp(served: Any, path: str) -> None:
    await page_of(served, path)


@pytest.mark.parametrize("path", PAGES)
async def test_page_has_json_beside_it(served: Any, demo_db: Path, path: str) -> None:
    written = datetime.fromtimestamp(demo_db.stat().st_mtime).strftime("%Y-%m-%d %H:%M")
    page = await page_of(served, path)
    stamp = (await json_beside(served, page))["stamp"]
    assert stamp["stamp"] in page
    assert stamp["built"] == written
    assert f"built {written}; stamp" in page


async def test_component_says_the_planning_figure_and_the_conflict(served: Any) -> None:
    text = (await served.client.get("/component/differential-section")).text
    assert "Plan with 452 kg (995 lb)" in text
    assert "447.2 ± 3.8 kg (986.0 ± 8.3 lb)" in text
    assert "prints 415 kg / 920 lb, which disagrees with the parts" in text
    assert "23.9 to 36.0 kg" in text
    assert "two columns, one witness" in text.lower()


async def test_what_is_unknown_stands_in_the_headline(served: Any) -> None:
    text = (await served.client.get("/component/gear-section")).text
    figure = re.search(r'<p class="figure words">([^<]+)</p>', text)
    assert figure
    assert figure[1].startswith("Plan with 398 kg (877 lb) dry, 399 kg (879 lb) drained, at most 420 kg")
    assert "Inferred: nobody weighed Auxiliary drive; the weighed Transfer box leaves 12.7 to 31.8 kg" in text
    assert "one weighing, nothing checks it" in text


async def test_inferred_mass_says_so_in_json(served: Any) -> None:
    answer = (await served.client.get("/component/auxiliary-drive.json")).json()
    for state in answer["states"]:
        assert (state["low_kg"], state["high_kg"]) == (pytest.approx(12.74), pytest.approx(31.81))
        assert state["plan_kg"] == 31.9
        assert state["inferred"] is True
        assert state["rests_on_one_weighing"] == "844.0 kg"
        assert state["as_weighed_on_serial"] == "1187"
        assert state["u"] is None


async def test_json_names_the_three_doubts_apart(served: Any) -> None:
    state = (await served.client.get("/component/differential-section.json?state=dry")).json()["states"][0]
    assert state["half_width_worst"] == pytest.approx(3.78)
    assert state["half_width_rss"] == pytest.approx(1.0408, abs=1e-4)
    assert state["u"] == pytest.approx(0.6009, abs=1e-4)


async def test_what_if_by_address(served: Any) -> None:
    text = (await served.client.get("/component/differential-section?without=parking-brake")).text
    assert "Parking brake" in text
    assert "416.1 ± 3.6 kg" in text


async def test_shop_unit_first(served: Any) -> None:
    text = (await served.client.get("/component/differential-section?unit=lb")).text
    assert "Plan with 995 lb (452 kg)" in text


async def test_stored_energy_first_whatever_the_filter(served: Any) -> None:
    text = (await served.client.get("/notes?kind=tie")).text
    assert 0 < text.index("stored energy</span>") < text.index(">tie</span>")


@pytest.mark.parametrize(
    ("path", "status", "words"),
    [
        ("/component/no-such-thing", 404, "there is no piece"),
        ("/component/transfer-box?state=wet", 400, "is not one of: dry, drained, filled"),
        ("/component/lock-clutch-pack?set=discs%3D13", 400, "4 to 12"),
        ("/component/lock-clutch-pack?set=nonsense%3D1", 400, "has no parameter"),
        ("/component/transfer-box?without=no-such-thing", 404, "no-such-thing"),
        ("/source/no-such-thing", 404, "no-such-thing"),
    ],
)
async def test_wrong_questions_get_a_page_that_says_so(
    served: Any, path: str, status: int, words: str
) -> None:
    response = await served.client.get(path)
    assert response.status_code == status
    assert words in response.text
    json_path = path.replace("?", ".json?") if "?" in path else f"{path}.json"
    answer = await served.client.get(json_path)
    assert answer.status_code == status
    assert "error" in answer.json()


@pytest.mark.slow
async def test_links_honour_the_prefix(prefixed: Any) -> None:
    # The client in process puts the prefix before every path itself.
    text = (await prefixed.client.get("/component/differential-section")).text
    links = re.findall(r'(?:href|action)="(/[^"]*)"', text)
    assert links
    assert [link for link in links if not link.startswith("/w/")] == []
    paths = of_each_question(links)  # of eight numbers of discs one
    assert len(paths) > 40
    for path in (path.removeprefix("/w") for path in paths):
        assert (await prefixed.client.get(path)).status_code == 200, path


async def test_index_has_other_names_and_part_numbers(served: Any) -> None:
    text = (await served.client.get("/a-z")).text
    names = re.findall(
        r'<a href="/component/[^"]+"><span>([^<]+)</span>', text.partition('id="part-numbers"')[0]
    )
    assert names == sorted(names, key=str.casefold)
    assert '<a href="/component/differential-section"><span>rear half</span>' in text
    assert '<a href="/lift/upper-half-lift"><span>Upper half off the gear section</span>' in text
    answer = (await served.client.get("/a-z.json?letter=t")).json()
    assert {name["name"][0].upper() for name in answer["names"]["T"]} == {"T"}
    assert (await served.client.get("/a-z?letter=%C3%9F")).status_code == 400


async def test_a_long_index_has_a_page_a_letter(served: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from handling_db.web.plain import index

    monkeypatch.setattr(index, "LONGEST", 10)
    text = (await served.client.get("/a-z?x=1")).text
    assert 'href="/a-z?letter=T"' in text
    assert "/component/" not in text
    assert "Transfer box" in (await served.client.get("/a-z?letter=T&x=1")).text


async def test_what_is_found_and_notes_name_a_unit_in_hand(served: Any) -> None:
    told = "Job qsn-1187, serial 1187: still in 4 x through-bolts M10"

    for path in ("/find?q=drive", "/notes?component=transfer-box"):
        assert told in (await served.client.get(path)).text, path
        beside = (await served.client.get(path.replace("?", ".json?"))).json()
        assert [job["id"] for job in beside["jobs"]] == ["qsn-1187"]
    assert told not in (await served.client.get("/notes")).text, "it is about no piece"
