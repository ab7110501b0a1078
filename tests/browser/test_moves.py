"""Pages about moving in a browser, at phone and desktop width: sizes, contrast, accessibility."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.test_view import CONTRAST, SMALL_TARGETS

pytestmark = pytest.mark.browser

PAGES = [
    "/moves",
    "/move/upper-half-lift",
    "/move/gear-section?state=dry",
    "/hands/transfer-box?shop=quay-shed-nine",
    "/fixtures/gear-section",
    "/shop/low-tarrowby/section-off-the-truck",
]


@pytest.fixture(params=[390, 1280], ids=["phone", "desktop"])
def page(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": request.param, "height": 844})
    opened = context.new_page()
    yield opened
    context.close()


@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(page: Page, address: str, path: str) -> None:
    page.goto(address + path)
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0
    assert page.evaluate(CONTRAST) == []
    assert page.evaluate(SMALL_TARGETS) == []
    results = Axe().run(page)
    assert results.violations_count == 0, results.generate_report()


def test_from_the_list_to_the_card(page: Page, address: str) -> None:
    page.goto(f"{address}/moves")
    page.get_by_role("link", name="Upper half off the gear section").first.click()
    assert "plan with 415 kg (915 lb)" in page.inner_text(".plan")
    page.get_by_role("link", name="Move card, A5").click()
    assert "Move card: Upper half off the gear section" in page.inner_text("h1")
