"""The view in a browser, at phone and desktop width: sizes, contrast, keyboard, print, accessibility."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

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

# Contrast of every text with its background, by the formula of WCAG 2.2, "contrast ratio".
CONTRAST = """() => {
  const channel = v => { v /= 255; return v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  const light = c => 0.2126 * channel(c[0]) + 0.7152 * channel(c[1]) + 0.0722 * channel(c[2]);
  const read = text => text.match(/[\\d.]+/g).map(Number);
  const behind = el => {
    for (let e = el; e; e = e.parentElement) {
      const c = read(getComputedStyle(e).backgroundColor);
      if (c.length < 4 || c[3] > 0) return c;
    }
    return [255, 255, 255];
  };
  const low = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const el = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || !el.getClientRects().length) continue;
    if (['SCRIPT', 'STYLE', 'TITLE'].includes(el.tagName)) continue;
    const style = getComputedStyle(el);
    const ink = light(read(el.closest('svg') ? style.fill : style.color));
    const paper = light(behind(el.closest('svg') || el));
    const ratio = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
    if (ratio < 7) low.push([walk.currentNode.textContent.trim().slice(0, 40), ratio]);
  }
  return low;
}"""

# Everything that can be tapped, with its size; links inside running sentences are exempt (WCAG 2.5.8).
SMALL_TARGETS = """() => [...document.querySelectorAll('a, button, summary, input, select')]
  .filter(e => e.getClientRects().length && !e.closest('p, dd, .skip'))
  .map(e => [e.tagName, e.textContent.trim().slice(0, 40), e.getBoundingClientRect()])
  .filter(([t, x, r]) => r.height < 47.5)
  .map(([t, x, r]) => `${t} ${x} ${r.width}x${r.height}`)"""


@pytest.fixture(params=[390, 1280], ids=["phone", "desktop"])
def page(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": request.param, "height": 844}, java_script_enabled=True)
    opened = context.new_page()
    yield opened
    context.close()


@pytest.mark.parametrize("path", PAGES)
def test_page_fits_reads_and_can_be_tapped(page: Page, address: str, path: str) -> None:
    """No sideways scrolling, 18 px text, contrast 7:1, targets of 48 px, no accessibility violations."""
    page.goto(address + path)
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0
    assert page.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") >= 18
    assert page.evaluate(CONTRAST) == []
    assert page.evaluate(SMALL_TARGETS) == []
    results = Axe().run(page)
    assert results.violations_count == 0, results.generate_report()


@pytest.mark.parametrize("path", PAGES)
def test_page_needs_no_script(browser: Browser, address: str, path: str) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    opened = context.new_page()
    asked: list[str] = []
    opened.on("request", lambda request: asked.append(request.url))
    response = opened.goto(address + path)
    assert response is not None
    assert response.status == 200
    assert opened.locator("h1").is_visible()
    assert [url for url in asked if not url.startswith(address)] == []
    context.close()


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


def test_print_is_one_black_sheet(browser: Browser, address: str, tmp_path: Path) -> None:
    """The page of a small part prints on one sheet, with cautions and stamp, in black only."""
    context = browser.new_context()
    opened = context.new_page()
    opened.goto(f"{address}/component/lock-clutch-pack")
    opened.emulate_media(media="print")
    assert (
        opened.evaluate(
            "[...document.querySelectorAll('main *')].filter(e => e.getClientRects().length)"
            ".map(e => getComputedStyle(e).color).filter(c => !/^rgb\\((0, 0, 0|22, 24, 26)\\)$/.test(c))"
        )
        == []
    )
    pdf = tmp_path / "sheet.pdf"
    opened.pdf(path=str(pdf), format="A4")
    told = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    assert "Pages:           1" in told
    text = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    assert "Figures, not permission" in text
    assert "stamp" in text
    context.close()
