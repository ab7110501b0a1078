"""What all the evidence says of a piece, from records."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.balance.together.members import Why
from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.families.build import build_of
from handling_db.files.folders import read_collection
from tests.from_text import SCALE, collection

F = Fraction
DEMO = Path(__file__).parents[3] / "data" / "demo"


def evidence(text, **asked):
    return AllEvidence(collection(SCALE + text), **asked)


def reach(found, code, state="dry"):
    judge = found.judge
    return found.of((code, build_of(judge.collection.components[code])), state)


@pytest.fixture(scope="module")
def demo():
    return AllEvidence(read_collection([DEMO], reference=True).collection)


@pytest.mark.parametrize(
    ("code", "dry", "drained", "filled"),
    [  # dry and drained limits and the filled plan, from the scenario's figures by hand
        ("auxiliary-drive", ("12.74", "31.81"), ("12.74", "31.81"), "31.81"),
        ("gear-section", ("385.28", "397.67"), ("385.28", "398.54"), "419.42"),
        ("differential-section", ("443.446", "451.006"), ("443.446", "454.486"), "472.756"),
        ("transfer-box", ("839.52", "844.13"), ("843", "845"), "865.88"),
    ],
)
def test_limits_of_the_demo(demo, code, dry, drained, filled):
    for state, (low, high) in (("dry", dry), ("drained", drained)):
        found = reach(demo, code, state)
        assert (found.low, found.high) == (F(low), F(high))
        assert found.plan == found.high
    assert reach(demo, code, "filled").plan == F(filled)


def test_what_rests_on_the_one_weighing(demo):
    gear, half = reach(demo, "gear-section"), reach(demo, "differential-section")

    assert gear.inferred
    assert [w.id for w in gear.rests_on] == ["transfer-box-1187-floor"]
    assert not half.inferred
    assert half.rests_on == ()
    assert demo.disputes == ()


CASE = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: shaft, quantity: 1}]
- component: case
  name: Case
  kind: part
  masses:
    - {printed: 40.0 kg, plus or minus: 0.2 kg, source: scale}
    - {printed: 60.0 kg, plus or minus: 0.2 kg, source: scale}
- component: shaft
  name: Shaft
  kind: part
  masses: [{printed: 10.0 kg, plus or minus: 0.1 kg, source: scale}]
"""


def test_a_part_weighed_twice_governs_what_holds_it():
    """Seen: the part planned 60.2 and its unit 50.3, without a word."""
    found = evidence(CASE)
    unit, case, shaft = (reach(found, code) for code in ("unit", "case", "shaft"))

    assert (unit.plan, case.plan, shaft.plan) == (F("70.3"), F("60.2"), F("10.1"))
    assert unit.low == F("49.7")
    assert len(found.disputes) == 1
    assert unit.disputes == case.disputes == found.disputes
    assert shaft.disputes == ()


FILLED = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: half, quantity: 1}, {component: oil, quantity: 1}]
  masses:
    - {printed: 150 kg, plus or minus: 1 kg, state: drained, counts: as listed, without: none, checked by: me, source: scale}
    - {printed: 130 kg, plus or minus: 1 kg, state: filled, counts: as listed, without: none, checked by: me, source: scale}
- {component: half, name: Half, kind: part}
- component: oil
  name: Oil
  kind: fluid
  fluid: {litres: 20 L, litres plus or minus: 0.5 L, density: 0.87 kg/L, stays: 2 L, stays plus or minus: 0.5 L}
"""


WITHIN = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: half, quantity: 1}, {component: brake, quantity: 1}]
  masses:
    - {printed: 119.5 kg, plus or minus: 0.5 kg, source: scale, state: dry, counts: as listed, without: none, checked by: me}
- component: brake
  name: Brake
  kind: part
  masses: [{printed: 20.0 kg, plus or minus: 0.5 kg, source: scale}]
- component: half
  name: Half
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: shaft, quantity: 1}]
- component: case
  name: Case
  kind: part
  masses:
    - {printed: 60.0 kg, plus or minus: 0.5 kg, source: scale}
    - {printed: 40.0 kg, plus or minus: 0.5 kg, source: scale}
- component: shaft
  name: Shaft
  kind: part
  masses: [{printed: 40.0 kg, plus or minus: 0.5 kg, source: scale}]
"""


def test_where_figures_contradict_an_assembly_plans_the_highest_of_its_routes():
    """The weighed unit leaves 100.5 kg for the half where it is right, and its parts come to 101: by hand."""
    found = evidence(WITHIN)

    assert reach(found, "half").high == F("100.5")
    assert reach(found, "half").plan == F("101")
    assert reach(found, "unit").plan == F("121.5")


def test_filled_lighter_than_drained_is_a_conflict_and_the_heavier_governs():
    """Seen: printed "Plan with 131 kg"."""
    found = evidence(FILLED)

    assert [sorted(w.state for w in one) for one in found.disputes] == [["drained", "filled"]]
    # 151 less what stays at least (1.5 L), with all litres in it
    assert reach(found, "unit", "filled").plan == F(151) - F("1.5") * F("0.87") + F("20.5") * F("0.87")
    assert reach(found, "half").plan == F(151) - F("1.5") * F("0.87")


REAR = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: rear, quantity: 1}, {component: oil, quantity: 1}]
- component: rear
  name: Rear section
  kind: assembly
  parts listed: all
  parts: [{component: bit, quantity: 1}]
- component: bit
  name: Bit
  kind: part
  masses: [{printed: 40.0 kg, plus or minus: 0.2 kg, source: scale}]
- component: oil
  name: Oil
  kind: fluid
  fluid: {litres: 20 L, density: 0.87 kg/L, density plus or minus: 0 kg/L, litres plus or minus: 0 L}
"""


def test_a_half_may_hold_all_of_the_oil_listed_around_it():
    """Seen: 40.2 kg printed for it dry, drained and filled, "fluid not counted"."""
    found = evidence(REAR)

    assert reach(found, "rear", "dry").plan == F("40.2")
    assert reach(found, "rear", "filled").plan == F("57.6")
    assert reach(found, "rear", "drained").plan == F("57.6")  # nobody looked what stays: at most all of it
    assert reach(found, "rear", "filled").low == F("39.8")
    assert reach(found, "bit", "filled").plan == F("40.2")


WHOLE = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: left, quantity: 1}, {component: right, quantity: 1}]
  masses: [{printed: 100 kg, plus or minus: 1 kg, counts: as listed, without: none, checked by: me, source: scale}]
- component: left
  name: Left
  kind: part
  masses: [{printed: 30 kg, plus or minus: 1 kg, source: scale}]
- component: right
  name: Right
  kind: part
  masses: [{printed: 36 kg, plus or minus: 1 kg, source: scale}]
"""


def test_what_is_missing_somewhere_stands_beside_the_plan_of_a_measured_piece():
    found = evidence(WHOLE)
    unit, left = reach(found, "unit"), reach(found, "left")

    assert unit.plan == 101
    assert unit.second is None
    assert (left.plan, left.second) == (31, 101 - 35)
    assert len(left.disputes) == 1


def test_an_unweighed_part_has_no_upper_figure_while_two_figures_disagree_and_one_set_has_none():
    """Left out of the set that drops the whole: nothing bounds the third part there."""
    text = WHOLE.replace(
        "{component: right, quantity: 1}]",
        "{component: right, quantity: 1}, {component: third, quantity: 1}]",
    ).replace("printed: 100 kg", "printed: 50 kg")
    found = evidence(text + "- {component: third, name: Third, kind: part}\n")
    third = reach(found, "third")

    assert third.plan is None
    assert third.disputes
    assert not third.second_open
    assert reach(found, "unit").plan is None  # its known parts weigh more than it was read to weigh


LIFTED = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: half, quantity: 1}, {component: other, quantity: 1}]
- component: half
  name: Half
  kind: assembly
  parts listed: all
  parts: [{component: bit, quantity: 2}]
  masses: [{printed: 30 kg, step: 1 kg, source: book}]
- component: bit
  name: Bit
  kind: part
  masses: [{printed: 10.0 kg, plus or minus: 0.1 kg, source: scale}]
- component: other
  name: Other
  kind: part
  masses: [{printed: 5.0 kg, plus or minus: 0.1 kg, source: scale}]
"""


def test_a_figure_of_unknown_boundary_lifts_its_own_piece_and_what_holds_it_and_nothing_else():
    found = evidence(LIFTED)

    assert [one.why for one in found.recorded.outside] == [Why.BOUNDARY]
    assert reach(found, "half").plan == F("30.5")
    assert reach(found, "half").high == F("20.2")
    assert reach(found, "unit").plan == F("35.6")
    assert reach(found, "unit").lifted.witness.printed == "30 kg"
    assert reach(found, "bit").plan == F("10.1")
    assert reach(found, "other").plan == F("5.1")
    assert found.disputes == ()


def test_a_low_raised_to_nothing_keeps_its_share_of_the_doubt_of_its_scale():
    found = evidence("""
- {source: near, name: near scale, kind: weighed, instrument: {name: n, step: 0.01 kg, calibration doubt: 1 kg}}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: gasket, quantity: 1}, {component: body, quantity: 1}]
- {weighing: w, of: unit, gross: 50.1 kg, tare: none, checked by: me, counts: as listed, without: none, source: scale, plus or minus: 0.05 kg, on: 2026-01-01, by: me}
- component: gasket
  name: Gasket
  kind: part
  masses: [{printed: 0.1 kg, plus or minus: 1.05 kg, source: near}]
- component: body
  name: Body
  kind: part
  masses: [{printed: 50 kg, plus or minus: 1.05 kg, source: near}]
""")
    # With e what the near scale reads too little: gasket at least 0.05 + e, body at most 50.05 + e,
    # both at most 50.15. So twice the body is at most 50.15 - 0.05 + 50.05, and the gasket is not nothing.
    assert reach(found, "body").plan == F("50.075")


def test_a_reading_that_may_have_stood_at_nothing_says_only_how_heavy_it_is_at_most():
    # A scale that reads up to 1 kg too little showed 0.001 kg under a washer of 0.5 kg: it shows no less.
    # Then 10.01 kg on it may have been 11 kg, and is no less heavy for what the washer seemed to say.
    found = evidence("""
- {source: near, name: near scale, kind: weighed, instrument: {name: n, step: 0.001 kg, calibration doubt: 1 kg}}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: washer, quantity: 1}, {component: body, quantity: 1}]
- component: washer
  name: Washer
  kind: part
  masses:
    - {printed: 0.001 kg, plus or minus: 1.05 kg, source: near}
    - {printed: 0.5 kg, plus or minus: 0.01 kg, source: scale}
- component: body
  name: Body
  kind: part
  masses: [{printed: 10.01 kg, plus or minus: 1.05 kg, source: near}]
""")
    assert reach(found, "body").plan == F("11.06")


def test_a_guess_comes_in_only_where_nothing_measured_bounds_the_piece():
    text = """
- {source: box, name: outside, kind: outside dimensions}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: pump, quantity: 1}]
- component: pump
  name: Pump
  kind: part
  masses: [{printed: 20 kg, plus or minus: 4 kg, source: box}]
"""
    guessed = evidence(text)
    assert reach(guessed, "pump").plan == 24
    assert [w.printed for w in reach(guessed, "unit").guess] == ["20 kg"]

    weighed = evidence(
        text
        + """
- {weighing: w, of: unit, gross: 15 kg, tare: none, checked by: me, counts: as listed, without: none, source: scale, plus or minus: 1 kg, on: 2026-01-01, by: me}
"""
    )
    assert reach(weighed, "pump").plan == 16
    assert reach(weighed, "pump").guess == ()


def test_a_weighing_of_another_serial_stays_outside():
    text = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: pump, quantity: 1}]
- {component: pump, name: Pump, kind: part}
- {weighing: w, of: unit, gross: 15 kg, tare: none, checked by: me, counts: as listed, without: none, serial: 7, source: scale, plus or minus: 1 kg, on: 2026-01-01, by: me}
"""
    assert reach(evidence(text), "pump").inferred
    assert reach(evidence(text, serial=7), "pump").plan == 16
    other = evidence(text, serial=8)
    assert [one.why for one in other.recorded.outside] == [Why.SERIAL]
    assert [w.id for w in reach(other, "unit").guess] == ["w"]


CHANGED = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: half, quantity: 1}]
- component: half
  name: Half
  kind: assembly
  parts listed: all
  parts: [{component: pump, quantity: 1 CHANGE}]
- {component: case, name: Case, kind: part, masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]}
- {component: pump, name: Pump, kind: part}
- {weighing: w1, of: unit, gross: 150 kg, tare: none, plus or minus: 1 kg, state: dry, counts: as listed, without: none,
   checked by: fitter, source: scale, on: 2025-03-01, by: fitter}
"""


@pytest.mark.parametrize(
    ("change", "counts"),
    [("", True), (", changed on: 2025-02-28", True), (", changed on: 2025-03-02", False)],
)
def test_a_weighing_older_than_a_change_of_parts_counts_no_longer_for_what_holds_them(change, counts):
    """However deep the part is; a part weighed by itself stands as it was."""
    found = collection(SCALE + CHANGED.replace(" CHANGE", change))
    evidence = evidence_of(found)
    unit, pump = (evidence.of((code, ()), "dry") for code in ("unit", "pump"))

    assert (unit.plan, pump.plan) == ((151, 52) if counts else (None, None))
    assert evidence.of(("case", ()), "dry").plan == 101
    outside = [str(one.why) for one in evidence.recorded.outside]
    assert outside == ([] if counts else ["a part in it was changed after it was weighed"])


# Two groups that were weighed while figures of a part in them contradict each other.
OUTWEIGHED = """
- component: half
  name: Half
  kind: assembly
  parts listed: all
  parts: [{component: plate, quantity: 1}, {component: group, quantity: 1}]
  masses: [{printed: 321.175 kg, plus or minus: 2 kg, source: scale, counts: as listed, without: none, checked by: me}]
- component: group
  name: Group
  kind: assembly
  parts listed: all
  parts: [{component: shaft, quantity: 1}, {component: gear, quantity: 2}]
  masses: [{printed: 303 kg, plus or minus: 0.1 kg, source: scale, counts: as listed, without: none, checked by: me}]
- component: plate
  name: Plate
  kind: part
  masses: [{printed: 20 kg, plus or minus: 0.3 kg, source: scale}]
- component: shaft
  name: Shaft
  kind: part
  masses: [{printed: 112.5 kg, plus or minus: 2 kg, source: scale}]
- component: gear
  name: Gear
  kind: part
  masses:
    - {printed: 93.9 kg, plus or minus: 0.3 kg, source: scale}
    - {printed: 124.4 kg, plus or minus: 0.1 kg, source: scale, where: second}
"""


def test_no_whole_plans_with_less_than_one_of_its_parts():
    """By hand: gears 2 x 124.5, shaft 114.5, plate 20.3; the group may be 363.5, the half 383.8."""
    found = evidence(OUTWEIGHED)

    assert reach(found, "group").plan == F("363.5")
    assert reach(found, "half").plan == F("383.8")


def test_nor_where_another_of_its_parts_has_no_figure():
    found = evidence(
        OUTWEIGHED.replace("  masses: [{printed: 20 kg, plus or minus: 0.3 kg, source: scale}]\n", "")
    )

    assert reach(found, "half").plan == F("363.5")
