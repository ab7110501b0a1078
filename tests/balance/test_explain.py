"""Explanations: every kind of cause both ways, what must not be listed, pairs by brute force, the sentence."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.balance.explain import explain, explain_apart
from handling_db.balance.slips import packings_of, slips, transposed
from handling_db.balance.words import first_sentence
from handling_db.quantities.mass import within
from handling_db.weights.compare import Judge
from handling_db.weights.sum_lines import sum_lines
from tests.from_text import SCALE, collection

FORBIDDEN = ("sigma", "interval", "significance", "probability")


def of(found, code="unit", figure=0, state="dry", **more):
    judge = Judge(found)
    witness = judge.totals(state).witnesses_of(code)[figure]
    return judge, witness, explain(judge, witness, **more)


def causes(explanation, kind=None):
    return [(c.kind, c.about) for c in explanation.causes if kind in (None, c.kind)]


def test_the_differential_section(demo):
    judge, _, found = of(demo, "differential-section")

    assert [float(limit) for limit in found.gap] == pytest.approx([23.87, 35.97], abs=0.01)
    left_out = [cause for cause in found.causes if cause.kind == "left out"]
    assert [cause.about for cause in left_out] == ["parking-brake", "rear-cover"]
    assert [float(cause.size) for cause in left_out] == pytest.approx([31.1, 30.0])
    assert found.pairs == brute_pairs(judge, found) - 1, "disc and caliper are exactly the parking brake"
    assert found.pairs == 75  # regression figure
    sentence = first_sentence(demo, found)
    assert len(sentence.split()) <= 30
    assert "parking brake" in sentence
    assert "rear cover" in sentence
    assert "75 pairs" in sentence
    assert "no proof" in sentence
    assert not any(word in sentence.lower() for word in FORBIDDEN)


def brute_pairs(judge, found):
    """Every pair of leaf lines, tried one by one on the two intervals themselves."""
    node = judge.node_of(found.witness)
    totals = judge.totals("dry")
    parts, stated = totals.sum_of(node).mass, found.witness.mass
    leaves = [line.mass for line in sum_lines(totals, node, found.witness) if not line.opened]
    sign = -1 if found.parts_heavier else 1
    return sum(
        parts.low + sign * (one.low + other.low) <= stated.high
        and parts.high + sign * (one.high + other.high) >= stated.low
        for one, other in combinations([m for m in leaves if m is not None], 2)
    )


UNIT = (
    SCALE
    + """
- component: unit
  name: unit
  kind: assembly
  parts listed: all
  parts:
    - {component: half, quantity: 1}
    - {component: pin, quantity: 5}
    - {component: lid, quantity: 1}
  masses:
    - {WHOLE, source: SOURCE, state: dry, counts: as listed, WITHOUT}
- component: half
  name: half
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: pump, quantity: 1}]
- component: case
  name: case
  kind: part
  masses: [{printed: 100.0 kg, plus or minus: 0.5 kg, source: scale}]
- component: pump
  name: pump
  kind: part
  masses: [{printed: 41.0 kg, plus or minus: 0.2 kg, source: scale}]
- component: pin
  name: pin
  kind: part
  masses: [{printed: 3.00 kg, plus or minus: 0.02 kg, source: scale}]
- component: lid
  name: lid
  kind: part
  masses: [{printed: 7.50 kg, plus or minus: 0.05 kg, source: list}]
MORE
"""
)
# parts: 100 + 41 + 15 + 7.5 = 163.5 ± 0.85


def unit(kg, *, source="book", without="without: none, checked by: fitter", more="", half="0.5"):
    whole = f"printed: {kg} kg, plus or minus: {half} kg"
    text = UNIT.replace("WHOLE", whole).replace("SOURCE", source).replace("WITHOUT", without)
    return collection(text.replace("MORE", more))


@pytest.mark.parametrize(
    ("kg", "kind", "about"),
    [
        ("122.5", "left out", "pump"),
        ("22.5", "left out", "half"),
        ("148.5", "left out", "pin"),
        ("204.5", "counted twice", "pump"),
        ("304.5", "counted twice", "half"),
        ("151.5", "count", "pin"),  # 1 for 5
        ("169.5", "count", "pin"),  # 7 for 5
        ("141.1", "unit", "pump"),  # 41 kg were 41 lb
        ("108.84", "unit", "case"),
        ("126.6", "factor", "pump"),  # 4.1 for 41
        ("231.0", "factor", "lid"),  # 75 for 7.5
        ("136.5", "digits", "pump"),  # 14 for 41
        ("360.46", "unit", "unit"),  # 163.5 kg in lb, called kg
        ("1635", "factor", "unit"),
        ("163500", "factor", "unit"),
        ("16.35", "factor", "unit"),
        ("136.5", "digits", "unit"),  # 163.5 and 136.5
        ("180", "packing", "unit"),
    ],
)
def test_each_kind_of_cause(kg, kind, about):
    """One fault is put into a sum of 163.5 kg; it must be among what is listed, and all that is listed fit."""
    _, _, found = of(unit(kg))

    assert (kind, about) in causes(found)
    for cause in found.causes:
        assert cause.parts[0] <= cause.stated[1]
        assert cause.stated[0] <= cause.parts[1]


def test_pounds_that_were_kilograms():
    text = UNIT.replace("WHOLE", "printed: 163.5 lb, plus or minus: 1 lb").replace("SOURCE", "book")
    _, _, found = of(collection(text.replace("WITHOUT", "without: none, checked by: x").replace("MORE", "")))

    assert ("unit", "unit") in causes(found)


def test_two_columns_that_confirm_each_other_have_no_unit_slip():
    whole = "printed: 360.5 kg, also printed: {printed: 795 lb}"
    text = UNIT.replace("WHOLE", whole).replace("SOURCE", "book")
    _, _, found = of(collection(text.replace("WITHOUT", "without: none, checked by: x").replace("MORE", "")))

    assert ("unit", "unit") not in causes(found)


def test_what_agrees_is_not_explained():
    assert of(unit("163.5"))[2] is None


def test_a_part_said_to_be_left_out_that_counts_after_all():
    """Without the lid the parts are 156; a figure of 163.5 counts it."""
    _, _, found = of(unit("163.5", without="without: [lid]", half="0.3"))

    assert ("boundary", "lid") in causes(found)


def test_something_listed_beside_it():
    around = """
- component: machine
  name: machine
  kind: assembly
  parts listed: all
  parts: [{component: unit, quantity: 1}, {component: bracket, quantity: 2}]
- component: bracket
  name: bracket
  kind: part
  masses: [{printed: 10.5 kg, plus or minus: 0.1 kg, source: scale}]
"""
    _, _, found = of(unit("184.5", more=around))

    assert ("boundary", "bracket") in causes(found)
    assert "listed beside it in machine" in next(c.says for c in found.causes if c.about == "bracket")


OILED = """
- component: unit
  name: unit
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: oil, quantity: 1}]
  masses: [{printed: KG kg, plus or minus: 0.5 kg, source: scale, state: STATE, counts: as listed,
            without: none, checked by: fitter}]
- {component: case, name: case, kind: part, masses: [{printed: 100 kg, plus or minus: 0.5 kg, source: scale}]}
- {component: oil, name: oil, kind: fluid, fluid: {litres: 20 L, density: 0.87 kg/L, stays: 2 L}}
"""


@pytest.mark.parametrize(
    ("kg", "said", "truth"),
    [("117.4", "dry", "filled"), ("100", "filled", "dry"), ("101.7", "filled", "drained")],
)
def test_oil_in_or_out(kg, said, truth):
    found_in = collection(SCALE + OILED.replace("KG", kg).replace("STATE", said))
    _, _, found = of(found_in, state=said)

    assert f"the figure is {truth}, not {said}" in [c.says for c in found.causes if c.kind == "fluid"]


def test_some_oil_that_is_listed_further_up():
    around = """
- component: machine
  name: machine
  kind: assembly
  parts listed: all
  parts: [{component: unit, quantity: 1}, {component: oil, quantity: 1}]
- {component: oil, name: oil, kind: fluid, fluid: {litres: 20 L, density: 0.87 kg/L, stays: 2 L}}
"""
    _, _, found = of(unit("175", more=around))

    assert "some of the oil listed at machine was in it" in [c.says for c in found.causes]


WEIGHED = """
- weighing: on-a-board
  of: unit
  gross: 190.0 kg
  tare: 13.0 kg
  state: dry
  counts: as listed
  without: none
  checked by: fitter
  source: scale
  on: 2026-01-01
  by: fitter
"""


def test_gross_for_net():
    """A figure of 176.5 is 163.5 with the tare of 13 that another weighing took off; and 177 is no net."""
    found_in = unit("176.5", more=WEIGHED)
    says = {
        w.id: of(found_in, figure=i)[2]
        for i, w in enumerate(Judge(found_in).totals("dry").witnesses_of("unit"))
    }
    weighed = says.pop("on-a-board")
    (printed,) = says.values()

    assert ("tare", "unit") in causes(printed)
    assert not any(c.kind == "tare" for c in weighed.causes), "adding 13 more makes it worse"


def test_a_tare_taken_off_twice():
    light = WEIGHED.replace("190.0", "163.5")
    _, _, found = of(unit("163.5", more=light), figure=0)

    assert "the tare of 13.0 kg had been taken off already" in " ".join(c.says for c in found.causes)


def test_packing_that_is_recorded():
    crate = ("crate", within(Fraction(19), Fraction(1, 2), Fraction(1, 2)))
    _, _, found = of(unit("182.5"), packings=[crate])

    assert any(c.kind == "packing" and "crate was weighed along" in c.says for c in found.causes)


def test_packing_that_is_recorded_for_the_component_is_tried():
    crates = """
- {pallet: skid, name: skid, kind: skid, own mass: 12 kg, plus or minus: 1 kg}
- packing: box
  name: box
  kind: crate
  for components: [unit]
  pallet: skid
  own mass: 7.0 kg
"""
    found_in = unit("182.5", more=crates)
    _, _, found = of(found_in)

    assert [name for name, _ in packings_of(found_in, "unit")] == ["box", "skid", "box on skid"]
    assert packings_of(found_in, "lid") == ()
    assert any("box on skid was weighed along" in c.says for c in found.causes)


def test_a_part_in_two_places_is_tried_alone_and_together():
    text = UNIT.replace("[{component: case, quantity: 1}, {component: pump, quantity: 1}]",
                        "[{component: case, quantity: 1}, {component: lid, quantity: 2}]")  # fmt: skip
    text = text.replace("WHOLE", "printed: 115.0 kg, plus or minus: 0.5 kg").replace("SOURCE", "book")
    text = text.replace("WITHOUT", "without: none, checked by: fitter").replace("MORE", "")
    _, _, found = of(collection(text))  # 100 + 15 + 15 + 7.5 less all three lids

    says = [c.says for c in found.causes if c.about == "lid" and c.kind == "left out"]
    assert says == ["the figure leaves out lid everywhere, or the parts list it without its being there"]


def test_an_at_least_sum_that_is_too_heavy_already():
    text = UNIT.replace("- component: lid", "- {component: lid, name: lid, kind: part}\n- component: spare")
    text = text.replace("WHOLE", "printed: 115.0 kg, plus or minus: 0.5 kg").replace("SOURCE", "book")
    text = text.replace("WITHOUT", "without: none, checked by: x").replace("MORE", "")
    _, _, found = of(collection(text))

    assert ("left out", "pump") in causes(found)
    assert ("left out", "case") in causes(found), "what has no mass may make up for more"


def test_transposed_digits():
    assert list(transposed("1,830 lb")) == ["8,130 lb", "1,380 lb", "1,803 lb"]
    assert list(transposed("1.05 kg")) == ["0.15 kg", "1.50 kg"]
    assert list(transposed("10 kg")) == []
    assert list(transposed("12 1/2 lb")) == []


def test_two_figures_of_one_part():
    text = (
        SCALE
        + """
- component: case
  name: case
  kind: part
  masses:
    - {id: kg, printed: 45.4 kg, plus or minus: 0.5 kg, source: scale}
    - {id: lb, printed: 100 kg, plus or minus: 1 kg, source: book}
"""
    )
    found = collection(text)
    judge = Judge(found)
    one, other = judge.totals("dry").witnesses_of("case")
    told = explain_apart(judge, one, other)

    assert [(c.witness.id, c.kind) for c in told] == [("lb", "unit")]
    assert explain_apart(judge, one, one) == ()


@pytest.mark.slow
@settings(max_examples=16, deadline=None)
@given(st.lists(st.integers(1, 60), min_size=2, max_size=12), st.integers(-60, 60))
def test_pairs_by_brute_force(masses, off):
    parts = "\n".join(f"    - {{component: p{i}, quantity: 1}}" for i in range(len(masses)))
    each = "\n".join(
        f"- {{component: p{i}, name: p{i}, kind: part, masses: [{{printed: {kg} kg, plus or minus: 0.3 kg, "
        "source: scale}]}"
        for i, kg in enumerate(masses)
    )
    whole = max(1, sum(masses) + off)
    found_in = collection(
        SCALE
        + "- component: unit\n  name: unit\n  kind: assembly\n  parts listed: all\n  parts:\n"
        + f"{parts}\n  masses: [{{printed: {whole} kg, plus or minus: 0.5 kg, source: book, counts: as listed, "
        + f"without: none, checked by: x, state: dry}}]\n{each}\n"
    )
    judge, _, found = of(found_in)

    if found is not None:
        assert found.pairs == brute_pairs(judge, found)
        sentence = first_sentence(found_in, found)
        assert len(sentence.split()) <= 30
        assert not any(word in sentence.lower() for word in FORBIDDEN)


def test_the_sentence_for_nothing_and_for_many():
    _, _, nothing = of(unit("90.3", half="0.1"))
    found_in = unit("122.5")
    _, _, one = of(found_in)

    assert not causes(nothing, "left out")
    assert first_sentence(found_in, one).startswith(
        "The handbook figure is 39.7 to 42.4 kg (87.4 to 93.4 lb)"
    )
    assert "leaving out the pump would explain it" in first_sentence(found_in, one)
    assert len(first_sentence(found_in, nothing).split()) <= 30


READINGS = """
- weighing: with-and-without
  of: unit
  METHOD
  plus or minus: 0.5 kg
  state: dry
  counts: as listed
  without: none
  checked by: fitter
  source: scale
  on: 2026-01-01
  by: fitter
"""


@pytest.mark.parametrize(
    ("method", "says"),
    [
        # 163.5 is 213.5 less 50; 231.5 for 213.5
        ("difference: {with it: 231.5 kg, without it: 50.0 kg}", "213.5 kg for 231.5 kg"),
        # 163.5 is 213.5 less 50; 05 is no figure, so swap in 212 less 48.5: 84.5 for 48.5
        ("difference: {with it: 212.0 kg, without it: 84.5 kg}", "48.5 kg for 84.5 kg"),
        # 163.5 is 81 at one end and 82.5 at the other; 18 for 81
        (
            "two supports: {first: 18.0 kg, second: 82.5 kg, apart: 1 m, along: x, first at: 0 mm}",
            "81.0 kg for 18.0 kg",
        ),
        ("gross: 190.5 kg\n  tare: 72.0 kg", "27.0 kg for 72.0 kg"),
    ],
)
def test_digits_swapped_in_one_of_several_readings(method, says):
    found_in = unit("163.5", more=READINGS.replace("METHOD", method))
    judge = Judge(found_in)
    witness = next(w for w in judge.totals("dry").witnesses_of("unit") if w.id == "with-and-without")

    assert says in " ".join(c.says for c in explain(judge, witness).causes if c.kind == "digits")


def test_a_part_worked_out_from_its_shape_has_no_slips_of_the_pen():
    box = "{box: {length: 100 mm, width: 100 mm, height: 100 mm}, density: steel}"
    text = UNIT.replace(
        "{printed: 7.50 kg, plus or minus: 0.05 kg, source: list}", f"{{shape: {box}, source: list}}"
    )
    text = text.replace("WHOLE", "printed: 90.0 kg, plus or minus: 0.5 kg").replace("SOURCE", "book")
    found_in = collection(text.replace("WITHOUT", "without: none, checked by: x").replace("MORE", ""))
    judge = Judge(found_in)

    assert list(slips(found_in, judge.totals("dry").witnesses_of("lid")[0])) == []
