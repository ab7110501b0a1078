"""What pages keep for other addresses: never of another question, another unit, another day or another prefix."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from handling_db.database import queries
from handling_db.database.cache import let_go
from handling_db.web.pages.piece import component, facts
from handling_db.web.serving import application

pytestmark = pytest.mark.anyio

SECTION = "/component/differential-section"
ADDRESSES = (
    SECTION,
    f"{SECTION}?unit=lb",
    f"{SECTION}?unit=kg",
    f"{SECTION}?state=dry",
    f"{SECTION}?without=parking-brake",
    f"{SECTION}?set=discs%3D12",
    f"{SECTION}?without=parking-brake&beside=state%3Ddry",
    "/component/parking-brake",
    "/lift/upper-half-lift",
    "/lift/upper-half-lift?unit=lb",
)


async def _asked(view: Any, path: str, number: int) -> str:
    """A page at an address of its own, so that the page as a whole is not kept."""
    answer = await view.client.get(f"{path}{'&' if '?' in path else '?'}n={number}")
    assert answer.status_code == 200
    return re.sub(rf"(&amp;|\?|&)n={number}", "", answer.text)


@pytest.mark.slow
async def test_a_page_is_the_same_whatever_was_asked_before(demo_db: Path) -> None:
    stamp = queries.stamp(queries.open_database(demo_db)).stamp
    view = application(demo_db)
    found = []
    for order in (ADDRESSES, ADDRESSES[::-1]):
        let_go(stamp)  # so that what one address leaves is there for the others, once this way and once that
        pages = {path: await _asked(view, path, number) for number, path in enumerate((*order, *order))}
        found.append(pages)

    assert found[0] == found[1]
    assert len(set(found[0].values())) == len(ADDRESSES)


async def test_parts_of_a_page_are_written_once_for_all_its_addresses(
    demo_db: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    let_go(queries.stamp(queries.open_database(demo_db)).stamp)
    written: list[str] = []
    true = component.page_text
    monkeypatch.setattr(component, "page_text", lambda *args: (written.append(args[1]), true(*args))[1])
    view = application(demo_db)
    for number in range(3):
        await _asked(view, SECTION, number)
    assert len(written) == 1
    await _asked(view, f"{SECTION}?unit=lb", 3)
    assert len(written) == 2


async def test_notes_that_are_due_are_judged_by_the_day(
    demo_db: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    view = application(demo_db)
    before = await _asked(view, SECTION, 1)
    for module in (component, facts):
        monkeypatch.setattr(module, "today", lambda: "1999-01-01")
    later = await _asked(view, SECTION, 2)
    assert "stale: review was due" in before
    assert "stale: review was due" not in later


async def test_what_is_kept_leads_to_the_prefix_that_was_asked(demo_db: Path) -> None:
    plain, under = application(demo_db), application(demo_db, base_url="/shop/")
    first = await _asked(plain, SECTION, 1)
    second = (await under.client.get(f"{SECTION}?n=2")).text
    assert 'href="/component/' in first
    assert 'href="/component/' not in second
    assert 'href="/shop/component/' in second
