"""Families in the tree: counts, places, options and figures of each build; nothing lost without a word."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.balance.together.reach import AllEvidence
from handling_db.families.build import BuildError
from handling_db.lookup.plan import plan_for
from handling_db.lookup.weight import answer
from handling_db.quantities.quantity import parse_quantity
from handling_db.records.collection import Collection
from handling_db.weights.centre import centres
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold
from handling_db.weights.witness import witnesses, worked_witness
from tests.from_text import SCALE, collection

SHAPES = """
- {source: tape, name: tape, kind: "from shape, machined"}
- {source: guess, name: guess, kind: "from shape, casting"}
"""
BOX = """
- component: box
  name: Box
  kind: assembly
  parameters:
    discs: {default: 8, from: 4, to: 12, step: 1}
    length: {unit: mm, default: 620 mm}
    brake: {default: yes, choices: [yes, no]}
  parts listed: all
  parts:
    - {component: disc, quantity: 2*discs, at: [0 mm, 0 mm, 0 mm]}
    - {component: shaft, quantity: 1, at: [400*mm - length/2, 0 mm, -10 mm], set: {length: length}}
    - {component: brake, quantity: 1, only when: brake == yes, at: [1 m, 0 mm, 0 mm]}
- {component: disc, name: Disc, kind: part, masses: [{printed: 1.0 kg, plus or minus: 0.01 kg, source: scale}]}
- component: shaft
  name: Shaft
  kind: part
  parameters: {length: {unit: mm, default: 620 mm, to: 1000 mm}}
  masses: [{formula: 40*kg/m*length, source: scale, plus or minus: 1 %}]
- {component: brake, name: Brake, kind: part, masses: [{printed: 30 kg, step: 1 kg, source: book}]}
"""


def dry(found: Collection, code: str, **values: object) -> tuple[Totals, int]:
    tree = unfold(found, [(code, values)])
    return Totals(found, tree, "dry"), tree.start[next(n for n in tree.nodes if n[0] == code)]


@pytest.fixture(scope="module")
def box() -> Collection:
    return collection(SCALE + BOX)


@pytest.mark.parametrize(
    ("values", "best"),
    [
        ({}, "70.8"),
        ({"discs": Fraction(12)}, "78.8"),
        ({"length": Fraction("0.78")}, "77.2"),
        ({"brake": "no"}, "40.8"),
    ],
)
def test_the_sum_of_each_build(box: Collection, values: dict[str, object], best: str) -> None:
    totals, node = dry(box, "box", **values)

    assert totals.of(node).mass.best == Fraction(best)
    assert totals.of(node).known


def test_places_move_with_the_build(box: Collection) -> None:
    for length, x in (("0.62", 0.09), ("0.78", 0.01)):
        totals, node = dry(box, "box", length=Fraction(length))
        use = next(u for u in totals.tree.uses[node] if u.line.component == "shaft")
        assert use.worked is not None
        assert use.worked[0].at == pytest.approx((x, 0.0, -0.01))

    expected = (16 * 0 + 31.2 * 0.01 + 30 * 1) / 77.2
    found = centres(totals)[node].at
    assert found is not None
    assert found[0] == pytest.approx(expected)


def test_turns_and_lists_of_places_by_formula() -> None:
    found = collection(
        SCALE
        + """
- component: unit
  name: Unit
  kind: assembly
  parameters: {angle: {unit: deg, default: 90 deg}, reach: {unit: mm, default: 200 mm}}
  parts listed: all
  parts:
    - component: arm
      quantity: 2
      places:
        - {at: [reach, 0 mm, 0 mm], turned: {yaw: angle}}
        - {at: [0 mm, 0 mm, 0 mm], turned: {yaw: 2*angle}}
- {component: arm, name: Arm, kind: part, centre: [100 mm, 0 mm, 0 mm], masses: [{printed: 5.0 kg, source: scale}]}
"""
    )
    totals, node = dry(found, "unit")

    # The first reaches from (0.2, 0) to (0.2, 0.1), the second from the origin to (-0.1, 0).
    assert centres(totals)[node].at == pytest.approx((0.05, 0.05, 0.0))


def test_a_centre_by_formula() -> None:
    found = collection(
        SCALE
        + """
- component: bar
  name: Bar
  kind: part
  parameters: {length: {unit: mm, default: 600 mm}}
  centre: [length/2, 0 mm, 0 mm]
  masses: [{printed: 5.0 kg, source: scale}]
"""
    )
    totals, node = dry(found, "bar")

    assert centres(totals)[node].at == pytest.approx((0.3, 0.0, 0.0))


LIMITED = """
- component: pack
  name: Pack
  kind: assembly
  parameters: {{discs: {{default: {default}}}}}
  parts listed: all
  parts:
    - {{component: disc, quantity: discs, at: [0 mm, 0 mm, 0 mm]}}
    - {{component: drum, quantity: 1, at: [0 mm, 0 mm, 0 mm], set: {{discs: discs}}}}
- {{component: disc, name: Disc, kind: part, masses: [{{printed: 1.0 kg, plus or minus: 0.01 kg, source: scale}}]}}
- component: drum
  name: Drum
  kind: part
  parameters: {{discs: {{default: 8, from: 4, to: 12}}}}
  masses: [{{printed: 9.0 kg, source: scale}}, {{formula: 1*kg + 1*kg*discs, source: book, step: 1 kg}}]
"""


def test_a_build_that_a_part_below_cannot_take_is_refused_with_the_range() -> None:
    found = collection(SCALE + LIMITED.format(default=8))
    with pytest.raises(BuildError) as caught:
        answer(found, "pack", given={"discs": Fraction(13)})

    assert str(caught.value) == "Pack, Drum: discs = 13 is out of range: it goes from 4 to 12"


def test_a_part_that_cannot_be_worked_out_is_unknown_and_never_nothing() -> None:
    """Were it left out without a word, the total would be lighter than the thing."""
    found = collection(SCALE + LIMITED.format(default=13))
    totals, node = dry(found, "pack")
    total = totals.of(node)

    assert [fault.message for fault in totals.tree.faults] == [
        "discs = 13 is out of range: it goes from 4 to 12"
    ]
    assert not total.known
    assert total.unknown == (("drum", 1),)
    assert total.mass.best == 13
    assert centres(totals)[node].known_part_only
    assert plan_for(totals, node, AllEvidence(totals.collection)).plan is None
    assert totals.sum_of(node, leave_out={"drum"}).known


def test_a_place_that_cannot_be_worked_out_is_not_the_origin() -> None:
    """The mass still counts; where it sits is not known."""
    text = BOX.replace("400*mm - length/2", "length * 1*mm / (length - 620*mm)")
    text = text.replace("length: {unit: mm, default: 620 mm}", "length: {unit: mm, default: 700 mm}")
    found = collection(SCALE + text)
    totals, node = dry(found, "box", length=Fraction("0.62"))

    assert "divides by zero" in totals.tree.faults[0].message
    assert totals.of(node).known
    assert centres(totals)[node].at is None
    assert centres(totals)[node].no_place == ("shaft",)


def test_litres_by_formula_and_a_fluid_that_is_set() -> None:
    found = collection(
        """
- component: unit
  name: Unit
  kind: assembly
  parameters: {discs: {default: 8}}
  parts listed: all
  parts: [{component: oil, quantity: 1, set: {discs: discs}}]
- component: oil
  name: Oil
  kind: fluid
  parameters: {discs: {default: 1}}
  fluid: {litres: 16*L + 1*L*discs, litres plus or minus: 1 L, density: 0.87 kg/L}
"""
    )
    tree = unfold(found, [("unit", {"discs": Fraction(10)})])
    mass = Totals(found, tree, "filled").of(tree.start[tree.nodes[0]]).mass

    assert (mass.best, mass.high) == (Fraction("22.62"), Fraction("23.49"))


def shaft(masses: str, parameters: str = "") -> Collection:
    return collection(
        f"{SCALE}{SHAPES}\n- component: shaft\n  name: Shaft\n  kind: part\n{parameters}  masses:\n{masses}"
    )


LENGTH = "  parameters: {length: {unit: mm, default: 430 mm}}\n"
ROD = "{cylinder: {diameter: 75 mm, length: length}, density: steel}"


def test_a_shape_alone_is_used_with_the_doubt_of_its_kind() -> None:
    found = shaft(f"    - {{shape: {ROD}, source: tape}}\n", LENGTH)
    (one,) = witnesses(found, found.components["shaft"])

    assert float(one.mass.best) == pytest.approx(3.141592653589793 / 4 * 0.075**2 * 0.43 * 7850)
    assert float(one.mass.high / one.mass.best) == pytest.approx(1.05)
    assert float(one.mass.low / one.mass.best) == pytest.approx(0.95)
    assert one.printed == "14.91 kg from its shape"
    assert (one.hint, one.chosen, one.doubt_from) == (True, True, "usual for its kind")
    totals, node = dry(found, "shaft", length=Fraction("0.86"))
    assert float(totals.of(node).mass.best) == pytest.approx(2 * float(one.mass.best))


@pytest.mark.parametrize(
    ("more", "source", "share"),
    [
        ("", "tape", 0.05),
        ("", "guess", 0.25),
        (", made: casting", "tape", 0.25),
        (", made: machined", "guess", 0.25),
        (", plus or minus: 2 %", "tape", 0.02),
    ],
)
def test_the_doubt_of_a_shape(more: str, source: str, share: float) -> None:
    """The wider of how it is made and its kind of source; a stated doubt rules."""
    found = shaft(f"    - {{shape: {ROD}, source: {source}{more}}}\n", LENGTH)
    (one,) = witnesses(found, found.components["shaft"])

    assert float(one.mass.high / one.mass.best) == pytest.approx(1 + share)


def test_the_range_of_a_material_widens_the_doubt() -> None:
    """Grey iron spreads from 6600 to 7400 kg/m³, on top of the 25 % of a casting."""
    rod = ROD.replace("steel", "grey-cast-iron")
    found = shaft(f"    - {{shape: {rod}, source: guess}}\n", LENGTH)
    (one,) = witnesses(found, found.components["shaft"])

    assert float(one.mass.high / one.mass.best) == pytest.approx(1.25 * 7400 / 7000)
    assert float(one.mass.low / one.mass.best) == pytest.approx(0.75 * 6600 / 7000)


def test_a_weighing_goes_before_a_shape_and_the_shape_raises_nothing() -> None:
    found = shaft(
        f"    - {{shape: {ROD}, source: guess}}\n    - {{printed: 14.9 kg, plus or minus: 0.1 kg, source: scale}}\n",
        LENGTH,
    )
    totals, node = dry(found, "shaft")

    assert totals.of(node).mass.best == Fraction("14.9")
    assert plan_for(totals, node, AllEvidence(totals.collection)).plan == 15
    assert [w.printed for w in totals.usable(node)] == ["14.9 kg", "14.91 kg from its shape"]


def test_a_printed_figure_of_better_standing_still_raises() -> None:
    found = shaft(
        "    - {printed: 14.9 kg, plus or minus: 0.1 kg, source: scale}\n"
        "    - {printed: 20 kg, step: 1 kg, source: book}\n"
    )
    totals, node = dry(found, "shaft")

    assert plan_for(totals, node, AllEvidence(totals.collection)).plan == Fraction("20.5")


def test_of_two_hints_the_heavier_is_planned_with() -> None:
    found = shaft(f"    - {{shape: {ROD}, source: tape}}\n    - {{shape: {ROD}, source: guess}}\n", LENGTH)
    totals, node = dry(found, "shaft")

    high = plan_for(totals, node, AllEvidence(totals.collection)).plan
    assert high is not None
    assert float(high / totals.of(node).mass.best) == pytest.approx(1.25)


def test_a_figure_for_the_usual_build_says_nothing_of_another() -> None:
    """The weighed 620 mm shaft is not the mass of the 780 mm one."""
    found = shaft(
        f"    - {{shape: {ROD}, source: tape}}\n    - {{printed: 14.9 kg, plus or minus: 0.1 kg, source: scale}}\n",
        LENGTH,
    )
    totals, node = dry(found, "shaft", length=Fraction("0.5"))

    assert [w.printed for w in totals.usable(node)] == ["17.34 kg from its shape"]


def test_a_formula_needs_to_say_how_far_it_may_be_out() -> None:
    found = shaft("    - {formula: 1*kg + 30*kg/m*length, source: book}\n", LENGTH)
    component = found.components["shaft"]

    assert witnesses(found, component) == ()
    with pytest.raises(BuildError, match=r"nothing says how far .* may be out; write 'plus or minus'"):
        worked_witness(found, component, 0)


@pytest.mark.parametrize(
    ("more", "half"),
    [
        ("plus or minus: 2 %", "0.278"),
        ("plus or minus: 0.5 kg", "0.5"),
        ("step: 1 kg", "0.5"),
        ("u: 0.1 kg", "0.2"),
    ],
)
def test_the_doubt_of_a_formula(more: str, half: str) -> None:
    found = shaft(f"    - {{formula: 1*kg + 30*kg/m*length, source: book, {more}}}\n", LENGTH)
    (one,) = witnesses(found, found.components["shaft"])

    assert one.mass.best == Fraction("13.9")
    assert one.mass.half_width_worst == Fraction(half)
    assert one.printed == "13.90 kg by its formula 1*kg + 30*kg/m*length"


def test_a_worked_figure_is_that_of_the_records_around_it() -> None:
    """The same component in another collection, with another density or another source, weighs anew."""
    found = shaft(f"    - {{shape: {ROD}, source: tape}}\n", LENGTH)
    component, materials = found.components["shaft"], found.materials
    first = worked_witness(found, component, 0)
    light = {
        code: one.model_copy(update={"density": parse_quantity("1 kg/L", "density")})
        for code, one in materials.items()
    }
    tape = found.sources["tape"].model_copy(update={"name": "another tape"})

    lighter = worked_witness(replace(found, materials=light), component, 0)
    renamed = worked_witness(replace(found, sources={**found.sources, "tape": tape}), component, 0)
    longer = worked_witness(found, component, 0, (("length", Fraction("0.5")),))

    assert lighter.mass.best < first.mass.best / 2 < first.mass.best < longer.mass.best
    assert renamed.source.name == "another tape"
    assert renamed.mass == first.mass
    assert worked_witness(found, component, 0) == first
    steeper = [component.masses[0].model_copy(update={"plus_or_minus": parse_quantity("2 kg", "mass")})]
    supposed = component.model_copy(update={"masses": steeper})
    assert worked_witness(found, supposed, 0).mass != first.mass  # another component of the same id


def test_the_kind_of_source_gives_the_doubt_where_it_has_one() -> None:
    found = shaft("    - {formula: 1*kg + 30*kg/m*length, source: list}\n", LENGTH)
    (one,) = witnesses(found, found.components["shaft"])

    assert one.mass.half_width_worst == Fraction("13.9") / 20


def test_a_formula_of_nothing_or_less_is_no_mass() -> None:
    found = shaft("    - {formula: 30*kg/m*(length - 300*mm), source: list}\n", LENGTH)
    totals, node = dry(found, "shaft", length=Fraction("0.2"))

    assert not totals.of(node).known
    with pytest.raises(BuildError, match="gives -3 kg; a mass is above 0"):
        worked_witness(found, found.components["shaft"], 0, (("length", Fraction("0.2")),))


def test_the_whole_of_an_assembly_by_formula_is_compared_in_its_own_build() -> None:
    text = BOX.replace(
        "  parts listed: all\n  parts:\n    - {component: disc",
        "  masses: [{formula: 16*kg + 24.8*kg + 30*kg + 2*kg*(discs - 8), source: book, step: 1 kg, "
        "counts: as listed, without: none, checked by: fitter}]\n  parts listed: all\n  parts:\n"
        "    - {component: disc",
    )
    found = collection(SCALE + text)
    for discs in (8, 12):
        (one,) = answer(found, "box", given={"discs": Fraction(discs)}).statements
        assert (one.verdict, one.build) == ("agrees", "every build")
        assert one.best == Fraction("70.8") + 2 * (discs - 8)
    (apart,) = answer(found, "box", given={"length": Fraction(1)}).statements
    assert apart.verdict == "disagrees"


def test_goes_into_counts_the_usual_build(box: Collection) -> None:
    assert [(n.id, n.pieces) for n in answer(box, "disc").goes_into] == [("box", 16)]
    assert [(n.id, n.pieces) for n in answer(box, "brake").goes_into] == [("box", 1)]


@settings(max_examples=24, deadline=None)
@given(
    discs=st.integers(4, 12),
    length=st.integers(1, 1000),
    brake=st.sampled_from(["yes", "no"]),
)
def test_a_build_is_what_its_parts_come_to(discs: int, length: int, brake: str) -> None:
    """Against the same sum worked out by hand, exactly."""
    found = collection(SCALE + BOX)
    totals, node = dry(found, "box", discs=Fraction(discs), length=Fraction(length, 1000), brake=brake)
    expected = 2 * discs + Fraction(40 * length, 1000) + (30 if brake == "yes" else 0)

    assert totals.of(node).mass.best == expected
