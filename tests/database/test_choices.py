"""Choices in a database file: what is stored is what is worked out."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.database.build import build_database
from handling_db.database.queries import open_database
from handling_db.database.queries.another_build import what_if
from handling_db.database.queries.weight import stored_answer
from handling_db.lookup.as_json import WEIGHT
from tests.from_text import SCALE
from tests.weights.test_choices import CHOICE, PUMP


@pytest.mark.parametrize(
    "text", ["statement: weighed", "statement: listed", "owner: x, settle by: 2027-01-01"]
)
def test_what_a_file_stores_is_what_is_worked_out(tmp_path: Path, text: str) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "all.yml").write_text(SCALE + PUMP + CHOICE % text)
    build_database([folder], tmp_path / "x.db")
    stored = stored_answer(open_database(tmp_path / "x.db"), "pump")
    worked = what_if(open_database(tmp_path / "x.db"), "pump")
    for one, other in zip(stored.states, worked.states, strict=True):
        assert (one.best, one.planning, one.chosen) == (other.best, other.planning, other.chosen)


def test_the_choice_is_in_the_json(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "all.yml").write_text(SCALE + PUMP + CHOICE % "statement: listed")
    build_database([folder], tmp_path / "x.db")
    states = WEIGHT.write(stored_answer(open_database(tmp_path / "x.db"), "pump"))["states"]
    assert {state["chosen"] for state in states} == {
        "46 kg chosen by foreman on 2026-11-01: Another pump was on the scale"
    }
