"""Fixtures that many rooms use: the demo collection, and the demo database built once by the real build."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.records.collection import Collection
from handling_db.store.files import data_folder, read_collection


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests come last: their driver keeps an event loop running, where no other can start."""
    items.sort(key=lambda item: item.get_closest_marker("browser") is not None)


@pytest.fixture(scope="session")
def demo_folder() -> Path:
    return data_folder() / "demo"


@pytest.fixture(scope="session")
def demo(demo_folder: Path) -> Collection:
    reading = read_collection([demo_folder])
    assert reading.findings == ()
    return reading.collection


@pytest.fixture(scope="session")
def demo_db(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    from handling_db.store.building import build_with_bar

    target = tmp_path_factory.mktemp("demo") / "handling.db"
    build_with_bar([demo_folder], target)
    return target
