"""Lift pages on a phone and a desktop, and the lift sheet on both sides of one sheet, A4 and Letter, black only."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Page

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
def test_page_fits_reads_and_can_be_tapped(tab: Page, address: str, path: str) -> None:
    looks_right(tab, address + path)


def sides_of(pdf: Path) -> list[str]:
    """The words of a print, page by page: each ends with a form feed."""
    asked = ["pdftotext", "-layout", str(pdf), "-"]
    text = subprocess.run(asked, capture_output=True, text=True, check=True).stdout
    assert text.endswith("\f")
    return text[:-1].split("\f")


@pytest.mark.parametrize("lift", SHEETS)
def test_sheet_prints_on_both_sides_of_one_in_black(
    paper: Page, address: str, lift: str, tmp_path: Path
) -> None:
    paper.goto(f"{address}/lift/{lift}/sheet")
    colours = paper.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.getClientRects().length)"
        ".flatMap(e => [getComputedStyle(e).color, getComputedStyle(e).fill])"
        ".filter(c => c.startsWith('rgb') && c !== 'rgb(0, 0, 0)' && c !== 'rgb(255, 255, 255)')"
    )
    assert colours == []
    # letters of the two pictures at least 3 mm high, to be read at arm's length
    tall = paper.evaluate("[...document.querySelectorAll('.sketch svg')].map(e => 15 * e.getScreenCTM().a)")
    assert [size for size in tall if size < 3.0 / 25.4 * 96] == []
    for size in ("A4", "Letter"):
        pdf = tmp_path / f"{size}.pdf"
        paper.pdf(path=str(pdf), format=size)
        sides = sides_of(pdf)
        assert len(sides) == 2, size
        front, back = sides
        for words in (
            "Figures, not permission.",
            "a competent person plans the lift.",
            "Reading seen",
            "Only true today",
            "What still holds it",
        ):
            assert words in front, size
        for words in ("Figures, not permission.", "how it hangs", "From the hook down", "stamp"):
            assert words in back, size
