"""The view in process, over the demo database."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from handling_db.web.serving import application


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


@pytest.fixture
def served(demo_db: Path) -> Any:
    return application(demo_db)


@pytest.fixture
def prefixed(demo_db: Path) -> Any:
    return application(demo_db, base_url="/w/")
