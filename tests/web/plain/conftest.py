"""The plain copy of a small collection that has one of each, made once."""

from __future__ import annotations

import asyncio
from datetime import datetime
from pathlib import Path

import pytest

from handling_db.database.building import build_with_bar
from handling_db.web.plain.copy import PlainCopy, plain_copy
from handling_db.web.serving import application

MADE = datetime(2026, 11, 25, 7, 30)


@pytest.fixture(scope="session")
def small_db(tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("small") / "small.db"
    build_with_bar([Path(__file__).resolve().parents[2] / "attacks" / "local.yml"], target)
    return target


@pytest.fixture(scope="session")
def copied(small_db: Path) -> PlainCopy:
    return asyncio.run(plain_copy(application(small_db), MADE, lambda *told: None))
