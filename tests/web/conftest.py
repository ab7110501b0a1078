"""The view in process, over the demo database."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from handling_db.jobs.lighten.answer import LightenQuestion, lighten_answer
from handling_db.jobs.lighten.figures import LightenAnswer
from handling_db.records.collection import Collection
from handling_db.web.serving import application


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


class Remembered:
    """A client that asks for each address once: the file of the view never changes, so neither do its answers.

    What is asked with headers or otherwise than by GET goes to the view each time.
    """

    def __init__(self, client: Any) -> None:
        self._client = client
        self._answers: dict[tuple[str, str], Any] = {}

    async def get(self, path: str, params: Mapping[str, str] | None = None, **more: Any) -> Any:
        if more:
            return await self._client.get(path, params=params, **more)
        asked = (path, repr(params))
        if asked not in self._answers:
            self._answers[asked] = await self._client.get(path, params=params)
        return self._answers[asked]

    def __getattr__(self, name: str) -> Any:
        return getattr(self._client, name)


def remembered(view: Any) -> Any:
    view.client = Remembered(view.client)
    return view


@pytest.fixture(scope="session")
def view(demo_db: Path) -> Any:
    return remembered(application(demo_db))


@pytest.fixture
def served(request: pytest.FixtureRequest, demo_db: Path) -> Any:
    """The view of the demo; one of its own for a test that puts something else into the program."""
    if "monkeypatch" in request.fixturenames:
        return application(demo_db)
    return request.getfixturevalue("view")


@pytest.fixture(scope="session")
def parted(demo: Collection) -> LightenAnswer:
    """What comes off first of the lift that is too heavy for the second shop."""
    question = LightenQuestion(what="section-broken-loose-tarrowby", as_of=datetime.date(2026, 11, 25))
    return lighten_answer(demo, question)


@pytest.fixture(scope="session")
def prefixed(demo_db: Path) -> Any:
    return remembered(application(demo_db, base_url="/w/"))
