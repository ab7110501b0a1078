"""Lift pages on a phone and a desktop, and the lift sheet on one page of A4 and of Letter, black only."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from tests.browser.test_view import CONTRAST, SMALL_TARGETS

pytestmark = pytest.mark.browser

PAGES = [
    "/lifts",
    "/lift/upper-half-lift",
    "/joint/section-joint",
    "/turn/turn-onto-front-face",
    "/turn/turn-onto-front-face?assume=auxiliary-drive%3D19+kg+to+25+kg",
]

SHEETS = ["upper-half-lift", "upper-half-with-brake", "whole-unit-lift", "lower-half"]


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(browser: Browser, address: str, path: str, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 844})
    page = context.new_page()
    page.goto(address + path)
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
    assert page.evaluate(CONTRAST) == []
    assert page.evaluate(SMALL_TARGETS) == []
    results = Axe().run(page)
    assert results.violations_count == 0, results.generate_report()
    context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("lift", SHEETS)
def test_sheet_prints_on_one_page_in_black(
    browser: Browser, address: str, lift: str, paper: str, tmp_path: Path
) -> None:
    page = browser.new_page()
    page.goto(f"{address}/lift/{lift}/sheet")
    page.emulate_media(media="print")
    colours = page.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.getClientRects().length)"
        ".flatMap(e => [getComputedStyle(e).color, getComputedStyle(e).fill])"
        ".filter(c => c.startsWith('rgb') && c !== 'rgb(0, 0, 0)' && c !== 'rgb(255, 255, 255)')"
    )
    assert colours == []
    pdf = tmp_path / "sheet.pdf"
    page.pdf(path=str(pdf), format=paper)
    told = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    assert "Pages:           1" in told
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    for words in (
        "Figures, not permission.",
        "a competent person plans the lift.",
        "Reading seen",
        "Only true today",
    ):
        assert words in text.stdout
    page.close()
