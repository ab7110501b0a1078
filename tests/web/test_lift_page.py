"""The first screens of a lift: what the hook box says to a reading, and that nothing grave is folded."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.web.short import short

pytestmark = pytest.mark.anyio


class _Open(HTMLParser):
    """The text of a page that is read without opening anything."""

    def __init__(self) -> None:
        super().__init__()
        self.folds = 0
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "details":
            self.folds += 1

    def handle_endtag(self, tag: str) -> None:
        if tag == "details":
            self.folds -= 1

    def handle_data(self, data: str) -> None:
        if not self.folds:
            self.text.append(data)


def unfolded(page: str) -> str:
    reader = _Open()
    reader.feed(page)
    return " ".join(" ".join(reader.text).split())


async def test_what_is_grave_is_never_folded(served: Any) -> None:
    page = unfolded((await served.client.get("/lift/upper-half-lift")).text)

    assert "still in 4 x through-bolts M10" in page
    for tie in ("14 × joint bolts", "3 × lubrication pipes", "liquid sealant at the joint face"):
        assert tie in page
    assert "Wind it back with its own screw, 22 turns" in page
    assert "Not compared with what it gets" in page
    assert "rating of ear at 90 degrees" in page
    assert (
        page.index("still in 4 x") < page.index("Hook should read 383.9") < page.index("What still holds it")
    )


async def test_instability_is_never_folded(served: Any) -> None:
    page = unfolded((await served.client.get("/lift/upper-half-with-brake")).text)
    first = page[: page.index("Hook should read")]
    assert re.search(r"slack|turn over|tilt", first, re.IGNORECASE), first


@pytest.mark.parametrize(
    ("seen", "told"),
    [
        ("384", "Inside what the load may weigh"),
        ("384 kg", "Inside what the load may weigh"),
        ("846 lb", "Inside what the load may weigh"),
        ("415", "Look again: something holds it"),
        ("360", "Look again: something else carries"),
        ("425", "Stop."),
    ],
)
async def test_the_hook_shows(served: Any, seen: str, told: str) -> None:
    page = (await served.client.get("/lift/upper-half-lift", params={"seen": seen})).text

    assert f'<p class="figure words">{told}' in page
    assert "This view writes nothing" in page
    assert "Or on paper: " in page
    if not told.startswith("Inside"):
        assert "Ask: lifting supervisor" in page


async def test_the_command_that_writes_a_reading_is_one(served: Any) -> None:
    """The exact command: it is parsed by the command line itself."""
    import shlex
    from html import unescape

    from click.testing import CliRunner

    from handling_db.cli import main

    page = (await served.client.get("/lift/upper-half-lift?seen=415")).text
    command = unescape(re.findall(r"<code>(handling-db job reading[^<]+)</code>", page)[0])
    words = shlex.split(command.replace("FOLDER", "/nowhere").replace("ROLE", "rigger"))

    assert words[:6] == ["handling-db", "job", "reading", "qsn-1187", "upper-half-lift", "415 kg"]
    result = CliRunner().invoke(main, words[1:])
    assert result.exit_code != 0
    assert "Usage" not in result.output  # understood; only the folder is not there


async def test_a_reading_that_is_none_gets_an_answer(served: Any) -> None:
    answer = await served.client.get("/lift/upper-half-lift?seen=heavy")
    assert answer.status_code == 400
    assert "the hook shows" in answer.text


async def test_a_lift_has_its_ways(served: Any) -> None:
    page = (await served.client.get("/lift/upper-half-lift?job=qsn-1187")).text
    for path in (
        "/joint/section-joint?job=qsn-1187",
        "/lift/upper-half-lift/notes?job=qsn-1187",
        "/turn/turn-onto-front-face?job=qsn-1187",
        "/move/upper-half-lift",
        "/lift/lower-half?job=qsn-1187",
        "/fixtures/upper-half-lift",
        "/lift/upper-half-lift/sheet?job=qsn-1187",
        "/two-hooks/upper-half-lift",
    ):
        assert f'href="{path}"' in page, path
        assert (await served.client.get(path)).status_code == 200, path


async def test_notes_of_a_lift_put_stored_energy_first(served: Any) -> None:
    page = (await served.client.get("/lift/upper-half-lift/notes")).text
    assert page.index("stored energy</span>") < page.index("three lubrication pipes cross the joint")


@given(st.text(max_size=600), st.integers(12, 40))
def test_short_pieces_lose_nothing(text: str, most: int) -> None:
    pieces = short(text, most)

    assert " ".join(pieces).split() == text.split()
    assert all(len(piece.split()) <= most for piece in pieces)
    assert all(pieces) or pieces == [""]


@pytest.mark.slow
async def test_a_lift_is_worked_out_once_for_its_page_in_both_units_sheet_and_notes(
    served: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from handling_db.database.cache import LastAnswers
    from handling_db.web.pages import worked

    kept: LastAnswers[Any] = LastAnswers(8)
    monkeypatch.setattr(worked, "_lifts", kept)
    of_records: LastAnswers[Any] = LastAnswers(8)
    monkeypatch.setattr(worked, "_of_records", of_records)
    asked: list[str] = []
    true = worked.question_of
    monkeypatch.setattr(worked, "question_of", lambda *args: (asked.append(args[1]), true(*args))[1])

    lift = "/lift/upper-half-lift"
    for path in (lift, f"{lift}?unit=lb", f"{lift}?n=1", f"{lift}/sheet", f"{lift}/notes", f"{lift}.json"):
        assert (await served.client.get(path)).status_code == 200
    assert len(asked) == 1
    for path in (f"{lift}?zeroed=empty", f"{lift}?serial=1"):  # other questions
        assert (await served.client.get(path)).status_code == 200
    assert len(asked) == 3
    monkeypatch.setattr(worked, "today", lambda: "2031-01-01")  # inspections and notes run out by the day
    assert (await served.client.get(f"{lift}?n=2")).status_code == 200
    assert len(asked) == 4
