"""The records a piece is handled with, out of a database file: the same answers as from the folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.database.queries import open_database
from handling_db.database.queries.handling import handled_in, lift_group_ids
from handling_db.errors import AmbiguousNameError, UnknownNameError
from handling_db.loading import from_database, named_in_file
from handling_db.moving.answer import move_answer
from handling_db.moving.question import MoveQuestion
from handling_db.records.collection import Collection
from handling_db.shop.answer import shop_answer
from handling_db.shop.fixtures import fixtures_answer

PIECE = ("lift group", "component")


@pytest.mark.parametrize("what", ["upper-half-lift", "whole-unit-lift", "gear-section", "saw-gearbox"])
def test_answers_are_those_of_the_folder(demo_db: Path, demo: Collection, what: str) -> None:
    stored = from_database(open_database(demo_db), what, PIECE, "handled").records
    question = MoveQuestion(what=what)
    assert move_answer(stored, question) == move_answer(demo, question)
    assert shop_answer(stored, what, "low-tarrowby") == shop_answer(demo, what, "low-tarrowby")
    assert fixtures_answer(stored, what) == fixtures_answer(demo, what)


def test_without_a_piece_there_are_fixtures_with_names(demo_db: Path, demo: Collection) -> None:
    stored = from_database(open_database(demo_db), reach="handled").records
    assert fixtures_answer(stored) == fixtures_answer(demo)
    assert len(stored.components) < len(demo.components)


def test_names_of_lift_groups_come_before_components(demo_db: Path) -> None:
    connection = open_database(demo_db)
    assert named_in_file(connection, "upper-half-lift", PIECE) == ("lift group", "upper-half-lift")
    assert named_in_file(connection, "rear half", PIECE) == ("component", "differential-section")
    assert "section-off-the-truck" in lift_group_ids(connection)


def test_what_is_not_there_names_the_lift_groups(demo_db: Path) -> None:
    with pytest.raises(UnknownNameError, match="Lift groups recorded: lower-half, "):
        named_in_file(open_database(demo_db), "zzz nothing", PIECE)


def test_an_ambiguous_name_asks_back(demo_db: Path) -> None:
    with pytest.raises((AmbiguousNameError, UnknownNameError)):
        named_in_file(open_database(demo_db), "gear", PIECE)


def test_lifts_and_joints_of_a_component(demo_db: Path) -> None:
    found = handled_in(open_database(demo_db), "differential-section")
    assert ("upper-half-lift", "Upper half off the gear section") in found["lift group"]
    assert [code for code, _ in found["joint"]] == ["section-joint", "stack-joint"]


def test_a_part_that_no_lift_names(demo_db: Path) -> None:
    assert handled_in(open_database(demo_db), "friction-disc") == {"lift group": [], "joint": []}


def test_a_name_that_is_only_part_of_another_id_does_not_count(demo_db: Path) -> None:
    assert handled_in(open_database(demo_db), "gear") == {"lift group": [], "joint": []}
