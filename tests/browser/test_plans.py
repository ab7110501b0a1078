"""Planned jobs in a browser, at phone and desktop width, and the job sheet as pages of paper."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page

from tests.browser.looks import looks_right

pytestmark = pytest.mark.browser

PAGES = ["/plans", "/plan/transfer-box-apart"]


@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(tab: Page, address: str, path: str) -> None:
    looks_right(tab, address + path)


def test_from_the_list_to_the_sheet(page: Page, address: str) -> None:
    page.goto(f"{address}/plans")
    page.get_by_role("link", name="Transfer box taken apart").click()
    assert "Heaviest lift: step 9" in page.inner_text(".plan")
    page.get_by_role("link", name="Job sheet, to print").click()
    assert "Narrowest stand" in page.inner_text("h1")


def test_the_sheet_prints_on_a_few_pages_and_cuts_nothing_off(paper: Page, address: str) -> None:
    paper.goto(f"{address}/plan/transfer-box-apart/sheet")
    for size in ("A4", "Letter"):
        printed = paper.pdf(format=size, prefer_css_page_size=True)
        assert 1 <= len(re.findall(rb"/Type\s*/Page\b", printed)) <= 3
    paper.set_viewport_size({"width": 733, "height": 1050})  # the width of A4 less its margins, at 96 dpi
    over = paper.evaluate(
        "[...document.querySelectorAll('td, th, svg')].filter(e => e.getBoundingClientRect().right > 734).length"
    )
    assert over == 0
