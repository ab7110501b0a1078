"""What handles a component: the lifts that take it and the joints it is a side of."""

from __future__ import annotations

from pathlib import Path

from handling_db.database.queries import open_database
from handling_db.database.queries.lift import handled_in


def test_lifts_and_joints_of_a_component(demo_db: Path) -> None:
    found = handled_in(open_database(demo_db), "differential-section")
    assert ("upper-half-lift", "Upper half off the gear section") in found["lift group"]
    assert [code for code, _ in found["joint"]] == ["section-joint", "stack-joint"]


def test_a_part_that_no_lift_names(demo_db: Path) -> None:
    assert handled_in(open_database(demo_db), "friction-disc") == {"lift group": [], "joint": []}


def test_a_name_that_is_only_part_of_another_id_does_not_count(demo_db: Path) -> None:
    assert handled_in(open_database(demo_db), "gear") == {"lift group": [], "joint": []}
