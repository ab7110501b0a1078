"""What every page is held to, whatever it shows: sizes, contrast, targets, accessibility; and a page as printed."""

from __future__ import annotations

import subprocess
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe, AxeResults
from playwright.sync_api import Page, ViewportSize

PHONE: ViewportSize = {"width": 390, "height": 844}
DESK: ViewportSize = {"width": 1280, "height": 844}
WINDOW: ViewportSize = {"width": 1280, "height": 720}  # what is printed from

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

TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


AXE = Axe()
RUN = "options => axe.run(options)"
VIOLATIONS = {"resultTypes": ["violations"]}
# The colours of a page are the same at every width, and a third of the work.
WITHOUT_COLOURS = {**VIOLATIONS, "rules": {"color-contrast": {"enabled": False}}}


def looks_right(tab: Page, address: str) -> None:
    """As wide as a phone and then as a desk: no page of ours has a script that could tell how it was opened.

    No sideways scrolling, 18 px text, contrast 7:1, targets of 48 px, no accessibility violations.
    """
    tab.set_viewport_size(PHONE)
    tab.goto(address)
    tab.evaluate(AXE.axe_script)
    for size, rules in ((PHONE, VIOLATIONS), (DESK, WITHOUT_COLOURS)):
        tab.set_viewport_size(size)
        assert tab.evaluate(TOO_WIDE) <= 0, size
        assert tab.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") >= 18, size
        assert tab.evaluate(CONTRAST) == [], size
        assert tab.evaluate(SMALL_TARGETS) == [], size
        results = AxeResults(tab.evaluate(RUN, rules))
        assert results.violations_count == 0, (size, results.generate_report())


def of_paper(pdf: Path) -> tuple[str, str]:
    """What pdfinfo says of a print, and its words."""
    told = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    return told, " ".join(text.stdout.split())
