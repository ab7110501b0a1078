"""The house keeps its order: names said once, fields held once, few long lists of parameters, small rooms."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.house import (
    circles,
    folder_sizes,
    many_parameters,
    same_fields,
    twice_named,
)
from tests.reach import House, whole

MOST_PARAMETERS_OVER_SIX = 8
MOST_IN_A_FOLDER = 20
# The record has nothing where nobody looked; the answer says so in words, in fields that others read by name.
KNOWN_TWINS = [["handling_db.lifting.figures.EdgeRunFigure", "handling_db.records.kinds.lift_group.EdgeRun"]]


@pytest.fixture(scope="module")
def house() -> House:
    return whole()


def test_no_class_is_named_twice(house: House) -> None:
    """Name the less public one by what it is, or use the other where they are the same thing."""
    assert twice_named(house) == []


def test_no_two_classes_hold_the_same_fields(house: House) -> None:
    """One class from the calculation to page and JSON."""
    assert [sorted(names) for names in same_fields(house)] == KNOWN_TWINS


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
