"""Builds by name and by serial number, and sweeps over one parameter."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.families.build import BuildError
from handling_db.families.named_builds import build_for_serial, given_values, named_build
from handling_db.lookup.sweep import Held, sweep
from handling_db.records.collection import Collection
from tests.from_text import SCALE, collection

TEXT = """
- component: box
  name: Box
  kind: assembly
  parameters:
    discs: {default: 8, from: 4, to: 14}
    length: {unit: mm, default: 620 mm, choices: [620 mm, 780 mm]}
    span: {unit: mm, formula: 2*length}
    gap: {unit: mm, default: 5 mm, from: 5 mm, to: 6 mm, step: 0.25 mm}
    free: {unit: mm, default: 5 mm}
  builds:
    - {name: short frame, serials: {to: 199}, set: {length: 620 mm}}
    - {name: Long frame, serials: {from: 200, to: 300}, set: {length: 780 mm, discs: 10}}
  parts listed: all
  parts:
    - {component: disc, quantity: discs, set: {discs: discs}}
    - {component: rod, quantity: 1, set: {length: length}}
- component: disc
  name: Disc
  kind: part
  parameters: {discs: {default: 8, to: 12}}
  masses: [{formula: 1*kg, source: scale, plus or minus: 0.1 kg}]
- component: rod
  name: Rod
  kind: part
  parameters: {length: {unit: mm, default: 620 mm}}
  masses: [{formula: 10*kg/m*length, source: scale, plus or minus: 1 %}]
"""


@pytest.fixture(scope="module")
def found() -> Collection:
    return collection(SCALE + TEXT)


def test_builds_by_name(found: Collection) -> None:
    box = found.components["box"]

    assert named_build(box, "short frame") == {"length": Fraction("0.62")}
    assert named_build(box, " long FRAME ") == {"length": Fraction("0.78"), "discs": 10}
    with pytest.raises(BuildError) as caught:
        named_build(box, "wide frame")
    assert str(caught.value) == "Box has no build called 'wide frame'; it has: short frame, Long frame"


def test_a_serial_number_has_one_build_or_none(found: Collection) -> None:
    box = found.components["box"]
    names = {n: (b.name if (b := build_for_serial(box, n)) else None) for n in (1, 199, 200, 300, 301)}

    assert names == {1: "short frame", 199: "short frame", 200: "Long frame", 300: "Long frame", 301: None}


def test_single_values_go_on_top_of_a_named_build(found: Collection) -> None:
    box = found.components["box"]

    assert given_values(box, {"discs": "9"}, "long frame") == {"length": Fraction("0.78"), "discs": 9}
    assert given_values(box, {}) == {}
    with pytest.raises(BuildError, match="discs = 15 is out of range: it goes from 4 to 14"):
        given_values(box, {"discs": "15"}, "long frame")
    with pytest.raises(BuildError, match="Box has no parameter 'width'; it has: discs, length"):
        given_values(box, {"width": "15"})


def test_a_sweep_over_every_step_says_which_builds_cannot_be(found: Collection) -> None:
    rows = sweep(found, "box", "discs", Held("dry"))

    assert [row.text for row in rows] == [str(n) for n in range(4, 15)]
    assert [row.figure.best if row.figure else row.why for row in rows] == [
        *(Fraction(n) + Fraction("6.2") for n in range(4, 13)),
        "Box, Disc: discs = 13 is out of range: it goes from any to 12",
        "Box, Disc: discs = 14 is out of range: it goes from any to 12",
    ]


def test_a_sweep_over_choices_with_the_rest_held(found: Collection) -> None:
    rows = sweep(found, "box", "length", Held("dry", {"discs": Fraction(10)}, ["disc"]))

    assert [(row.text, row.figure.best if row.figure else None) for row in rows] == [
        ("620 mm", Fraction("6.2")),
        ("780 mm", Fraction("7.8")),
    ]
    assert [row.value for row in rows] == [0.62, 0.78]


def test_a_sweep_over_named_values_and_over_steps_of_a_length(found: Collection) -> None:
    assert [row.text for row in sweep(found, "box", "discs", Held("dry"), ["8", "4"])] == ["8", "4"]
    assert [row.text for row in sweep(found, "box", "gap", Held("dry"))] == [
        "5 mm",
        "5.25 mm",
        "5.5 mm",
        "5.75 mm",
        "6 mm",
    ]


@pytest.mark.parametrize(
    ("parameter", "values", "message"),
    [
        ("width", None, "Box has no parameter 'width'; it has: discs, length, span, gap, free"),
        ("span", None, "span is worked out from '2*length'; go through what it depends on"),
        ("free", None, "free has no 'from', 'to' and 'step' to go through; name the values"),
        ("discs", ["3"], "discs = 3 is out of range: it goes from 4 to 14"),
        ("discs", ["8"] * 201, "discs has 201 values to go through; name at most 200 of them"),
    ],
)
def test_sweeps_that_cannot_be(
    found: Collection, parameter: str, values: list[str] | None, message: str
) -> None:
    with pytest.raises(BuildError) as caught:
        sweep(found, "box", parameter, Held("dry"), values)

    assert str(caught.value) == message


def test_a_range_of_very_many_steps_is_refused() -> None:
    text = TEXT.replace("to: 6 mm, step: 0.25 mm", "to: 6 mm, step: 0.001 mm")
    with pytest.raises(BuildError, match="gap has 1001 steps to go through; name at most 200 values"):
        sweep(collection(SCALE + text), "box", "gap", Held("dry"))
