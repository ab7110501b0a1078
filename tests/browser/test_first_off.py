"""What comes off first in a browser, at phone and desktop width: sizes, contrast, accessibility, the form."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.test_view import CONTRAST, SMALL_TARGETS

pytestmark = pytest.mark.browser

PAGES = [
    "/lighten/section-broken-loose-tarrowby",
    "/lighten/transfer-box?under=600+kg",
    "/lighten/gear-section",
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


def test_another_limit_from_the_form(page: Page, address: str) -> None:
    page.goto(f"{address}/lighten/upper-half-lift")
    page.locator("select[name=limit]").select_option("hoist:tarrowby-jib")
    page.locator("select[name=break_loose]").select_option("no")
    page.get_by_role("button", name="Work it out").click()
    assert "at most 388 kg (855 lb)" in page.inner_text(".plan")
    assert page.locator("select[name=limit]").input_value() == "hoist:tarrowby-jib"
