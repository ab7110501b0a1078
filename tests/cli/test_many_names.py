"""What is asked under a name that is not there, in a shop with hundreds of records of every kind: a short answer."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner

from handling_db.cli import main
from handling_db.database.queries import open_database
from handling_db.errors import some_of
from handling_db.loading import named_in_file

LONGEST = 1500  # a screen and a half of a phone
KINDS = (
    "lift group",
    "joint",
    "job",
    "job plan",
    "shop",
    "mover",
    "fixture",
    "pallet",
    "gear",
    "source",
    "material",
)
QUESTIONS = (
    ("lift", "{}"),
    ("lift", "upper-half-lift", "--job", "{}"),
    ("legs", "{}"),
    ("level", "{}"),
    ("tilt", "{}", "5 deg", "--low", "left"),
    ("turn", "{}"),
    ("turn", "upper-half-lift"),
    ("two-hooks", "{}", "--head", "a", "--tail", "b"),
    ("reading", "{}", "300 kg"),
    ("joint", "{}"),
    ("lighten", "{}"),
    ("lighten", "upper-half-lift", "--hoist", "{}"),
    ("move", "{}"),
    ("move", "upper-half-lift", "--shop", "{}"),
    ("stand", "{}"),
    ("hands", "{}"),
    ("fixtures", "{}"),
    ("shop", "{}", "upper-half-lift"),
    ("shop", "low-tarrowby", "{}"),
    ("heavier", "{}", "upper-half-lift"),
    ("notes", "{}"),
    ("why", "{}"),
    ("weight", "{}"),
    ("bounds", "{}"),
    ("explain", "{}"),
    ("doubt", "{}"),
    ("steps", "{}"),
)  # fmt: skip


@pytest.fixture(scope="module")
def many(demo_db: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo with three hundred more records of each kind that a question may name."""
    file = tmp_path_factory.mktemp("many") / "many.db"
    shutil.copyfile(demo_db, file)
    connection = sqlite3.connect(file)
    for kind in KINDS:
        row = "select code, unit, text from record where kind = ? order by code limit 1"
        code, unit, text = connection.execute(row, (kind,)).fetchone()
        connection.executemany(
            "insert into record (kind, code, unit, text) values (?, ?, ?, ?)",
            [
                (kind, f"{code}-{n:03}", unit, text.replace(f'"{code}"', f'"{code}-{n:03}"', 1))
                for n in range(300)
            ],
        )
    connection.execute(
        "update built set stamp = 'of many'"
    )  # or what is kept of the demo would be taken for it
    connection.commit()
    connection.close()
    return file


@pytest.mark.parametrize("words", QUESTIONS, ids=lambda words: " ".join(words))
@pytest.mark.parametrize("name", ["nowhere-at-all", "uper-half-lft"])
def test_a_name_that_is_not_there_is_told_shortly(many: Path, words: tuple[str, ...], name: str) -> None:
    told = CliRunner().invoke(main, [*(word.format(name) for word in words), "--db", str(many)])
    assert told.exit_code == 2, told.output
    assert told.output.startswith("handling-db: "), told.output
    assert len(told.output) < LONGEST, told.output[:3000]


def test_of_many_names_the_first_and_how_many_more() -> None:
    assert some_of([]) == "none"
    assert some_of(f"n{n}" for n in range(13)).endswith(", n11, n12")
    assert some_of(f"n{n}" for n in range(1000)) == f"{', '.join(f'n{n}' for n in range(12))} and 988 more"


def test_a_near_lift_is_named_where_a_piece_may_be_meant_too(many: Path) -> None:
    with pytest.raises(LookupError, match="Lift groups like it: upper-half-lift"):
        named_in_file(open_database(many), "uper-half-lft", ("lift group", "component"))
