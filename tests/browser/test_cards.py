"""The cards in a browser: each prints on one sheet of its own size, black only, with what it has to say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.looks import of_paper

pytestmark = pytest.mark.browser

NOT_BLACK = """() => [...document.querySelectorAll('body *')]
  .filter(e => e.getClientRects().length)
  .flatMap(e => { const s = getComputedStyle(e);
    return e.closest('svg') ? [s.fill, s.stroke].filter(c => c !== 'none') : [s.color]; })
  .filter(c => !['rgb(0, 0, 0)', 'rgb(255, 255, 255)'].includes(c))"""


def printed(browser: Browser, address: str, folder: Path) -> tuple[str, str, list[str], list[str]]:
    """What pdfinfo and pdftotext say of a print, colours that are not black, and requests elsewhere."""
    context = browser.new_context()
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    response = page.goto(address)
    assert response is not None
    assert response.status == 200
    page.emulate_media(media="print")
    colours = page.evaluate(NOT_BLACK)
    pdf = folder / "print.pdf"
    page.pdf(path=str(pdf), prefer_css_page_size=True)
    context.close()
    told, text = of_paper(pdf)
    base = "/".join(address.split("/")[:3])
    return told, text, colours, [url for url in asked if not url.startswith(base)]


CARDS = [
    ("move/upper-half-lift/card", (148, 210)),
    ("move/upper-half-lift/card?route=bay-to-store&lift_height=300+mm&carried_at=150+mm", (148, 210)),
    ("move/upper-half-lift/tag", (105, 148)),
    ("move/upper-half-lift/tag?job=qsn-1187", (105, 148)),
    ("move/gear-section/card?state=dry", (148, 210)),
    ("move/gear-section/tag?state=dry", (105, 148)),
]


@pytest.mark.parametrize(("path", "size"), CARDS)
def test_card_prints_on_one_sheet(
    browser: Browser, address: str, tmp_path: Path, path: str, size: tuple[int, int]
) -> None:
    told, text, colours, elsewhere = printed(browser, f"{address}/{path}", tmp_path)
    assert "Pages:           1" in told, told
    wide, high = (float(value) for value in told.split("Page size:")[1].split("pts")[0].split("x"))
    assert (wide * 25.4 / 72, high * 25.4 / 72) == pytest.approx(size, abs=0.5)
    assert colours == []
    assert elsewhere == []
    assert "Figures, not permission" in text
    assert "stamp" in text


def test_move_card_says_gross_truck_edge_and_what_is_open(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    _, text, _, _ = printed(browser, f"{address}/move/upper-half-lift/card", tmp_path)
    assert "Gross: plan with 415 kg (915 lb)" in text
    assert "1250 kg" in text
    assert "1347 kg" in text
    assert "best figures, level floor: 52.9°" in text
    assert "4 x through-bolts M10" in text
    assert "The plate governs" in text


def test_cards_of_a_piece_that_other_weighings_bound_plan_with_that(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    for kind in ("card", "tag"):
        _, text, _, _ = printed(browser, f"{address}/move/gear-section/{kind}?state=dry", tmp_path)
        assert "398 kg (877 lb)" in text
        assert "369" not in text, "what is known of it alone is no plan"


def test_lift_sheet_card_and_tag_are_one_set_with_one_stamp(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    found = []
    for path in ("lift/upper-half-lift/sheet", "move/upper-half-lift/card", "move/upper-half-lift/tag"):
        _, text, _, _ = printed(browser, f"{address}/{path}", tmp_path)
        found.append(re.findall(r"stamp ([0-9a-f]{12})", text))
    assert all(found)
    assert len({stamp for stamps in found for stamp in stamps}) == 1
