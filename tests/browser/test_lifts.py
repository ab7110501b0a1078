"""Lift pages on a phone and a desktop, and the lift sheet on both sides of one sheet, A4 and Letter, black only."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.looks import looks_right

pytestmark = pytest.mark.browser

PAGES = [
    "/lifts",
    "/lift/upper-half-lift",
    "/joint/section-joint",
    "/turn/turn-onto-front-face",
    "/turn/turn-onto-front-face?assume=auxiliary-drive%3D19+kg+to+25+kg",
]

SHEETS = ["upper-half-lift", "upper-half-with-brake", "whole-unit-lift", "lower-half"]


@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(page: Page, address: str, path: str) -> None:
    page.goto(address + path)
    looks_right(page)


def side(pdf: Path, number: int) -> str:
    """The words of one page of a print."""
    asked = ["pdftotext", "-layout", "-f", str(number), "-l", str(number), str(pdf), "-"]
    return subprocess.run(asked, capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("lift", SHEETS)
def test_sheet_prints_on_both_sides_of_one_in_black(
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
    assert "Pages:           2" in told
    front, back = (side(pdf, number) for number in (1, 2))
    for words in (
        "Figures, not permission.",
        "a competent person plans the lift.",
        "Reading seen",
        "Only true today",
        "What still holds it",
    ):
        assert words in front
    for words in ("Figures, not permission.", "how it hangs", "From the hook down", "stamp"):
        assert words in back
    # letters of the two pictures at least 3 mm high, to be read at arm's length
    tall = page.evaluate("[...document.querySelectorAll('.sketch svg')].map(e => 15 * e.getScreenCTM().a)")
    assert [size for size in tall if size < 3.0 / 25.4 * 96] == []
    page.close()
