"""The plain copy opened from its files in a real browser, as on a phone without signal: every link is followed."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urldefrag

import pytest
from playwright.sync_api import Browser, Page

from handling_db.web.plain.folder import copy_view
from tests.browser.looks import PHONE

pytestmark = pytest.mark.browser

# Links within a drawing have no plain `href`.
ALL_LINKS = """() => [...document.querySelectorAll('a[href]')]
  .map(a => new URL(a.getAttribute('href'), location.href).href)"""
SHOWN = "mark => { const e = document.getElementById(mark); return !!e && e.getClientRects().length > 0; }"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from handling_db.database.building import build_with_bar

    room = tmp_path_factory.mktemp("card")
    build_with_bar([Path(__file__).resolve().parents[1] / "attacks" / "local.yml"], room / "small.db")
    copy_view(room / "small.db", room / "the view", "https://bench.example/weights/")
    return room / "the view"


def test_every_link_is_followed_from_file_to_file(browser: Browser, folder: Path) -> None:
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    failed: list[str] = []
    page.on("requestfailed", lambda request: failed.append(request.url))
    page.on("pageerror", lambda error: failed.append(str(error)))
    elsewhere: list[str] = []
    page.on("request", lambda request: elsewhere.append(request.url))
    waiting, seen = [(folder / "index.html").as_uri()], set()
    marks: set[str] = set()
    while waiting:
        address = waiting.pop()
        if address in seen:
            continue
        seen.add(address)
        page.goto(address)
        assert page.title(), address
        assert page.evaluate("() => document.documentElement.scrollWidth") <= 390, address
        for link in page.evaluate(ALL_LINKS):
            if link.startswith("file:"):
                file, mark = urldefrag(link)
                waiting.append(file)
                if mark:
                    marks.add(link)
    written = {file.as_uri() for file in folder.rglob("*.html")}
    assert seen == written, "every page is reached, and nothing else"
    assert failed == []
    assert [url for url in elsewhere if not url.startswith("file:")] == []
    assert len(marks) > 5
    for link in sorted(marks)[:12]:
        page.goto("about:blank")
        page.goto(link)
        assert page.evaluate(SHOWN, urldefrag(link)[1]), link
    context.close()


def test_looks_as_the_view_does_and_two_taps_lead_to_a_hook_figure(phone: Page, folder: Path) -> None:
    phone.goto((folder / "index.html").as_uri())
    assert phone.locator("nav.bar a").count() == 5
    assert phone.evaluate("() => getComputedStyle(document.querySelector('nav.bar')).position") == "fixed"
    phone.locator("nav.bar a", has_text="Lifts").click()
    phone.locator("main a[href*='lift/']").first.click()
    assert "kg" in phone.locator("main").inner_text()
    phone.locator("nav.bar a", has_text="Find").click()
    assert phone.locator("h1").inner_text() == "A to Z"
