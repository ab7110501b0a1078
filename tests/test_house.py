"""The house keeps its order: whatever is defined is reached from a public name, a command or a page; names are said
once, fields held once, few lists of parameters are long, and rooms are small."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from tests.house import (
    changes,
    circles,
    folder_sizes,
    many_parameters,
    same_fields,
    twice_named,
)
from tests.reach import House, whole

pytestmark = pytest.mark.slow

MOST_PARAMETERS_OVER_SIX = 8
MOST_IN_A_FOLDER = 20


@pytest.fixture(scope="module")
def house() -> House:
    return whole()


def test_every_definition_is_reached(house: House) -> None:
    """Wire it to a question that somebody asks, or delete it with its test."""
    assert [one.full for one in house.unreached()] == []


def test_no_class_is_named_twice(house: House) -> None:
    """Name the less public one by what it is, or use the other where they are the same thing."""
    assert twice_named(house) == []


def test_no_two_classes_hold_the_same_fields(house: House) -> None:
    """One class from the calculation to page and JSON."""
    assert same_fields(house) == []


def test_few_functions_take_more_than_six_parameters(house: House) -> None:
    """What belongs together is one thing with a name."""
    found = many_parameters(house)

    assert len(found) <= MOST_PARAMETERS_OVER_SIX, "\n".join(found)


def test_no_folder_is_full_and_no_import_goes_in_a_circle(house: House) -> None:
    ((name, count),) = folder_sizes(house).most_common(1)

    assert count <= MOST_IN_A_FOLDER, name
    assert circles(house) == []


def test_the_measures_see_what_they_measure(tmp_path: Path) -> None:
    """Each measure finds the thing where it is: a name said twice, fields held twice, a list too long."""
    texts = {
        "a": "class A:\n    x: int\n    y: int\n    z: int\n\n\ndef f(a, b, c, d, e, g, h): ...\n",
        "b": "class A:\n    z: int\n    y: int\n    x: int\n\n\ndef f(a, b, c, d, e, g): ...\n",
    }
    for name, text in texts.items():
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
    made = House({f"handling_db.{name}": tmp_path / f"{name}.py" for name in texts})

    assert twice_named(made) == ["A"]
    assert same_fields(made) == [["handling_db.a.A", "handling_db.b.A"]]
    assert many_parameters(made) == ["handling_db.a.f (7)"]
    assert folder_sizes(made) == {"handling_db": 2}


def test_a_commit_is_told_by_what_it_takes_out_and_puts_in(tmp_path: Path) -> None:
    """Docstrings, comments and blank lines are no code; a line that only moves to another file is neither."""

    def git(*words: str) -> None:
        subprocess.run(["git", "-C", str(tmp_path), *words], check=True, capture_output=True)

    def commit(subject: str) -> None:
        git("add", "-A")
        git("-c", "user.name=a", "-c", "user.email=a@b.example", "commit", "-qm", subject)

    git("init", "-q")
    (tmp_path / "one.py").write_text('"""One."""\n\nA = 1\nB = 2\nC = 3\n', encoding="utf-8")
    commit("Add one")
    (tmp_path / "one.py").write_text('"""One."""\n\n# said\nA = 1\nD = [\n    4,\n]\n', encoding="utf-8")
    (tmp_path / "two.py").write_text('"""Two."""\n\nB = 2\n', encoding="utf-8")
    commit("Divide one")
    (tmp_path / "two.py").unlink()
    (tmp_path / "notes.md").write_text("x\n", encoding="utf-8")
    commit("Let two go")

    assert [(one.out, one.added, one.subject) for one in changes("HEAD", tmp_path)] == [
        (0, 3, "Add one"),
        (1, 3, "Divide one"),
        (1, 0, "Let two go"),
    ]
    assert [one.subject for one in changes("HEAD~1..HEAD", tmp_path)] == ["Let two go"]
