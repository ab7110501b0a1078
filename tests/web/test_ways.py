"""The ways: the bar, the unit kept in every address, pages that were reached only by typing."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.web.ways import BAR, OURS, keep_unit, section, with_unit

PAGE = (
    '<a href="/w/lifts">a</a><a href="/w/lift/x?job=j#notes">b</a><a href="?shop=q">c</a><a href="#in">d</a>'
    '<a href="/w/handling/component">e</a><a class="button" href="/w/picture/00.png">f</a>'
    '<form action="/w/find"><input name="q"></form><a href="/w/moves?unit=kg">g</a>'
)


def test_the_unit_goes_into_links_of_ours_and_into_forms() -> None:
    kept = keep_unit(PAGE, "lb", "/w")

    assert re.findall(r'href="([^"]*)"', kept) == [
        "/w/lifts?unit=lb",
        "/w/lift/x?job=j&amp;unit=lb#notes",
        "?shop=q&amp;unit=lb",
        "#in",
        "/w/handling/component",
        "/w/picture/00.png",
        "/w/moves?unit=kg",
    ]
    assert '<form action="/w/find"><input type="hidden" name="unit" value="lb">' in kept
    assert keep_unit(PAGE, "", "/w") == PAGE
    assert keep_unit(kept, "lb", "/w") == kept


@pytest.mark.anyio
@pytest.mark.parametrize(
    ("path", "way"),
    [("/", "Start"), ("/lift/upper-half-lift", "Lifts"), ("/turn/turn-onto-front-face", "Lifts"),
     ("/move/upper-half-lift", "Moves"), ("/shop/low-tarrowby/upper-half-lift", "Moves"), ("/notes", "Notes"),
     ("/component/gear-section", "Start"), ("/a-z", "Find")],
)  # fmt: skip
async def test_the_bar_shows_which_way_a_page_lies(served: Any, path: str, way: str) -> None:
    page = (await served.client.get(path)).text
    bar = page[page.index('<nav class="bar') :].partition("</nav>")[0]
    assert re.findall(r'aria-current="\w+">(\w+)<', bar) == [way]


@given(st.text(max_size=40), st.sampled_from(["kg", "lb"]))
def test_any_address_gets_one_unit_and_keeps_the_rest(query: str, unit: str) -> None:
    from urllib.parse import parse_qsl, quote

    address = with_unit(f"/find?q={quote(query)}&unit=kg", unit)

    pairs = parse_qsl(address.partition("?")[2], keep_blank_values=True)
    assert pairs == [("q", query), ("unit", unit)]


def test_every_way_of_the_bar_is_a_page_of_its_own_section() -> None:
    assert [name for name, _, _ in BAR] == ["Start", "Lifts", "Moves", "Notes", "Find"]
    for name, path, _ in BAR:
        assert OURS.match(path)
        assert section(path) == name
    assert section("/turn/x") == section("/joint/x.json") == "Lifts"
    assert section("/handling/component") == ""


@pytest.mark.anyio
@pytest.mark.parametrize("path", ["/", "/component/rear-cover", "/lift/upper-half-lift", "/notes", "/jobs"])
async def test_pounds_once_are_pounds_on_every_link(served: Any, path: str) -> None:
    page = (await served.client.get(f"{path}?unit=lb")).text
    links = [unescape(link) for link in re.findall(r'<a\b[^>]*href="([^"]*)"', page)]
    ours = [one for one in links if OURS.match(one.partition("?")[0].partition("#")[0]) and one[0] == "/"]

    assert ours
    # the switch back to kilograms is the only link that says something else
    assert [
        one for one in ours if "unit=lb" not in one and "unit=kg" not in one and "/picture/" not in one
    ] == []
    assert len([one for one in ours if "unit=kg" in one]) == 1
    assert '<strong aria-current="true">lb first</strong>' in page


@pytest.mark.anyio
async def test_the_start_page_shows_what_is_in_hand_and_figures_of_one_kind(served: Any) -> None:
    page = (await served.client.get("/")).text

    assert "Still in: 4 x through-bolts M10" in page
    assert "Out before the hook takes the upper half" in page
    assert page.index("What are you about to lift?") < page.index("In hand") < page.index("Units: plan with")
    assert page.index("Lifts: what the hook should read") < page.index("To settle")
    assert re.search(r"Upper half off the gear section</span><span class=\"mass\">384 kg \(846 lb\)", page)
    assert re.search(r"Turns: hook at the start.*?373 kg", page, re.DOTALL)


@pytest.mark.anyio
async def test_a_unit_in_hand_has_a_page(served: Any) -> None:
    page = (await served.client.get("/job/qsn-1187")).text

    assert "Off the unit (5)" in page
    assert "Parking brake caliper" in page
    assert "front output shaft, through the gear section" in page
    assert (await served.client.get("/job/nothing")).status_code == 404


@pytest.mark.anyio
@pytest.mark.parametrize(
    ("query", "told", "found"),
    [
        ("swng", "This is for <strong>swing</strong>", "note-"),
        ("trnsfer box", "transfer box", "/component/transfer-box"),
        ("upper half", "lift", "/lift/upper-half-lift"),
        ("hydrostatic coupling", "Nothing goes by", ""),
        ("saw gear bax", "", "/component/saw-gearbox"),
    ],
)
async def test_find_puts_words_right_and_finds_lifts(served: Any, query: str, told: str, found: str) -> None:
    page = (await served.client.get("/find", params={"q": query})).text

    assert told in page
    assert found in page


@pytest.mark.slow
@pytest.mark.anyio
async def test_the_other_pages_answer(served: Any) -> None:
    wanted = {
        "/gaps": "To weigh",
        "/waiting": "Waits, and counts nowhere",
        "/heavier?one=lower-half&other=upper-half-lift": "Cannot tell|is heavier than",
        "/pallets?pallet=saddle-pallet&piece=rear-cover": "1 pallet or trip",
        "/two-hooks/upper-half-lift?head=cover-ear-90&tail=cover-ear-210": "Head hook: up to",
        "/jobs": "Units in hand",
    }
    for path, words in wanted.items():
        answer = await served.client.get(path)
        assert answer.status_code == 200, path
        assert re.search(words, answer.text), path
