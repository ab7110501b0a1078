"""The whole view from the start page, by tapping: no orphan, two taps to each question, lengths, words, labels.

One browser page goes through everything once; each test looks at what was found on the way.
"""

from __future__ import annotations

import re
import sqlite3
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import AxeResults
from playwright.sync_api import Page, expect

from handling_db.web import _routes
from tests.browser.looks import AXE, CONTRAST, PHONE, RUN, SMALL_TARGETS, WITHOUT_COLOURS

pytestmark = pytest.mark.browser

SCREEN = PHONE["height"]
EACH = 3  # pages of one kind that the crawl opens; the links of all that it opens are followed

# Words that a mechanic would not use; on the pages that explain the file to the data keeper they are needed.
BANNED = re.compile(
    r"\bcomponents?\b|mass statement|part lines?|occupied by|parts-sum|load path", re.IGNORECASE
)
FOR_THE_DATA_KEEPER = {"/database"}

# Kinds that are looked at in two widths elsewhere, and those that are for paper.
IN_TWO_WIDTHS = {
    "/",
    "/component",
    "/lift",
    "/turn",
    "/joint",
    "/move",
    "/checker",
    "/notes",
    "/sources",
    "/source",
}
PAPER = ("/card", "/tag", "/sheet")

LOOK = """() => {
  const seen = e => e.getClientRects().length > 0;
  const words = t => t.trim().split(/\\s+/).filter(Boolean).length;
  return {
    links: [...document.querySelectorAll('a[href]')].map(e => e.getAttribute('href')),
    wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    long: [...document.querySelectorAll('main p, main li, main dd, main summary, main td, main th')]
      .filter(e => !e.querySelector('p, ul, ol, li, div, section, details'))
      .map(e => e.textContent).filter(t => words(t) > 40),
    labels: [...document.querySelectorAll('a, button, summary, h1, h2, h3, label, th, option')]
      .map(e => (e.getAttribute('aria-label') || e.innerText || e.textContent).trim()),
    text: document.title + ' ' + document.body.textContent,
    bar: [...document.querySelectorAll('nav.bar a')].filter(seen).map(e => e.textContent.trim()),
    marks: [...document.querySelectorAll('a[href^="#"]')].map(e => e.getAttribute('href').slice(1))
      .filter(id => !document.getElementById(id)),
    height: document.documentElement.scrollHeight,
  };
}"""


@dataclass
class Seen:
    """What one page showed."""

    path: str
    found: dict[str, Any]
    low: list[Any] = field(default_factory=list)
    small: list[str] = field(default_factory=list)
    accessible: AxeResults | None = None  # of the first of its kind


def kind(path: str) -> str:
    """The kind of page: the first step of the address, and the last where there are three."""
    steps = urlsplit(path).path.strip("/").split("/")
    last = steps[2] if len(steps) > 2 and steps[2] in ("sheet", "notes", "card", "tag") else ""
    return f"/{steps[0]}{'/' + last if last else ''}"


@pytest.fixture(scope="module")
def crawled(tab: Page, address: str) -> list[Seen]:
    """Every kind of page that can be reached from the start page by links, as it was seen."""
    tab.set_viewport_size(PHONE)
    waiting, known, counts = ["/"], {"/"}, {}
    found: list[Seen] = []
    while waiting:
        path = waiting.pop(0)
        counts[kind(path)] = counts.get(kind(path), 0) + 1
        answer = tab.goto(address + path)
        assert answer is not None
        assert answer.status == 200, path
        seen = Seen(path, tab.evaluate(LOOK), tab.evaluate(CONTRAST), tab.evaluate(SMALL_TARGETS))
        if counts[kind(path)] == 1 and kind(path) not in IN_TWO_WIDTHS and not kind(path).endswith(PAPER):
            tab.evaluate(AXE.axe_script)
            seen.accessible = AxeResults(tab.evaluate(RUN, WITHOUT_COLOURS))
        found.append(seen)
        for link in seen.found["links"]:
            target = urlsplit(link)
            plain = target.path
            if target.scheme or not plain.startswith("/") or plain.endswith(".json") or plain in known:
                continue
            if plain.startswith(("/handling", "/picture", "/-/")) or counts.get(kind(plain), 0) >= EACH:
                continue
            known.add(plain)
            counts.setdefault(kind(plain), 0)
            if sum(kind(one) == kind(plain) for one in known) <= EACH:
                waiting.append(plain)
    return found


def test_no_page_is_an_orphan(crawled: list[Seen]) -> None:
    """Every address of ours that has a page is reached by links from the start page."""
    paths = [urlsplit(seen.path).path for seen in crawled]
    orphans = []
    for pattern, _ in _routes():
        if "picture" in pattern or pattern.startswith("^/start"):
            continue  # a picture is shown in a page; /start is the start page by another name
        if not any(re.match(pattern, path) for path in paths):
            orphans.append(pattern)
    assert orphans == []


def test_the_same_five_ways_on_every_page(crawled: list[Seen]) -> None:
    assert {seen.path: seen.found["bar"] for seen in crawled if seen.found["bar"] != ["Start", "Lifts", "Moves", "Notes", "Find"]} == {}  # fmt: skip
    assert {seen.path: seen.found["marks"] for seen in crawled if seen.found["marks"]} == {}


def test_every_page_fits_reads_and_can_be_tapped(crawled: list[Seen]) -> None:
    assert [seen.path for seen in crawled if seen.found["wide"] > 0] == []
    assert {seen.path: seen.low for seen in crawled if seen.low} == {}
    # tables in a picture, each of which stands as a heading of full height below it
    pages = [seen for seen in crawled if kind(seen.path) not in FOR_THE_DATA_KEEPER]
    assert {seen.path: seen.small for seen in pages if seen.small} == {}


def test_no_paragraph_is_longer_than_forty_words(crawled: list[Seen]) -> None:
    """On screens and on paper: the lift sheet, the job sheet, the card and the tag are among the pages."""
    assert {"/lift/sheet", "/plan/sheet", "/move/card", "/move/tag"} <= {kind(seen.path) for seen in crawled}
    long = {seen.path: seen.found["long"] for seen in crawled if kind(seen.path) not in FOR_THE_DATA_KEEPER}
    assert {path: texts for path, texts in long.items() if texts} == {}


def test_words_a_mechanic_would_not_use_stay_off(crawled: list[Seen]) -> None:
    found = {
        # a record's file has whatever name somebody gave it
        seen.path: sorted(
            {match[0] for match in BANNED.finditer(re.sub(r"\S+\.yml\S*", "", seen.found["text"]))}
        )
        for seen in crawled
        if kind(seen.path) not in FOR_THE_DATA_KEEPER
    }
    assert {path: words for path, words in found.items() if words} == {}


def test_no_label_is_an_id(crawled: list[Seen], demo_db: Path) -> None:
    connection = sqlite3.connect(demo_db)
    ids = {row[0] for row in connection.execute("select code from record union select code from component")}
    found = {
        seen.path: sorted(ids & set(seen.found["labels"]))
        for seen in crawled
        if kind(seen.path) != "/database"
    }
    assert {path: labels for path, labels in found.items() if labels} == {}


def test_nothing_says_that_anything_is_allowed(crawled: list[Seen]) -> None:
    for seen in crawled:
        assert not re.search(r"\b(OK|is safe|safe to lift|allowed to lift|approved)\b", seen.found["text"]), (
            seen.path
        )


def test_accessibility_of_pages_of_every_kind(crawled: list[Seen]) -> None:
    """One page of each kind."""
    looked = [seen for seen in crawled if seen.accessible is not None]
    kinds = {kind(seen.path) for seen in crawled}
    assert {kind(seen.path) for seen in looked} == {
        one for one in kinds - IN_TWO_WIDTHS if not one.endswith(PAPER)
    }
    reports = {
        seen.path: seen.accessible.generate_report()
        for seen in looked
        if seen.accessible is not None and seen.accessible.violations_count
    }
    assert reports == {}


def test_lengths_in_screens(crawled: list[Seen], phone: Page, address: str, demo_db: Path) -> None:
    """Everything folded closed: at most 4 phone screens for a piece of the demo and 5 for a lift."""
    connection = sqlite3.connect(demo_db)
    rows = connection.execute("select 'component', code from component where kind = 'assembly' union all "
        "select 'lift', code from record where kind = 'lift group' union all "
        "select 'component', code from (select code from component where kind <> 'assembly' order by code limit 12)")  # fmt: skip
    heights = {seen.path: seen.found["height"] for seen in crawled}
    long = {}
    for step, code in rows.fetchall():
        path = f"/{step}/{code}"
        if path not in heights:
            phone.goto(address + path)
            heights[path] = phone.evaluate("document.documentElement.scrollHeight")
        screens = heights[path] / SCREEN
        if screens > (4 if step == "component" else 5):
            long[code] = round(screens, 2)
    assert long == {}


def top_of(page: Page, text: str) -> float:
    """How far below the top of the page some words stand, in screens; they must be seen without opening."""
    found = page.get_by_text(text).first
    expect(found, text).to_be_visible(timeout=30_000)  # a page made anew may take its time
    box = found.bounding_box()
    assert box is not None
    return float(box["y"] + page.evaluate("scrollY")) / SCREEN


def tap(page: Page, name: str) -> None:
    page.get_by_role("link", name=name).first.click()


def test_two_taps_to_the_hook_figure_and_the_note_of_the_hidden_pipes(phone: Page, address: str) -> None:
    """The walk the view was made for."""
    phone.goto(address)
    tap(phone, "Upper half off the gear section")
    assert top_of(phone, "Hook should read 383.9") < 1.0
    tap(phone, "Notes (")
    assert top_of(phone, "three lubrication pipes cross the joint there") < 2.0


@pytest.mark.parametrize(
    ("question", "taps", "answers"),
    [
        ("how heavy is the half", ["Upper half off the gear section"], ["Hook should read 383.9"]),
        ("what still holds it", ["Upper half off the gear section", "What holds it"], ["joint bolts", "lubrication pipes"]),
        ("what should the hook read", ["Upper half off the gear section"], ["Look again above 392 kg"]),
        ("which note warns me", ["Upper half off the gear section", "Notes ("], ["Wind it back with its own screw"]),
        ("where does it go next", ["Move: Upper half off the gear section"], ["Crate tag, A6", "Move card, A5", "Saddle pallet"]),
        ("can that shop take it", ["Move: Whole differential section off the truck", "Low Tarrowby Gear Room"], ["short by 9.1 kg"]),
        ("what is off in the unit in hand", ["What is off"], ["Parking brake caliper"]),
    ],
)  # fmt: skip
def test_two_taps_to_each_question(
    phone: Page, address: str, question: str, taps: list[str], answers: list[str]
) -> None:
    assert len(taps) <= 2
    phone.goto(address)
    for name in taps:
        tap(phone, name)
    for words in answers:
        expect(phone.get_by_text(words).first, f"{question}: {words}").to_be_visible(timeout=30_000)


def test_pounds_are_chosen_once(phone: Page, address: str) -> None:
    """From the start page through the bar to a lift, a turn, a sheet and a card: pounds first everywhere."""
    phone.goto(address)
    tap(phone, "lb first")
    tap(phone, "Upper half off the gear section")
    expect(phone.get_by_text("Hook should read 846.3").first).to_be_visible(timeout=30_000)
    assert "lb" in (phone.locator("svg.hookscale").text_content() or "")
    tap(phone, "Sheet to print")
    assert "846.3" in phone.inner_text("main")
    assert "unit=lb" in phone.url
    phone.get_by_role("navigation", name="Ways").get_by_role("link", name="Moves").click()
    tap(phone, "Upper half off the gear section")
    assert "915 lb (415 kg)" in phone.inner_text("main")
    tap(phone, "Crate tag")
    assert "915 lb (415 kg)" in phone.inner_text("main")
