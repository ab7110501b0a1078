"""Pages about moving in a browser, at phone and desktop width: sizes, contrast, accessibility."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.looks import looks_right

pytestmark = pytest.mark.browser

PAGES = [
    "/moves",
    "/move/upper-half-lift",
    "/move/gear-section?state=dry",
    "/hands/transfer-box?shop=quay-shed-nine",
    "/fixtures/gear-section",
    "/shop/low-tarrowby/section-off-the-truck",
]


@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(tab: Page, address: str, path: str) -> None:
    looks_right(tab, address + path)


def test_from_the_list_to_the_card(page: Page, address: str) -> None:
    page.goto(f"{address}/moves")
    page.get_by_role("link", name="Upper half off the gear section").first.click()
    assert "plan with 415 kg (915 lb)" in page.inner_text(".plan")
    page.get_by_role("link", name="Move card, A5").click()
    assert "Move card: Upper half off the gear section" in page.inner_text("h1")
