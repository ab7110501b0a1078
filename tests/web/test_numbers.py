"""The page of a component about its numbers: conflict in plain words, builds, drawings, inference, doubt."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from handling_db.database import queries
from handling_db.database.cache import let_go
from handling_db.database.queries import numbers as queries_numbers
from handling_db.web.pages import sending as pages
from handling_db.web.serving import application

pytestmark = pytest.mark.anyio

SECTION = "/component/differential-section"
NOT_FOR_A_SHOP = ("sigma", "interval", "significance", "probability")


def plan_box(page: str) -> list[str]:
    """The paragraphs of the box with the figure to plan with, as read."""
    box = re.search(r'<section class="plan.*?</section>', page, re.DOTALL)
    assert box
    return [unescape(re.sub(r"<[^>]+>", "", text)) for text in re.findall(r"<p.*?</p>", box[0], re.DOTALL)]


@pytest.mark.parametrize("unit", ["kg", "lb"])
async def test_conflict_is_explained_in_thirty_plain_words(served: Any, unit: str) -> None:
    paragraphs = plan_box((await served.client.get(f"{SECTION}?unit={unit}")).text)
    sentence = next(text for text in paragraphs if "lighter than the parts" in text)

    assert len(sentence.split()) <= 30
    assert not any(word in sentence.lower() for word in NOT_FOR_A_SHOP)
    assert "parking brake or rear cover" in sentence
    assert "no proof" in sentence
    assert sentence.rstrip().endswith(".")
    assert len(re.findall(r"[.!?](?:\s|$)", sentence)) == 1  # one sentence, not several in thirty words


async def test_every_cause_and_the_pairs_stand_below(served: Any) -> None:
    page = (await served.client.get(SECTION)).text
    answer = (await served.client.get(f"{SECTION}.json")).json()
    (explained,) = answer["explanations"]
    below = page[page.index('id="explained"') :]

    assert {cause["about"] for cause in explained["causes"] if cause["kind"] == "left out"} == {
        "parking-brake",
        "rear-cover",
    }
    assert below.count("<li>") >= len(explained["causes"])
    assert f"{explained['pairs']} pairs of parts would fit just as well by chance" in below
    assert "Nothing is changed" in below


async def test_page_without_a_conflict_has_no_explanation(served: Any) -> None:
    assert 'id="explained"' not in (await served.client.get("/component/planet-differential")).text


@pytest.mark.slow
async def test_named_builds_and_choices_are_plain_links(served: Any) -> None:
    page = (await served.client.get(SECTION)).text
    links = dict(re.findall(r'<a href="([^"]+)">([^<]+)</a>', page))

    assert links[f"{SECTION}?build=long+frame"] == "Long frame"
    assert links[f"{SECTION}?set=length%3D780+mm"] == "780 mm"
    assert links[f"{SECTION}?set=brake%3Dno"] == "no"
    for path in (f"{SECTION}?build=long+frame", f"{SECTION}?set=length%3D780+mm"):
        text = (await served.client.get(path)).text
        assert "Plan with 476 kg (1049 lb)" in text
        assert "It names no build, so it is compared with the parts of the default build." in text
    assert "It names no build" not in page


async def test_links_keep_what_was_asked_already(served: Any) -> None:
    page = (await served.client.get(f"{SECTION}?state=dry&without=parking-brake&set=discs%3D12")).text

    assert f"{SECTION}?state=dry&amp;without=parking-brake&amp;set=discs%3D12&amp;set=length%3D780+mm" in page
    assert '<input type="hidden" name="state" value="dry">' in page
    assert '<input type="hidden" name="without" value="parking-brake">' in page


async def test_form_leaves_out_what_is_worked_out(served: Any) -> None:
    """The drum's length follows from the discs; sent along it would contradict another count of them."""
    page = (await served.client.get("/component/clutch-drum")).text

    assert 'name="set.discs"' in page
    assert 'name="set.drum_length"' not in page
    assert (await served.client.get("/component/clutch-drum?set.discs=12")).status_code == 200


async def test_unknown_build_is_a_plain_400(served: Any) -> None:
    response = await served.client.get(f"{SECTION}?build=wide")

    assert response.status_code == 400
    assert "has no build called &#39;wide&#39;; it has: short frame, long frame" in response.text


async def test_sweep_is_drawn_and_listed(served: Any) -> None:
    page = (await served.client.get("/component/lock-clutch-pack")).text
    answer = (await served.client.get("/component/lock-clutch-pack.json")).json()
    (sweep,) = answer["sweeps"]

    assert [line["text"] for line in sweep["lines"]] == [str(n) for n in range(4, 13)]
    assert "mass over discs from 4 to 12; the table below has every figure" in page
    for line in sweep["lines"]:
        assert f'/component/lock-clutch-pack?set=discs%3D{line["text"]}"' in page
    assert "47 to 70 kg (104 to 155 lb)" in page  # filled: with none to all of the charge in it


async def test_witnesses_are_drawn_against_the_sum(served: Any) -> None:
    page = (await served.client.get(SECTION)).text
    drawing = re.search(r'<svg[^>]*aria-label="Differential section, filled: ([^"]+)"', page)

    assert drawing
    told = unescape(drawing[1])
    assert told.startswith("Sum of the parts 443.4 to 451.0 kg (977.6 to 994.3 lb)")
    assert "PT-34 handbook, dry 415.0 to 419.6 kg (915.0 to 925.0 lb)" in told


async def test_sum_with_a_gap_is_drawn_without_an_upper_end(served: Any) -> None:
    page = (await served.client.get("/component/gear-section")).text

    assert 'aria-label="Gear section, filled: Sum of the known parts at least 365.9 kg (806.6 lb);' in page
    assert "l7 6l-7 6" in page  # the arrow


async def test_inferred_range_is_labelled_and_checks_nothing(served: Any) -> None:
    page = unescape((await served.client.get("/component/auxiliary-drive")).text)
    answer = (await served.client.get("/component/auxiliary-drive.json")).json()

    assert "nobody weighed it; inferred" in page.lower()
    assert (
        "12.7 to 31.8 kg (28 to 70 lb), inferred from Transfer box, 844.0 kg drained (Floor scale, Quay Shed "
        "Nine) less everything else in it; never used to check that figure" in page
    )
    (inferred,) = answer["inferred"]
    assert f"{inferred['best']:.1f}" == "22.3"
    assert {state["plan_kg"] for state in answer["states"]} == {31.9}


async def test_bound_of_an_assembly_with_a_gap_stays_beside_the_headline(served: Any) -> None:
    page = (await served.client.get("/component/gear-section")).text
    bound = (await served.client.get("/component/gear-section.json")).json()["bound"]

    assert bound["state"] == "filled"
    assert bound["inferred"] is True
    assert "A range like this is never a figure to plan with." not in page
    assert "Plan with 398 kg (877 lb) dry" in page


async def test_source_page_answers_what_becomes_doubtful(served: Any) -> None:
    page = (await served.client.get("/source/quay-floor-scale")).text
    answer = (await served.client.get("/source/quay-floor-scale.json")).json()

    assert "Which records become doubtful if this source was off?" in page
    figures, components = answer["doubt"]["figures"], answer["doubt"]["components"]
    assert "differential-section" in {one["id"] for one in components}
    assert page.count("read from it") == len(figures)
    assert "by way of Differential case" in page


async def test_large_collection_says_what_it_does_not_work_out(
    demo_db: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is left out in silence where there is too much for a page."""
    monkeypatch.setattr(queries_numbers, "PAGE_COMPONENTS", 2)
    monkeypatch.setattr(queries_numbers, "_pages", queries_numbers.LastAnswers(8))
    monkeypatch.setattr(queries_numbers, "_doubts", queries_numbers.LastAnswers(8))
    small = application(demo_db)

    page = (await small.client.get(SECTION)).text
    assert "More than 2 components are in it" in unescape(page)
    assert "PT-34 handbook prints 415 kg / 920 lb, which disagrees with the parts" in page
    source = unescape((await small.client.get("/source/quay-floor-scale")).text)
    assert "'handling-db doubt quay-floor-scale' follows it" in source
    part = unescape((await small.client.get("/component/auxiliary-drive")).text)
    assert "'handling-db bounds auxiliary-drive' answers" in part


@pytest.mark.slow
async def test_answers_are_kept_by_stamp_and_question(
    served: Any, demo_db: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept: queries_numbers.LastAnswers[Any] = queries_numbers.LastAnswers(8)
    monkeypatch.setattr(queries_numbers, "_pages", kept)
    worked: list[str] = []
    true = queries_numbers._work_out
    monkeypatch.setattr(
        queries_numbers, "_work_out", lambda *args: (worked.append(args[1].id), true(*args))[1]
    )
    for path in (SECTION, SECTION, f"{SECTION}?set=discs%3D12", f"{SECTION}?unit=lb"):
        assert (await served.client.get(path)).status_code == 200
    assert worked == ["differential-section", "differential-section"]
    connection = queries.open_database(demo_db)
    assert queries_numbers.stamp_of(connection) == queries.stamp(connection).stamp


async def test_a_page_asked_again_is_the_same_and_not_written_again(
    served: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    written: list[str] = []
    true = pages.page_text
    monkeypatch.setattr(pages, "page_text", lambda *args: (written.append(args[1]), true(*args))[1])
    first, again = [(await served.client.get(SECTION)).text for _ in range(2)]
    assert first == again
    assert written == ["component.html"]
    other = (await served.client.get(f"{SECTION}?unit=lb")).text
    assert other != first
    monkeypatch.setattr(pages, "today", lambda: "2031-01-01")  # ages and reviews are judged by the day
    await served.client.get(SECTION)
    assert written == ["component.html"] * 3


async def test_a_page_that_failed_is_not_kept(served: Any) -> None:
    for _ in range(2):
        assert (await served.client.get("/component/nothing-of-that-name")).status_code == 404


def test_what_is_not_worth_it_is_not_kept() -> None:
    kept: queries_numbers.LastAnswers[int] = queries_numbers.LastAnswers(2)

    assert kept.get("a", lambda: 1, lambda value: value > 5) == 1
    assert kept.get("a", lambda: 7, lambda value: value > 5) == 7
    assert kept.get("a", lambda: 8, lambda value: value > 5) == 7


def test_only_the_last_answers_are_kept() -> None:
    kept: queries_numbers.LastAnswers[int] = queries_numbers.LastAnswers(2)
    asked: list[int] = []

    def answer(number: int) -> int:
        return kept.get(number, lambda: (asked.append(number), number)[1])

    assert [answer(n) for n in (1, 2, 1, 3, 1, 2)] == [1, 2, 1, 3, 1, 2]
    assert asked == [1, 2, 3, 2]


def test_answers_go_with_the_file_they_are_about() -> None:
    kept: queries_numbers.LastAnswers[str] = queries_numbers.LastAnswers(9)

    def answer(*key: str) -> str:
        return kept.get(key, lambda: "worked out")

    def kept_one(*key: str) -> bool:
        return kept.get(key, lambda: "new", lambda value: False) == "worked out"

    for stamp in ("old", "new"):
        answer(stamp, "case")
    let_go("old")
    assert not kept_one("old", "case")
    assert kept_one("new", "case")


def test_what_is_kept_by_its_content_goes_when_nobody_asks_for_it_while_two_files_go() -> None:
    kept: queries_numbers.LastAnswers[str] = queries_numbers.LastAnswers(9, stamped=False)

    def kept_one(key: str) -> bool:
        return kept.get(key, lambda: "new", lambda value: False) == "worked out"

    for key in ("unit", "unit as it was"):
        kept.get(key, lambda: "worked out")
    for _ in range(4):
        let_go("whichever")
        assert kept_one("unit")
    assert not kept_one("unit as it was")


def test_an_error_is_not_kept() -> None:
    kept: queries_numbers.LastAnswers[int] = queries_numbers.LastAnswers(2)

    def fail() -> int:
        raise ValueError("not now")

    with pytest.raises(ValueError, match="not now"):
        kept.get("a", fail)
    assert kept.get("a", lambda: 7) == 7
