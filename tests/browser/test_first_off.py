"""What comes off first in a browser, at phone and desktop width: sizes, contrast, accessibility, the form."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.looks import looks_right

pytestmark = pytest.mark.browser

PAGES = [
    "/lighten/section-broken-loose-tarrowby",
    "/lighten/transfer-box?under=600+kg",
    "/lighten/gear-section",
]


@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(tab: Page, address: str, path: str) -> None:
    looks_right(tab, address + path)


def test_another_limit_from_the_form(page: Page, address: str) -> None:
    page.goto(f"{address}/lighten/upper-half-lift")
    page.locator("select[name=limit]").select_option("hoist:tarrowby-jib")
    page.locator("select[name=break_loose]").select_option("no")
    page.get_by_role("button", name="Work it out").click()
    assert "at most 388 kg (855 lb)" in page.inner_text(".plan")
    assert page.locator("select[name=limit]").input_value() == "hoist:tarrowby-jib"
