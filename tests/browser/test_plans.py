"""Planned jobs in a browser, at phone and desktop width, and the job sheet as pages of paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.test_view import CONTRAST, SMALL_TARGETS

pytestmark = pytest.mark.browser

PAGES = ["/plans", "/plan/transfer-box-apart"]


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


def test_from_the_list_to_the_sheet(page: Page, address: str) -> None:
    page.goto(f"{address}/plans")
    page.get_by_role("link", name="Transfer box taken apart").click()
    assert "Heaviest lift: step 9" in page.inner_text(".plan")
    page.get_by_role("link", name="Job sheet, to print").click()
    assert "Narrowest stand" in page.inner_text("h1")


def test_the_sheet_prints_on_a_few_pages_and_cuts_nothing_off(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{address}/plan/transfer-box-apart/sheet")
    for size in ("A4", "Letter"):
        printed = page.pdf(path=str(tmp_path / f"{size}.pdf"), format=size, prefer_css_page_size=True)
        assert 1 <= len(re.findall(rb"/Type\s*/Page\b", printed)) <= 3
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 733, "height": 1050})  # the width of A4 less its margins, at 96 dpi
    over = page.evaluate(
        "[...document.querySelectorAll('td, th, svg')].filter(e => e.getBoundingClientRect().right > 734).length"
    )
    assert over == 0
    context.close()
