"""The cards in a browser: each prints on one sheet of its own size, black only, with what it has to say."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from playwright.sync_api import Page, Request

from tests.browser.looks import WINDOW, of_paper

pytestmark = pytest.mark.browser

NOT_BLACK = """() => [...document.querySelectorAll('body *')]
  .filter(e => e.getClientRects().length)
  .flatMap(e => { const s = getComputedStyle(e);
    return e.closest('svg') ? [s.fill, s.stroke].filter(c => c !== 'none') : [s.color]; })
  .filter(c => !['rgb(0, 0, 0)', 'rgb(255, 255, 255)'].includes(c))"""


@dataclass(frozen=True)
class Print:
    """What pdfinfo and pdftotext say of a print, colours that are not black, and requests elsewhere."""

    told: str
    text: str
    colours: list[str]
    elsewhere: list[str]


@pytest.fixture(scope="module")
def printed(tab: Page, address: str, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Print]:
    """Prints the page at an address, once however many ask."""
    room = tmp_path_factory.mktemp("prints")

    @functools.cache
    def print_of(path: str) -> Print:
        asked: list[str] = []

        def note(request: Request) -> None:
            asked.append(request.url)

        tab.on("request", note)
        tab.set_viewport_size(WINDOW)
        response = tab.goto(f"{address}/{path}")
        assert response is not None
        assert response.status == 200
        tab.emulate_media(media="print")
        colours = tab.evaluate(NOT_BLACK)
        tab.pdf(path=str(room / "print.pdf"), prefer_css_page_size=True)
        tab.emulate_media(media="null")
        tab.remove_listener("request", note)
        assert asked
        told, text = of_paper(room / "print.pdf")
        return Print(told, text, colours, [url for url in asked if not url.startswith(address)])

    return print_of


CARDS = [
    ("move/upper-half-lift/card", (148, 210)),
    ("move/upper-half-lift/card?route=bay-to-store&lift_height=300+mm&carried_at=150+mm", (148, 210)),
    ("move/upper-half-lift/tag", (105, 148)),
    ("move/upper-half-lift/tag?job=qsn-1187", (105, 148)),
    ("move/gear-section/card?state=dry", (148, 210)),
    ("move/gear-section/tag?state=dry", (105, 148)),
]


@pytest.mark.parametrize(("path", "size"), CARDS)
def test_card_prints_on_one_sheet(printed: Callable[[str], Print], path: str, size: tuple[int, int]) -> None:
    card = printed(path)
    assert "Pages:           1" in card.told, card.told
    wide, high = (float(value) for value in card.told.split("Page size:")[1].split("pts")[0].split("x"))
    assert (wide * 25.4 / 72, high * 25.4 / 72) == pytest.approx(size, abs=0.5)
    assert card.colours == []
    assert card.elsewhere == []
    assert "Figures, not permission" in card.text
    assert "stamp" in card.text


def test_move_card_says_gross_truck_edge_and_what_is_open(printed: Callable[[str], Print]) -> None:
    text = printed("move/upper-half-lift/card").text
    assert "Gross: plan with 415 kg (915 lb)" in text
    assert "1250 kg" in text
    assert "1347 kg" in text
    assert "best figures, level floor: 52.9°" in text
    assert "4 x through-bolts M10" in text
    assert "The plate governs" in text


def test_cards_of_a_piece_that_other_weighings_bound_plan_with_that(
    printed: Callable[[str], Print],
) -> None:
    for kind in ("card", "tag"):
        text = printed(f"move/gear-section/{kind}?state=dry").text
        assert "398 kg (877 lb)" in text
        assert "369" not in text, "what is known of it alone is no plan"


def test_lift_sheet_card_and_tag_are_one_set_with_one_stamp(printed: Callable[[str], Print]) -> None:
    paths = ("lift/upper-half-lift/sheet", "move/upper-half-lift/card", "move/upper-half-lift/tag")
    found = [re.findall(r"stamp ([0-9a-f]{12})", printed(path).text) for path in paths]
    assert all(found)
    assert len({stamp for stamps in found for stamp in stamps}) == 1
