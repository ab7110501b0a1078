"""Fixtures that many rooms use: the demo collection, and the demo database built once by the real build."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path

import pytest
from hypothesis import settings

# Where bytecode may not lie beside the sources it goes elsewhere: every process of the suite, and every one that
# it starts, would compile the program anew.
if sys.dont_write_bytecode and not sys.pycache_prefix:
    sys.dont_write_bytecode = False
    sys.pycache_prefix = str(Path(__file__).parent.parent / ".pytest_cache" / "bytecode")
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

from handling_db.files.folders import data_folder, read_collection
from handling_db.records.collection import Collection
from handling_db.records.proved import Records

# In CI the same examples every time, so that a red run means a change and not luck; by hand new ones, and fewer.
settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("hand", deadline=None, max_examples=40)
settings.load_profile("ci" if os.environ.get("CI") else "hand")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests come last: their driver keeps an event loop running, where no other can start.

    Of these the longest file comes first, so that no process waits for it at the end. What is slow says nothing of
    coverage that quick tests do not say, and would be twice as slow while branches are counted.
    """
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker("slow")
        if item.get_closest_marker("slow"):
            item.add_marker("no_cover")
    items.sort(
        key=lambda item: (
            item.get_closest_marker("browser") is not None,
            item.get_closest_marker("browser") is not None and item.path.name != "test_ways.py",
        )
    )


def pytest_collection_finish() -> None:
    """What ten thousand collected tests hold is not gone through by each collection of garbage from here on."""
    gc.freeze()


@pytest.fixture(scope="session")
def demo_folder() -> Path:
    return data_folder() / "demo"


@pytest.fixture(scope="session")
def demo(demo_folder: Path) -> Collection:
    reading = read_collection([demo_folder])
    assert reading.findings == ()
    return reading.collection


@pytest.fixture(scope="session")
def demo_records(demo_folder: Path) -> Records:
    """The same by the one way in."""
    import handling_db as hd

    return hd.read([demo_folder])


@pytest.fixture(scope="session")
def demo_db(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    from handling_db.database.building import build_with_bar

    target = tmp_path_factory.mktemp("demo") / "handling.db"
    build_with_bar([demo_folder], target)
    return target
