"""What a record may say of a family: parameters, named builds, figures by formula and shape, materials."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.records.kinds.component import Component, Parameter, PartLine
from handling_db.records.kinds.material import Material
from handling_db.records.parts.measures import Percent
from handling_db.records.parts.statement import MassStatement

SHAPE = {"cylinder": {"diameter": "75 mm", "length": "430 mm"}, "density": "steel"}


def statement(**more):
    return {"source": "book", **more}


@pytest.mark.parametrize(
    "fields",
    [
        {"printed": "5 kg"},
        {"formula": "1*kg*discs", "plus or minus": "2 %"},
        {"shape": SHAPE, "made": "casting"},
        {"shape": SHAPE, "plus or minus": "0.3 kg"},
    ],
)
def test_a_figure_is_printed_or_worked_out(fields, refusal):
    assert refusal(MassStatement, statement(**fields)) == []


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({}, "write exactly one of: printed, formula, shape"),
        ({"printed": "5 kg", "formula": "5*kg"}, "write exactly one of: printed, formula, shape"),
        ({"formula": "5*kg", "shape": SHAPE}, "write exactly one of: printed, formula, shape"),
        ({"printed": "5 kg", "made": "casting"}, "'made' goes with 'shape'; it says which doubt a shape has"),
        (
            {"formula": "5*kg", "build": {"discs": "8"}},
            "'build' goes with 'printed'; a formula or a shape is worked out in every build",
        ),
        (
            {"shape": SHAPE, "step": "1 kg"},
            "a shape has no step of rounding; write 'plus or minus', or leave it out",
        ),
    ],
)
def test_what_does_not_go_together(fields, message, refusal):
    assert refusal(MassStatement, statement(**fields)) == [("", message)]


@pytest.mark.parametrize("text", ["0 %", "100 %", "-2 %", "two %", "2.5.1 %"])
def test_a_share_is_above_nothing_and_below_everything(text, refusal):
    (found,) = refusal(MassStatement, statement(printed="5 kg", **{"plus or minus": text}))

    assert found == (
        "plus or minus",
        f"{text!r} is not a share; write a percentage above 0 and below 100, such as 2 %",
    )


def test_a_percentage_is_kept_as_written():
    made = MassStatement.model_validate(statement(formula="5*kg", **{"plus or minus": "2.5 %"}))

    assert made.plus_or_minus == Percent("2.5 %", Fraction(1, 40))
    assert made.as_written()["plus or minus"] == "2.5 %"
    assert MassStatement.model_validate(made.as_written()) == made


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"default": "8"}, None),
        ({"unit": "mm", "formula": "7*mm*discs", "to": "148 mm"}, None),
        ({}, "'default' is missing; write it, or a 'formula' over other parameters"),
        ({"default": "8", "formula": "2*discs"}, "write a 'default' or a 'formula', not both"),
        (
            {"formula": "2*discs", "step": "1"},
            "a parameter worked out by a formula has no choices and no step; it has a range",
        ),
    ],
)
def test_a_parameter_is_chosen_or_worked_out(fields, message, refusal):
    assert refusal(Parameter, fields) == ([] if message is None else [("", message)])


def family(*builds):
    return {
        "component": "box",
        "name": "Box",
        "kind": "assembly",
        "parameters": {"length": {"unit": "mm", "default": "620 mm"}},
        "builds": list(builds),
    }


SHORT = {"name": "short", "set": {"length": "620 mm"}, "serials": {"from": "1", "to": "99"}}


def test_named_builds_differ_in_name_and_serials(refusal):
    long = {"name": "long", "set": {"length": "780 mm"}, "serials": {"from": "100"}}

    assert refusal(Component, family(SHORT, long)) == []
    assert refusal(Component, family(SHORT, {**long, "name": "short"})) == [
        ("", "two builds are called 'short'; give one another name")
    ]
    assert refusal(Component, family(SHORT, {**long, "serials": {"from": "99"}})) == [
        (
            "",
            "the serials of the builds 'short' and 'long' overlap (1 to 99 and from 99); a unit has one build",
        )
    ]


def test_a_condition_and_formulas_stand_in_a_part_line():
    line = PartLine.model_validate(
        {
            "component": "brake",
            "quantity": "2*discs",
            "only when": "brake == yes",
            "at": ["400*mm - length/2", "-length/2", "-510 mm"],
        }
    )

    assert line.only_when == "brake == yes"
    assert line.at is not None
    assert [value.is_formula for value in line.at] == [True, True, False]
    assert PartLine.model_validate(line.as_written()) == line


def test_litres_by_a_formula_need_their_doubt(refusal):
    fluid = {"litres": "2*L*discs", "density": "0.87 kg/L"}
    oil = {"component": "oil", "name": "Oil", "kind": "fluid"}

    assert refusal(Component, {**oil, "fluid": {**fluid, "litres plus or minus": "1 L"}}) == []
    assert refusal(Component, {**oil, "fluid": fluid}) == [
        ("fluid", "litres by a formula have no digits to read their doubt from; write 'litres plus or minus'")
    ]


MATERIAL = {"material": "iron", "name": "Iron", "basis": "a table"}


@pytest.mark.parametrize(
    ("fields", "limits"),
    [
        ({"density": "7850 kg/m³"}, ("7.85", "7.85", "7.85")),
        ({"lowest": "7000 kg/m³", "highest": "7400 kg/m³"}, ("7", "7.2", "7.4")),
        (
            {"lowest": "7000 kg/m³", "density": "7.1 kg/L", "highest": "7400 kg/m³"},
            ("7", "7.1", "7.4"),
        ),
    ],
)
def test_a_material_has_a_figure_or_a_range(fields, limits):
    assert Material.model_validate({**MATERIAL, **fields}).limits == tuple(map(Fraction, limits))


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({}, "write 'density', or 'lowest' and 'highest'"),
        ({"lowest": "7 kg/L"}, "'lowest' and 'highest' go together"),
        (
            {"lowest": "8 kg/L", "highest": "7 kg/L"},
            "write them in order: lowest, density, highest, all above 0",
        ),
    ],
)
def test_a_material_that_says_too_little(fields, message, refusal):
    assert refusal(Material, {**MATERIAL, **fields}) == [("", message)]
