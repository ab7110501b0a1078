"""Pages are written in a thread of their own: what is there already, and the stock tables, do not wait for it."""

from __future__ import annotations

import asyncio
import threading
from typing import Any

import pytest

from handling_db.database import queries
from handling_db.database.cache import LastAnswers
from handling_db.web.pages.piece import facts

pytestmark = pytest.mark.anyio

PART = "/component/parking-brake-caliper"


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> tuple[threading.Event, threading.Event]:
    """A component page that is being written until it is let go on: begun, go on."""
    begun, go_on = threading.Event(), threading.Event()
    real = queries.stored_answer

    def slow(connection: Any, code: str) -> Any:
        if code == "transfer-box":
            begun.set()
            assert go_on.wait(20)
        return real(connection, code)

    monkeypatch.setattr(facts, "_answers", LastAnswers(10))  # no test before this one has asked already
    monkeypatch.setattr(queries, "stored_answer", slow)
    return begun, go_on


@pytest.mark.slow
async def test_what_is_there_already_waits_for_no_page_that_is_written(
    served: Any, held: tuple[threading.Event, threading.Event]
) -> None:
    begun, go_on = held
    before = (await served.client.get(PART)).text
    other = asyncio.create_task(served.client.get("/component/transfer-box"))
    assert await asyncio.to_thread(begun.wait, 20)
    try:
        kept = await asyncio.wait_for(served.client.get(PART), 15)
        stock = await asyncio.wait_for(served.client.get("/handling/component.json?_size=2"), 15)
    finally:
        go_on.set()
    assert kept.text == before
    assert len(stock.json()["rows"]) == 2
    assert (await other).status_code == 200


async def test_pages_of_one_file_are_written_one_after_another(
    served: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two at once would take as long, and both would come late."""
    writers: set[str] = set()
    real = queries.stamp
    monkeypatch.setattr(
        queries,
        "stamp",
        lambda connection: (writers.add(threading.current_thread().name), real(connection))[1],
    )
    paths = [PART, "/component/transfer-box", "/lift/upper-half-lift", "/component/nothing-of-that-name"]
    several = await asyncio.gather(*(served.client.get(path) for path in paths * 2))
    assert [one.status_code for one in several] == [200, 200, 200, 404] * 2
    assert len(writers) == 1
