"""What is wrong with a family is said when its record is read, with file, line and field."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.records.kinds.component import Component
from handling_db.weights.family_check import component_faults
from tests.from_text import reading

HEAD = "component: pack\nname: Pack\nkind: {kind}\n"


def faults(text: str, kind: str = "part") -> list[str]:
    return [str(finding) for finding in reading(HEAD.format(kind=kind) + text, "pack.yml").findings]


@pytest.mark.parametrize(
    ("parameters", "message"),
    [
        (
            "drum-length: {default: 8}",
            "parameters.drum-length: 'drum-length' cannot be a parameter's name; write letters, digits and _ "
            "only, at most 40, a letter first, such as shaft_length.",
        ),
        (
            "kg: {default: 8}",
            "parameters.kg: 'kg' is a unit; call the parameter something else, such as kg_count.",
        ),
        (
            "max: {default: 8}",
            "parameters.max: 'max' has a meaning in formulas; call the parameter something else.",
        ),
        (
            "discs: {default: 3, from: 4, to: 12}",
            "parameters.discs.default: discs = 3 is out of range: it goes from 4 to 12.",
        ),
        (
            "discs: {default: many}",
            "parameters.discs.default: discs = 'many' is not a number.",
        ),
        (
            "discs: {default: 8, to: few}",
            "parameters.discs.to: discs = 'few' is not a number.",
        ),
        (
            "brake: {default: maybe, choices: [yes, no]}",
            "parameters.brake.default: brake = 'maybe' is not a choice; write one of: yes, no.",
        ),
        (
            "long: {unit: mm, formula: 2*discs}\n  discs: {default: 8}",
            "parameters.long.formula: '2*discs' gives a plain number; it must be a length.",
        ),
        (
            "long: {unit: mm, formula: 64*mm + 7*discs}\n  discs: {default: 8}",
            "parameters.long.formula: '64*mm + 7*discs': column 7: cannot add a length and a plain number; "
            "give the plain number a unit, such as 5*mm.",
        ),
        (
            "long: {unit: mm, formula: 7*mm*disks}\n  discs: {default: 8}",
            "parameters.long.formula: '7*mm*disks': column 6: 'disks' is neither a unit nor a parameter with "
            "a value; did you mean 'discs'?",
        ),
        (
            "long: {unit: mm, formula: 7*mm*discs, to: 50 mm}\n  discs: {default: 8}",
            "parameters: long = 56 mm is out of range: it goes from any to 50 mm; it is worked out from "
            "'7*mm*discs' with discs = 8.",
        ),
        (
            "a: {formula: b}\n  b: {formula: a}",
            "parameters: parameters depend on each other in a circle: a -> b -> a.",
        ),
    ],
)
def test_parameters(parameters: str, message: str) -> None:
    (found,) = faults(f"parameters:\n  {parameters}\n")

    place, _, told = found.partition(": ")
    assert told == message
    assert place.startswith("pack.yml:")


def test_an_unknown_unit() -> None:
    (found,) = faults("parameters:\n  long: {unit: cubit, default: 8}\n")

    assert found.startswith("pack.yml:5: parameters.long.unit: long: the unit 'cubit' is not known here")


PARAMETERS = "parameters: {discs: {default: 8}, length: {unit: mm, default: 620 mm}}\n"


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("quantity: length", "parts[0].quantity: 'length' gives a length; it must be a plain number."),
        (
            "quantity: 1, at: [discs*2, 0 mm, 0 mm]",
            "parts[0].at[0]: 'discs*2' gives a plain number; it must be a length.",
        ),
        (
            "quantity: 1, at: [0 mm, 0 mm, 0 mm], turned: {yaw: length}",
            "parts[0].turned.yaw: 'length' gives a length; it must be an angle.",
        ),
        (
            "quantity: 2, places: [{at: [0 mm, 0 mm, 0 mm]}, {at: [0 mm, discs*1, 0 mm]}]",
            "parts[0].places[1].at[1]: 'discs*1' gives a plain number; it must be a length.",
        ),
        (
            "quantity: 1, only when: length > 3",
            "parts[0].only when: 'length > 3': column 1: cannot compare a length and a plain number; give "
            "the plain number a unit, such as 5*mm.",
        ),
        (
            "quantity: 1, only when: discs",
            "parts[0].only when: 'discs': column 1: the first argument of when is a comparison; write "
            "when(brake == yes, 1, 0): a comparison, the figure if it holds, the figure if not (a condition "
            "is one comparison, such as brake == yes).",
        ),
    ],
)
def test_part_lines(line: str, message: str) -> None:
    (found,) = faults(f"{PARAMETERS}parts:\n  - {{component: disc, {line}}}\n", "assembly")

    assert found == f"pack.yml:6: {message}"


@pytest.mark.parametrize(
    ("statement", "message"),
    [
        ("formula: 2*discs", "masses[0].formula: '2*discs' gives a plain number; it must be a mass."),
        (
            "formula: 5*kg - 1*kg*discs",
            "masses[0].formula: '5*kg - 1*kg*discs' gives -3 kg; a mass is above 0, and a part that is not "
            "there is left out by its quantity.",
        ),
        (
            "shape: {cylinder: {diameter: 75 mm, length: discs*2}, density: steel}",
            "masses[0].shape.cylinder.length: 'discs*2' gives a plain number; it must be a length.",
        ),
        (
            "shape: {cylinder: {diameter: 75, length: 30 mm}, density: steel}",
            "masses[0].shape.cylinder.diameter: '75' has no unit; write a number and a unit, such as '320 mm' "
            "or '12 1/2 in'.",
        ),
        (
            "shape: {cylinder: {diameter: 75 mm}, density: steel}",
            "masses[0].shape: the shape cannot be worked out: cylinder: length is missing. It takes diameter, "
            "length.",
        ),
        (
            "shape: {barrel: {diameter: 75 mm}, density: steel}",
            "masses[0].shape: the shape cannot be worked out: 'barrel' is not known here.",
        ),
        (
            "shape: {tube: {outside: 50 mm, inside: 60 mm, length: 30 mm}, density: steel}",
            "masses[0].shape: the shape cannot be worked out: tube: the inside of 60 mm is not smaller than "
            "the outside of 50 mm.",
        ),
        (
            "shape: {cylinder: {diameter: 75 mm, length: 30 mm}}",
            "masses[0].shape: the shape cannot be worked out: no density is given; write one for the shape "
            "or for each of its parts.",
        ),
        (
            "shape: {cylinder: {diameter: 75 mm, length: 30 mm}, density: 7850 kg/m³, fill: half}",
            "masses[0].shape.fill: 'half': column 1: 'half' is neither a unit nor a parameter with a value; "
            "known here: discs, length.",
        ),
        (
            "shape: {sum: [{cylinder: {diameter: 75 mm, length: 30 mm}}, {disc: {diameter: x, thickness: 1 mm}}]}",
            "masses[0].shape.sum[1].disc.diameter: 'x': column 1: 'x' is neither a unit nor a parameter with "
            "a value; known here: discs, length.",
        ),
    ],
)
def test_figures_that_are_worked_out(statement: str, message: str) -> None:
    (found,) = faults(f"{PARAMETERS}masses:\n  - {{{statement}, source: book}}\n")

    assert found == f"pack.yml:6: {message}"


@pytest.mark.parametrize(
    ("build", "message"),
    [
        ("{length: 1 kg}", "builds[0].set.length: length = '1 kg': '1 kg': kg is a mass, not a length"),
        ("{width: 3}", "builds[0].set.width: there is no parameter 'width' to set; there are: discs, length"),
    ],
)
def test_named_builds(build: str, message: str) -> None:
    (found,) = faults(f"{PARAMETERS}builds:\n  - {{name: long, set: {build}}}\n", "assembly")

    assert found.startswith(f"pack.yml:6: {message}")


def test_every_fault_in_one_run_and_the_record_is_left_out() -> None:
    text = (
        "parameters: {discs: {default: 13, to: 12}, 'a b': {default: 1}}\n"
        "masses:\n  - {formula: 2*disc, source: book}\n  - {formula: 1*kg +, source: book}\n"
    )
    read = reading(HEAD.format(kind="part") + text, "pack.yml")

    assert len(read.findings) == 4
    assert read.collection.components == {}


def test_a_component_without_a_family_has_no_faults_of_this_kind() -> None:
    assert faults("masses: [{printed: 5 kg, source: book}]\n") == []


def test_materials_may_stand_in_another_file() -> None:
    """An id of a material is looked up by the checker, not by the reader of one record."""
    text = "masses: [{shape: {cylinder: {diameter: 75 mm, length: 30 mm}, density: unobtainium}, source: book}]\n"

    assert faults(text) == []


_TEXTS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["75 mm", "discs", "length", "2*length", "steel", "0.65", "7850 kg/m³", "M16"]),
)
_NAMES = st.sampled_from(
    [
        "cylinder",
        "tube",
        "sum",
        "difference",
        "from",
        "cut",
        "diameter",
        "length",
        "at",
        "fill",
        "density",
        "x",
    ]
)
_ANY = st.recursive(
    _TEXTS,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(_NAMES, inner, max_size=4)),
    max_leaves=12,
)


@pytest.mark.slow
@settings(max_examples=80, deadline=None)
@given(st.dictionaries(_NAMES, _ANY, min_size=1, max_size=4))
def test_no_shape_breaks_the_reader(shape: dict[str, object]) -> None:
    """Whatever a shape is made of, it is worked out or refused with words."""
    component = Component.model_validate(
        {
            "component": "pack",
            "name": "Pack",
            "kind": "part",
            "parameters": {"discs": {"default": "8"}, "length": {"unit": "mm", "default": "620 mm"}},
            "masses": [{"shape": shape, "source": "book"}],
        }
    )

    for fault in component_faults(component):
        assert fault.message
        assert fault.path[:2] == ("masses", 0)
