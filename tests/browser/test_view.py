"""The view in a browser, at phone and desktop width: sizes, contrast, keyboard, print, accessibility."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, Request

from tests.browser.looks import looks_right, of_paper

pytestmark = pytest.mark.browser

PAGES = [
    "/",
    "/component/differential-section",
    "/component/transfer-box",
    "/component/auxiliary-drive",
    "/component/rear-cover",
    "/component/gear-section",
    "/component/differential-section?build=long+frame&state=dry&unit=lb",
    "/component/lock-clutch-pack?set=discs%3D12",
    "/find?q=rear",
    "/checker",
    "/notes",
    "/fixtures",
    "/shops",
    "/sources",
    "/source/pt34-handbook",
    "/source/quay-floor-scale",
]


@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(tab: Page, address: str, path: str) -> None:
    looks_right(tab, address + path)


@pytest.mark.parametrize("path", PAGES)
def test_page_needs_no_script(scriptless: Page, address: str, path: str) -> None:
    asked: list[str] = []

    def note(request: Request) -> None:
        asked.append(request.url)

    scriptless.on("request", note)
    response = scriptless.goto(address + path)
    scriptless.remove_listener("request", note)
    assert response is not None
    assert response.status == 200
    assert scriptless.locator("h1").is_visible()
    assert address + path in asked
    assert [url for url in asked if not url.startswith(address)] == []


def test_walk_by_search_and_links(page: Page, address: str) -> None:
    """From the search box to the part nobody weighed, by tapping."""
    page.goto(address)
    page.get_by_role("searchbox").fill("rear half")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="Differential section").first.click()
    assert "Plan with 452 kg (995 lb)" in page.inner_text("main")
    page.get_by_role("link", name="Dry", exact=True).click()
    assert "dry" in page.inner_text(".plan").lower()
    page.locator("summary", has_text="For the data keeper").click()
    page.locator("summary", has_text="What it goes into").click()
    page.get_by_role("link", name="Transfer box").first.click()
    page.locator("summary", has_text="What it is made of").click()
    page.locator("summary", has_text="Gear section").click()
    page.get_by_role("link", name="Auxiliary drive").first.click()
    assert "nobody weighed it" in page.inner_text("main").lower()


def test_tree_opens_by_keyboard(page: Page, address: str) -> None:
    page.goto(f"{address}/component/transfer-box")
    first = page.locator("summary").first
    first.focus()
    page.keyboard.press("Enter")
    assert page.locator("details[open]").count() == 1


def test_print_is_one_black_sheet(paper: Page, address: str, tmp_path: Path) -> None:
    """The page of a small part prints on one sheet, with cautions and stamp, in black only."""
    paper.goto(f"{address}/component/lock-clutch-pack")
    assert (
        paper.evaluate(
            "[...document.querySelectorAll('main *')].filter(e => e.getClientRects().length)"
            ".map(e => getComputedStyle(e).color).filter(c => !/^rgb\\((0, 0, 0|22, 24, 26)\\)$/.test(c))"
        )
        == []
    )
    pdf = tmp_path / "sheet.pdf"
    paper.pdf(path=str(pdf), format="A4")
    told, text = of_paper(pdf)
    assert "Pages:           1" in told
    assert "Figures, not permission" in text
    assert "stamp" in text
