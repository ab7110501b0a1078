"""The one figure that lists show of a lift is that of its page, by the shorter way that lists take."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from handling_db.files.folders import read_collection
from handling_db.lifting.case import hook_expected, work
from handling_db.lifting.turn.answer import hook_at_start, turn_answer
from handling_db.records.collection import Collection
from handling_db.web.pages.listed import question
from handling_db.web.service.front import Front
from handling_db.web.service.place import read_place

SMALL = Path(__file__).resolve().parents[1] / "attacks" / "local.yml"


@pytest.fixture(scope="module", params=["demo", "small"])
def collection(request: pytest.FixtureRequest, demo: Collection) -> Collection:
    return demo if request.param == "demo" else read_collection([SMALL]).collection


def test_the_reading_of_a_list_is_that_of_the_lift(collection: Collection) -> None:
    for code in collection.lift_groups:
        assert hook_expected(collection, code, question()) == work(collection, code, question()).expected, (
            code
        )


def test_the_start_of_a_turn_in_a_list_is_that_of_the_turn(demo: Collection) -> None:
    turned = [code for code, group in demo.lift_groups.items() if group.turn is not None]
    assert turned
    for code in turned:
        assert hook_at_start(demo, code, question()) == turn_answer(demo, code, question()).steps[0].hook_kg
    assert hook_at_start(demo, "upper-half-lift", question()) is None, "it is not turned"


def test_a_service_works_out_its_first_page_before_anybody_asks() -> None:
    asked: list[str] = []

    class Collected:
        async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
            asked.append(scope["path"])
            await send({"type": "http.response.start", "status": 200, "headers": []})
            await send({"type": "http.response.body", "body": b""})

        def close(self) -> None:
            asked.append("closed")

    async def lived() -> None:
        messages = [{"type": "lifespan.startup"}, {"type": "lifespan.shutdown"}]
        sent: list[str] = []

        async def receive() -> Any:
            await asyncio.sleep(0.05)
            return messages.pop(0)

        async def send(message: Any) -> None:
            sent.append(message["type"])

        served = Front({"": Collected()}, read_place([], port=0, lan=False, base_url="/", public_url=""))  # type: ignore[dict-item]
        await served({"type": "lifespan"}, receive, send)
        assert sent == ["lifespan.startup.complete", "lifespan.shutdown.complete"]

    asyncio.run(lived())
    assert asked == ["/", "closed"]
