"""What all figures together allow a component and its parts: worked by hand, on the demo and on small shops."""

from __future__ import annotations

import pytest

from handling_db.balance.bounds import bound_of, bounds_answer
from handling_db.lookup.numbers.text import bounds_text
from handling_db.lookup.weight import answer
from tests.from_text import SCALE, collection

WHOLE = "counts: as listed, without: none, checked by: fitter"
UNIT = (
    SCALE
    + """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: half, quantity: 1}, {component: pump, quantity: 1}]
  masses: [UNIT]
- component: half
  name: Half
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: pin, quantity: 5}]
  masses: [HALF]
- {component: pump, name: Pump, kind: part}
- {component: case, name: Case, kind: part, masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]}
- {component: pin, name: Pin, kind: part, masses: [{printed: 2 kg, plus or minus: 0.1 kg, source: list}]}
"""
)


def bounds(unit="", half=""):
    """By component, the bounds of everything in a unit with these figures of it. [kg]"""
    text = UNIT
    for name, mass in (("UNIT", unit), ("HALF", half)):
        said = f"{{printed: {mass}, state: dry, source: scale, {WHOLE}}}" if mass else ""
        text = text.replace(name, said)
    found = bounds_answer(collection(text.replace("  masses: []\n", "")), "unit", state="dry")
    return {one.id: one for one in found.bounds}


def near(span, low, high):
    return span == pytest.approx((low, high), rel=1e-9)


def test_up_a_tree_and_down_again():
    found = bounds(unit="150 kg, plus or minus: 2 kg")

    assert near((found["half"].low, found["half"].high), 108.5, 111.5)
    assert near((found["pump"].low, found["pump"].high), 36.5, 43.5)
    assert found["pump"].inferred
    assert found["pump"].own is None
    assert near(found["pump"].around, 36.5, 43.5)
    assert not found["unit"].inferred
    assert near(found["half"].parts, 108.5, 111.5)


def test_a_whole_narrows_its_parts():
    """99 to 101 and five times 1.9 to 2.1: a half of 111 to 112 leaves no case under 100.5."""
    found = bounds(half="111.5 kg, plus or minus: 0.5 kg")

    assert near((found["case"].low, found["case"].high), 100.5, 101)
    assert near((found["pin"].low, found["pin"].high), 2.0, 2.1)
    assert not found["case"].inferred


def test_nothing_read_gives_nothing():
    pump = bounds()["pump"]

    assert (pump.low, pump.high, pump.own, pump.around, pump.inferred) == (0.0, None, None, None, False)


def test_figures_that_contradict_are_named_by_piece_figure_and_source():
    found = bounds(half="130 kg, plus or minus: 2 kg")

    (conflict,) = found["half"].contradicts
    assert len(conflict) == 3
    assert "Half: 130 kg dry (floor scale)" in conflict
    assert "Case: 100 kg (floor scale)" in conflict
    assert near((found["half"].low, found["half"].high), 108.5, 132)


def test_a_figure_in_one_state_bounds_a_piece_in_every_state(demo):
    """The drive of the demo hangs on one weighing of the drained unit: dry, it said nothing about it."""
    for state in ("dry", "drained", "filled"):
        bound = bound_of(demo, "auxiliary-drive", state)
        assert (bound.low, bound.high) == pytest.approx((12.75, 31.85), abs=0.1)
        assert bound.inferred


def test_bounds_are_what_the_look_up_says(demo):
    for code in ("gear-section", "transfer-box", "differential-section"):
        for figure in answer(demo, code).states:
            bound = bound_of(demo, code, figure.state)
            assert bound.low == pytest.approx(float(figure.low), abs=1e-6)
            assert bound.high == pytest.approx(float(figure.high), abs=1e-6)


def test_everything_inferred_and_what_takes_no_part_is_told_without_a_hash(demo):
    found = bounds_answer(demo, state="dry")
    text = bounds_text(found, "kg")

    assert {one.id for one in found.bounds} == {"auxiliary-drive", "gear-section"}
    assert "bounds are the narrowest possible" in text
    assert "it is not stated what the figure counts: " in text
    assert "(390 kg / 860 lb, PT-34 handbook)" in text
    assert not [one for one in found.unused if f"[{one.id}]" in text]
