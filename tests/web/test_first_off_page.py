"""The page of what comes off first, in process: its figures, its limits, its JSON, its manners; the drawing."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

import handling_db as hd
from handling_db.database.cache import LastAnswers
from handling_db.jobs.lighten.figures import LightenAnswer
from handling_db.web.drawings.under_limit import under_limit
from handling_db.web.pages import first_off
from handling_db.web.pages.first_off import _rows
from handling_db.web.serving import application
from tests.web.looks import json_beside, page_of, plain

pytestmark = pytest.mark.anyio

PARTED = "/lighten/section-broken-loose-tarrowby"
PAGES = [
    PARTED,
    f"{PARTED}?unit=lb",
    "/lighten/gear-section?limit=fork:tarrowby-reach-truck&load_centre=700+mm",
    "/lighten/saw-gearbox?limit=hands:quay-shed-nine",
    "/lighten/transfer-box?under=600+kg&state=drained",
    "/lighten/upper-half-lift?shop=low-tarrowby",
]


@pytest.mark.slow
@pytest.mark.parametrize("path", PAGES)
async def test_page_answers_with_cautions_stamp_and_json(served: Any, path: str) -> None:
    page = await page_of(served, path)
    assert not re.search(r"\b(safe|ok|okay|allowed|permitted)\b", plain(page), re.IGNORECASE)
    assert "limit" in await json_beside(served, page)


async def test_page_and_json_in_both_units_are_worked_out_once(
    demo_db: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    lighten = hd.lighten
    monkeypatch.setattr(first_off, "_worked", LastAnswers(2))
    monkeypatch.setattr(hd, "lighten", lambda *of, **more: (asked.append(of[1]), lighten(*of, **more))[1])
    client = application(demo_db).client
    path = "/lighten/saw-gearbox"
    found = [
        (await client.get(f"{path}{more}")).text
        for more in ("?under=30+kg", ".json?under=30+kg", "?under=30+kg&unit=lb")
    ]

    assert len(asked) == 1
    assert "at most 41 kg (90 lb)" in plain(found[0])
    assert "at most 90 lb (41 kg)" in plain(found[2])
    assert (await client.get(f"{path}?under=31+kg")).status_code == 200
    assert len(asked) == 2, "another limit is asked anew"


async def test_the_problem_of_the_second_shop(served: Any) -> None:
    text = plain((await served.client.get(PARTED)).text)

    assert "at most 511 kg (1125 lb) with the share for breaking loose: OVER by 11 kg" in text
    assert text.index("Job qsn-1187") < text.index("Everything on")
    assert "A KNIFE'S EDGE".replace("'", "&#39;") in text or "A KNIFE'S EDGE" in text
    assert "Parking brake caliper, then Rear output flange, then Parking brake disc off" in text
    assert text.count("22 turns") == 1  # in full once, then by name


async def test_a_mass_that_was_typed_goes_before_the_limit_that_was_chosen(served: Any) -> None:
    page = await served.client.get("/lighten/saw-gearbox.json?limit=hands:quay-shed-nine&under=30+kg")

    assert page.json()["limit"]["kind"] == "under"
    assert page.json()["limit"]["kg"] == 30.0


async def test_without_a_limit_the_page_asks_for_one(served: Any) -> None:
    page = await served.client.get("/lighten/gear-section")

    assert page.status_code == 200
    assert "choose a limit below, or write a mass" in page.text
    assert "hoist:tarrowby-jib" in page.text
    assert (await served.client.get("/lighten/gear-section.json")).status_code == 400


@pytest.mark.parametrize(
    ("path", "status", "told"),
    [
        ("/lighten/nothing-at-all", 404, "nothing-at-all"),
        ("/lighten/gear-section?limit=crane:x", 400, "is not one of: under, hoist"),
        ("/lighten/gear-section?under=600", 400, "has no unit"),
        ("/lighten/gear-section?under=6+kg&state=wet", 400, "is not one of: dry, drained, filled"),
        ("/lighten/gear-section?under=6+kg&break_loose=perhaps", 400, "is not one of: yes, no"),
    ],
)
async def test_what_cannot_be_answered_is_told(served: Any, path: str, status: int, told: str) -> None:
    page = await served.client.get(path)

    assert page.status_code == status
    assert told in plain(page.text).replace("&#39;", "'")


async def test_the_lift_leads_to_it(served: Any) -> None:
    page = await served.client.get("/lift/upper-half-lift")

    assert 'href="/lighten/upper-half-lift"' in page.text


async def test_the_shop_that_is_short_leads_to_it(served: Any) -> None:
    page = await served.client.get("/shop/low-tarrowby/section-off-the-truck")
    link = re.search(r'href="(/lighten/[^"]+)">Too heavy here', page.text)
    assert link
    assert link[1] == "/lighten/section-off-the-truck?shop=low-tarrowby"

    assert (await served.client.get(link[1])).status_code == 200


def test_each_range_ends_where_its_figure_lies_beside_the_limit(parted: LightenAnswer) -> None:
    """The line of the limit and the ends of the ranges, by the one scale they share."""
    drawing = str(under_limit(parted, _rows(parted)))
    line = float(re.search(r'class="stop" d="M([\d.]+)', drawing)[1])  # type: ignore[index]
    ranges = [
        (kind, float(x), float(wide))
        for kind, x, wide in re.findall(r'class="(expect|over)" x="([\d.]+)"[^>]*?width="([\d.]+)"', drawing)
    ]
    rests = [rest for _, rest in _rows(parted)]

    assert len(ranges) == len(rests)
    per_kg = {
        round((x + wide - line) / -rest.margin_kg, 3)
        for (_, x, wide), rest in zip(ranges, rests, strict=True)
        if rest.margin_kg is not None and abs(rest.margin_kg) > 5
    }
    assert max(per_kg) - min(per_kg) < 0.02
    assert [kind for kind, _, _ in ranges] == ["expect" if rest.under else "over" for rest in rests]
    for (_, x, wide), rest in zip(ranges, rests, strict=True):
        assert (x + wide <= line + 0.1) == rest.under
