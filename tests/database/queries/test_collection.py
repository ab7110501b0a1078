"""Records for questions beyond one tree: complete or refused, never in part without a word."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from handling_db.database.queries import open_database
from handling_db.database.queries.collection import (
    TooManyRecordsError,
    choices_about,
    collection_around,
    whole_collection,
)
from handling_db.errors import UnknownNameError
from handling_db.records.collection import Collection


def test_whole_collection_is_what_was_read(demo_db: Path, demo: Collection) -> None:
    found = whole_collection(open_database(demo_db))

    assert found.components == demo.components
    assert found.weighings == demo.weighings
    assert set(demo.sources) <= set(found.sources)


def test_whole_collection_is_read_once(demo_db: Path) -> None:
    connection = open_database(demo_db)

    assert whole_collection(connection) is whole_collection(connection)


def test_around_a_part_are_its_wholes_and_all_they_are_made_of(demo_db: Path) -> None:
    """A weighed whole says something about one part only together with all others."""
    found = collection_around(open_database(demo_db), "auxiliary-drive")

    assert {"gear-section", "transfer-box", "differential-section", "oil-charge"} <= set(found.components)
    assert "ferry-wheel" not in found.components
    for component in found.components.values():
        assert {line.component for line in component.parts} <= set(found.components)


def test_unknown_component_is_refused(demo_db: Path) -> None:
    with pytest.raises(UnknownNameError, match="nothing-of-that-name"):
        collection_around(open_database(demo_db), "nothing-of-that-name")


def test_too_many_are_refused(demo_db: Path) -> None:
    connection = open_database(demo_db)

    with pytest.raises(TooManyRecordsError, match="components are too many for this answer"):
        whole_collection(connection, 5)
    with pytest.raises(TooManyRecordsError, match="more than 5 components stand around auxiliary-drive"):
        collection_around(connection, "auxiliary-drive", 5)


def test_parts_without_records_are_refused_and_not_passed_over(demo_db: Path, tmp_path: Path) -> None:
    """A component of a large table has no record; a sum without it would come out too low."""
    copy = tmp_path / "copy.db"
    shutil.copy(demo_db, copy)
    with sqlite3.connect(copy) as writing:
        writing.execute("delete from record where kind = 'component' and code = 'oil-pump'")
        writing.execute("update built set stamp = 'another'")
    connection = open_database(copy)

    with pytest.raises(TooManyRecordsError, match="1 components come from tables too large"):
        whole_collection(connection)
    with pytest.raises(TooManyRecordsError, match="ask from the folder with --from"):
        collection_around(connection, "auxiliary-drive")


def test_choices_about_one_component(demo_db: Path) -> None:
    connection = open_database(demo_db)

    assert [choice.id for choice in choices_about(connection, "differential-section")] == [
        "section-handbook-open"
    ]
    assert choices_about(connection, "gear-section") == ()
