"""Builds: values in range, values that depend on others, what is handed down, and counts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.families.build import (
    BuildError,
    build_of,
    count,
    handed_down,
    pieces,
    read_value,
    value_text,
)
from handling_db.families.parameter import choice_values
from handling_db.records.kinds.component import Component, Parameter, PartLine
from handling_db.records.parts.measures import Measure

DISCS = {"default": "8", "from": "4", "to": "12", "step": "1"}


def component(parameters, kind="part", name="Pack"):
    return Component.model_validate(
        {"component": "pack", "name": name, "kind": kind, "parameters": parameters}
    )


def refused(call, *arguments):
    with pytest.raises(BuildError) as caught:
        call(*arguments)
    return str(caught.value)


DRUM = component(
    {"drum_length": {"unit": "mm", "formula": "64*mm + 7*mm*discs", "to": "148 mm"}, "discs": DISCS}
)


@pytest.mark.parametrize(("discs", "length"), [(4, "92"), (8, "120"), (12, "148")])
def test_a_parameter_that_depends_on_another(discs, length):
    build = dict(build_of(DRUM, {"discs": Fraction(discs)}))

    assert build == {"discs": discs, "drum_length": Fraction(length) / 1000}
    assert value_text(DRUM.parameters["drum_length"], build["drum_length"]) == f"{length} mm"


def test_out_of_range_says_the_range():
    assert refused(build_of, DRUM, {"discs": Fraction(13)}) == (
        "discs = 13 is out of range: it goes from 4 to 12 in steps of 1"
    )
    assert refused(build_of, DRUM, {"discs": Fraction(17, 2)}) == (
        "discs = 8.5 is out of range: it goes from 4 to 12 in steps of 1"
    )


def test_a_dependent_one_that_leaves_its_range_says_what_it_was_worked_out_with():
    wide = component({"discs": {"default": "8"}, "drum_length": DRUM.parameters["drum_length"].as_written()})

    assert dict(build_of(wide, {"discs": Fraction(12)}))["drum_length"] == Fraction("0.148")
    assert refused(build_of, wide, {"discs": Fraction(13)}) == (
        "drum_length = 155 mm is out of range: it goes from any to 148 mm; "
        "it is worked out from '64*mm + 7*mm*discs' with discs = 13"
    )


def test_a_dependent_one_cannot_be_given_another_value():
    assert build_of(DRUM, dict(build_of(DRUM))) == build_of(DRUM)
    assert refused(build_of, DRUM, {"drum_length": Fraction("0.1")}) == (
        "drum_length is worked out from '64*mm + 7*mm*discs' as 120 mm and cannot be given; "
        "give what it depends on"
    )


def test_a_circle_is_named():
    ring = component({"a": {"formula": "b + 1"}, "b": {"formula": "c"}, "c": {"formula": "2*a"}})

    assert refused(build_of, ring) == "parameters depend on each other in a circle: a -> b -> c -> a"


def test_order_of_writing_does_not_matter():
    chain = component({"c": {"formula": "2*b"}, "b": {"formula": "a + 1"}, "a": {"default": "3"}})

    assert dict(build_of(chain)) == {"a": 3, "b": 4, "c": 8}


@pytest.mark.parametrize(
    ("unit", "text", "formula", "result"),
    [
        ("L", "24 L", "v/(8*L)", "3"),
        ("kg/L", "0.87 kg/L", "v * 1*m**3 / (1*kg)", "870"),
        ("deg", "90 deg", "v/(45*deg)", "2"),
        ("lb", "10 lb", "v/(0.45359237*kg)", "10"),
        ("in", "2 in", "v/mm", "50.8"),
    ],
)
def test_units_of_records_and_of_formulas_mean_the_same(unit, text, formula, result):
    """A litre is a litre: records keep L and kg/L where formulas have m³ and kg/m³."""
    made = component({"v": {"unit": unit, "default": text}, "n": {"formula": formula}})

    assert dict(build_of(made))["n"] == Fraction(result)


def test_litres_worked_out_come_back_in_litres():
    made = component({"n": {"default": "3"}, "v": {"unit": "L", "formula": "8*L*n"}})

    assert dict(build_of(made))["v"] == 24
    assert value_text(made.parameters["v"], Fraction(24)) == "24 L"


LENGTH = Parameter.model_validate(
    {"unit": "mm", "default": "620 mm", "choices": ["620 mm", "780 mm", "940 mm"]}
)


def test_choices_that_are_all_figures_are_figures():
    assert choice_values("length", LENGTH) == (Fraction("0.62"), Fraction("0.78"), Fraction("0.94"))
    assert read_value("length", LENGTH, "780") == Fraction("0.78")
    assert read_value("length", LENGTH, "78 cm") == Fraction("0.78")
    assert refused(read_value, "length", LENGTH, "700 mm") == (
        "length = '700 mm' is not a choice; write one of: 620 mm, 780 mm, 940 mm"
    )


def test_one_word_among_choices_makes_all_of_them_words():
    mixed = Parameter.model_validate({"default": "none", "choices": ["none", "4", "6"]})

    assert choice_values("blades", mixed) == ("none", "4", "6")


def child(**parameters):
    return component(parameters, name="Child")


PARENT = component(
    {
        "discs": DISCS,
        "length": {"unit": "mm", "default": "620 mm"},
        "brake": {"default": "yes", "choices": ["yes", "no"]},
    }
)


@pytest.mark.parametrize(
    ("parameter", "text", "value"),
    [
        ({"default": "1"}, "discs", Fraction(8)),
        ({"default": "1"}, "2*discs + 1", Fraction(17)),
        ({"default": "1"}, "5", Fraction(5)),
        ({"unit": "mm", "default": "1 mm"}, "length", Fraction("0.62")),
        ({"unit": "cm", "default": "1 cm"}, "length", Fraction("0.62")),
        ({"unit": "mm", "default": "1 mm"}, "240*mm + (length - 620*mm)", Fraction("0.24")),
        ({"unit": "mm", "default": "1 mm"}, "300 mm", Fraction("0.3")),
        ({"unit": "mm", "default": "1 mm"}, "300", Fraction("0.3")),
        ({"default": "no", "choices": ["yes", "no"]}, "brake", "yes"),
        ({"default": "yes", "choices": ["yes", "no"]}, "no", "no"),
        ({"unit": "L", "default": "1 L"}, "3*L*discs", Fraction(24)),
    ],
)
def test_what_a_part_line_hands_down(parameter, text, value):
    given = handed_down(child(x=parameter), {"x": text}, build_of(PARENT), PARENT)

    assert given == {"x": value}


@pytest.mark.parametrize(
    ("parameter", "text", "message"),
    [
        (
            {"unit": "mm", "default": "1 mm"},
            "discs",
            "x = 'discs' is a plain number; it must be a length",
        ),
        ({"default": "1"}, "length", "x = 'length' is a length; it must be a plain number"),
        ({"default": "1"}, "brake", "x = 'brake' is the choice 'yes', not a number"),
        (
            {"default": "a", "choices": ["a", "b"]},
            "discs",
            "x = 'discs' is not a choice; write one of: a, b",
        ),
        (
            {"default": "1"},
            "disks",
            "x = 'disks' cannot be worked out: column 1: 'disks' is neither a unit nor a parameter with a "
            "value; did you mean 'discs'?",
        ),
    ],
)
def test_what_cannot_be_handed_down(parameter, text, message):
    assert refused(handed_down, child(x=parameter), {"x": text}, build_of(PARENT), PARENT) == message


def test_a_parameter_the_child_does_not_have():
    assert refused(handed_down, child(x={"default": "1"}), {"y": "1"}, (), PARENT) == (
        "Child has no parameter 'y' to set; it has: x"
    )


def line(quantity, **more):
    return PartLine.model_validate({"component": "pack", "quantity": quantity, **more})


def test_counts():
    build = build_of(PARENT)

    assert pieces(line("14"), PARENT, build, child()) == 14
    assert pieces(line("1.5"), PARENT, build, child()) == Fraction(3, 2)
    assert pieces(line("2*discs"), PARENT, build, child()) == 16
    assert pieces(line("when(brake == no, 1, 0)"), PARENT, build, child()) == 0
    assert count(Measure("discs", "count"), (("discs", Fraction(6)),)) == 6


def test_a_count_is_not_negative_and_parts_come_whole():
    build = build_of(PARENT)
    seals = Component.model_validate({"component": "pack", "name": "Seals", "kind": "set"})

    assert refused(pieces, line("6 - discs"), PARENT, build, child()) == (
        "'6 - discs' gives -2 pieces in this build; a count is not negative, so write max(0, ...) "
        "if it means none"
    )
    assert refused(pieces, line("discs/3"), PARENT, build, child()) == (
        "'discs/3' gives 2.66667 pieces in this build; Child comes in whole pieces only"
    )
    assert pieces(line("discs/3"), PARENT, build, seals) == Fraction(8, 3)
    assert refused(pieces, line("length"), PARENT, build, child()) == (
        "'length' gives a length; it must be a plain number"
    )


@pytest.mark.parametrize(
    ("condition", "there"),
    [("brake == yes", 1), ("brake != yes", 0), ("discs > 8", 0), ("length >= 620*mm", 1)],
)
def test_presence_by_option(condition, there):
    found = pieces(line("1", **{"only when": condition}), PARENT, build_of(PARENT), child())

    assert found == there


@pytest.mark.parametrize(
    ("condition", "words"),
    [
        ("brake", "the first argument of when is a comparison"),
        ("brake == yes, 1, 0) + when(discs == 8", "a condition is one comparison"),
        ("brake == yes, 5", "when takes three arguments"),
        ("x == yes", "'x' is neither a unit nor a parameter"),
        ("brake == " + "y" * 150, "a condition has at most 150 characters"),
    ],
)
def test_a_condition_is_one_comparison(condition, words):
    message = refused(pieces, line("1", **{"only when": condition}), PARENT, build_of(PARENT), child())

    assert words in message


@given(st.integers(4, 12))
def test_a_whole_range_is_exact(discs):
    build = dict(build_of(DRUM, {"discs": Fraction(discs)}))

    assert build["drum_length"] == Fraction(64 + 7 * discs, 1000)


@given(st.text(max_size=60))
def test_no_text_breaks_a_build(text):
    """Whatever stands in a count, the answer is a number from nothing up, or a refusal."""
    measure = Measure(text, "count")
    try:
        found = count(measure, build_of(PARENT), PARENT.parameters)
    except BuildError:
        return
    assert found >= 0


@given(st.lists(st.tuples(st.integers(4, 12), st.integers(4, 12)), min_size=1, max_size=40))
def test_a_build_that_is_kept_is_that_of_its_own_parameters(several):
    """Components that come and go, so that one may stand where another stood: default and given values."""
    for default, given_discs in several:
        pack = component({"discs": {**DISCS, "default": str(default)}})
        assert build_of(pack) == (("discs", Fraction(default)),)
        assert build_of(pack, {"discs": Fraction(given_discs)}) == (("discs", Fraction(given_discs)),)
        assert build_of(pack) == (("discs", Fraction(default)),)
        copied = pack.model_copy(update={"parameters": DRUM.parameters})
        assert dict(build_of(copied))["drum_length"] == Fraction(120, 1000)


def test_a_build_that_is_refused_is_refused_again():
    for _ in range(2):
        assert "out of range" in refused(build_of, DRUM, {"discs": Fraction(13)})
