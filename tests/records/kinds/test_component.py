"""Components, part lines, fluids and parameters."""

from __future__ import annotations

import pytest

from handling_db.records.kinds.component import Component, Fluid, Parameter, PartLine


def assembly(**more):
    return {"component": "unit", "name": "Unit", "kind": "assembly", **more}


def test_a_component_needs_an_id_a_name_and_a_kind(refusal):
    assert refusal(Component, {}) == [(name, "Field required") for name in ("component", "name", "kind")]
    assert refusal(Component, assembly()) == []
    assert Component.model_validate(assembly()).id == "unit"


def test_words_of_kind(refusal):
    assert refusal(Component, assembly(kind="thing")) == [
        ("kind", "Input should be 'assembly', 'part', 'fluid' or 'set'")
    ]


LINE = {"component": "gear", "quantity": "2"}


def line(**more):
    return {**LINE, **more}


@pytest.mark.parametrize("quantity", ["1", "14", "2.5", "discs", "2*discs"])
def test_a_quantity_is_given(quantity, refusal):
    assert refusal(PartLine, line(quantity=quantity)) == []


def test_a_quantity_left_out_or_zero_is_a_fault_and_never_one(refusal):
    assert refusal(PartLine, {"component": "gear"}) == [("quantity", "Field required")]
    assert refusal(PartLine, line(quantity=None)) == [("quantity", "write a text here, not nothing")]
    assert refusal(PartLine, line(quantity="0")) == [
        ("quantity", "a quantity of 0 lists nothing; leave the line out, or write the number there are")
    ]


AT = ["0 mm", "0 mm", "0 mm"]
TURNED = {"yaw": "90 deg"}


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"places": [{"at": AT}, {"at": AT}]}, None),
        ({"places": [{"at": AT, "turned": TURNED}, {"at": AT}]}, None),
        ({"places": [{"at": AT}]}, "quantity 2 but 1 places; make them the same"),
        ({"places": [{"at": AT}] * 3}, "quantity 2 but 3 places; make them the same"),
        ({"quantity": "2.5", "places": [{"at": AT}] * 2}, "quantity 2.5 but 2 places; make them the same"),
        ({"quantity": "pins", "places": [{"at": AT}] * 3}, None),
        ({"at": AT, "places": [{"at": AT}] * 2}, "give 'at' (and 'turned') or a list of 'places', not both"),
        ({"quantity": "1", "at": AT, "turned": TURNED}, None),
        ({"at": AT}, None),
        ({"at": AT, "turned": TURNED}, "a set with one 'at' has no turn; write a list of 'places' instead"),
        (
            {"quantity": "pins", "at": AT, "turned": TURNED},
            "a set with one 'at' has no turn; write a list of 'places' instead",
        ),
        ({"quantity": "1", "turned": TURNED}, "'turned' needs 'at': where is it?"),
    ],
)
def test_where_the_pieces_of_a_line_are(fields, message, refusal):
    assert refusal(PartLine, line(**fields)) == ([] if message is None else [("", message)])


def test_the_id_of_a_line_is_its_own_or_made_of_its_text():
    plain = PartLine.model_validate(LINE)
    other_order = PartLine.model_validate(dict(reversed(LINE.items())))

    assert PartLine.model_validate(line(id="left")).key("unit") == "left"
    assert plain.key("unit") == other_order.key("unit")
    assert plain.key("unit") != plain.key("other-unit")
    assert plain.key("unit") != PartLine.model_validate(line(quantity="3")).key("unit")
    assert len(plain.key("unit")) == 12


OIL = {"litres": "24 L", "density": "0.87 kg/L"}


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({}, None),
        ({"stays": "2.5 L", "stays plus or minus": "1.5 L"}, None),
        ({"stays": "24 L"}, None),
        ({"stays": "nobody looked"}, None),
        ({"stays": "none", "checked by": "shop foreman"}, None),
        (
            {"stays": "none"},
            "'stays: none' needs 'checked by': write whose role looked, or leave 'stays' out",
        ),
        ({"stays": "0 L"}, "'stays' of 0 is the word 'none', with 'checked by': whose role looked"),
        ({"stays": "25 L"}, "25 L stays of 24 L; that is more than there is"),
        ({"stays plus or minus": "1 L"}, "'stays plus or minus' needs 'stays' in litres"),
        (
            {"stays": "none", "checked by": "foreman", "stays plus or minus": "1 L"},
            "'stays plus or minus' needs 'stays' in litres",
        ),
        ({"litres": "0 L"}, "'litres' of 0 is no fluid; leave the record out, or write how much there is"),
        (
            {"density": "0 kg/L"},
            "'density' of 0 would make the fluid weigh nothing; write what a litre weighs",
        ),
        ({"litres": "2*L*coolers", "litres plus or minus": "1 L"}, None),
        (
            {"litres": "2*L*coolers"},
            "litres by a formula have no digits to read their doubt from; write 'litres plus or minus'",
        ),
    ],
)
def test_what_a_fluid_says(fields, message, refusal):
    assert refusal(Fluid, {**OIL, **fields}) == ([] if message is None else [("", message)])


def test_a_fluid_needs_litres_and_density(refusal):
    assert refusal(Fluid, {}) == [("litres", "Field required"), ("density", "Field required")]


FLUID_ONLY = "a fluid has 'fluid: {litres, density}', and nothing else has"
STATEMENT = {"printed": "5 kg", "source": "book"}


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"kind": "fluid", "fluid": OIL}, None),
        ({"kind": "fluid"}, FLUID_ONLY),
        ({"fluid": OIL}, FLUID_ONLY),
        (
            {"kind": "fluid", "fluid": OIL, "masses": [STATEMENT]},
            "a fluid's mass is its litres times its density; it has no parts and no masses",
        ),
        ({"parts": [LINE], "parts listed": "all"}, None),
        ({"parts": [LINE]}, None),
        ({"kind": "part", "masses": [STATEMENT]}, None),
        ({"kind": "part", "parts": [LINE]}, "only an assembly has parts; this says kind: part"),
        ({"kind": "set", "parts": [LINE]}, "only an assembly has parts; this says kind: set"),
        ({"parts listed": "all"}, "'parts listed' needs parts"),
    ],
)
def test_what_goes_with_which_kind(fields, message, refusal):
    assert refusal(Component, assembly(**fields)) == ([] if message is None else [("", message)])


def test_parts_listed_left_out_is_nobody_looked():
    component = Component.model_validate(assembly(parts=[LINE]))

    assert component.parts_listed is None
    assert "parts listed" not in component.as_written()


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"default": "8"}, None),
        ({"formula": "64*mm + 7*mm*discs"}, None),
        ({"default": "8", "from": "4", "to": "12", "step": "1"}, None),
        ({}, "'default' is missing; write it, or a 'formula' over other parameters"),
        ({"default": "8", "formula": "discs"}, "write a 'default' or a 'formula', not both"),
        (
            {"formula": "discs", "step": "1"},
            "a parameter worked out by a formula has no choices and no step; it has a range",
        ),
    ],
)
def test_a_parameter_is_chosen_or_worked_out(fields, message, refusal):
    assert refusal(Parameter, fields) == ([] if message is None else [("", message)])


def build(name, **serials):
    return {"name": name, "set": {"discs": "10"}, **({"serials": serials} if serials else {})}


def test_named_builds_differ(refusal):
    early, late = build("early", to="1500"), build("late", **{"from": "1501"})
    parameters = {"discs": {"default": "8"}}

    assert refusal(Component, assembly(parameters=parameters, builds=[early, late])) == []
    assert refusal(Component, assembly(parameters=parameters, builds=[early, build("early")])) == [
        ("", "two builds are called 'early'; give one another name")
    ]
    overlapping = build("late", **{"from": "1500"})
    assert refusal(Component, assembly(parameters=parameters, builds=[early, overlapping])) == [
        (
            "",
            "the serials of the builds 'early' and 'late' overlap (up to 1500 and from 1500); "
            "a unit has one build",
        )
    ]
