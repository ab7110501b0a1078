"""Figures that cannot all be true over all states: one record that breaks the rule, one that just passes."""

from __future__ import annotations

import pytest

from handling_db.checker import check
from tests.from_text import SCALE, collection

UNIT = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: half, quantity: 1}, {component: oil, quantity: 1}]
  masses:
    - {printed: 150 kg, plus or minus: 1 kg, state: drained, counts: as listed, without: none, checked by: me, source: scale}
    - {printed: FILLED kg, plus or minus: 1 kg, state: filled, counts: as listed, without: none, checked by: me, source: scale}
- {component: half, name: Half, kind: part}
- component: oil
  name: Oil
  kind: fluid
  fluid: {litres: 20 L, litres plus or minus: 0 L, density: 1 kg/L, stays: 2 L, stays plus or minus: 0 L}
"""


def told(text):
    return [f for f in check(collection(SCALE + text)) if f.rule == "figures-together"]


def test_filled_lighter_than_drained_is_said():
    """Seen: a unit weighed drained at 150 and filled at 130 kg, and no word of it."""
    (found,) = told(UNIT.replace("FILLED", "130"))

    assert found.about == "unit"
    assert found.sentence == (
        "Unit: 130 kg filled (floor scale) is lighter than 150 kg drained (floor scale) allows: filled holds more "
        "fluid."
    )


@pytest.mark.parametrize(("filled", "faults"), [("166", 0), ("170", 0), ("165.9", 1), ("170.1", 1)])
def test_what_the_oil_just_allows_passes(filled, faults):
    """18 kg come in: 168 ± 1 kg filled by the drained figure, and ± 1 kg of its own."""
    assert len(told(UNIT.replace("FILLED", filled))) == faults


def test_a_whole_that_leaves_less_than_nothing_names_every_figure():
    text = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: left, quantity: 1}, {component: right, quantity: 1}, {component: pump, quantity: 1}]
- component: left
  name: Left
  kind: assembly
  parts listed: all
  parts: [{component: bit, quantity: 2}, {component: pump, quantity: 1}]
  masses: [{printed: 9 kg, plus or minus: 1 kg, counts: as listed, without: none, checked by: me, source: scale}]
- {component: bit, name: Bit, kind: part, masses: [{printed: BIT kg, plus or minus: 0.5 kg, source: scale}]}
- {component: right, name: Right, kind: part}
- {component: pump, name: Pump, kind: part, masses: [{printed: 3 kg, plus or minus: 0.5 kg, source: list}]}
"""
    assert told(text.replace("BIT", "3.5")) == []  # 8.5 to 11.5 kg of parts, 8 to 10 kg of whole
    assert [f.rule for f in check(collection(SCALE + text.replace("BIT", "6"))) if f.rule == "parts-sum"]
