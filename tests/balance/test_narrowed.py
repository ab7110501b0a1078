"""How figures narrowed does not depend on what else stands in the collection."""

from __future__ import annotations

import gc
import weakref

import pytest

from handling_db.balance.narrowed import narrowed
from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.records.connected import part_of
from tests.from_text import collection as read_text

UNIT = """
- component: {unit}
  name: Unit {unit}
  kind: assembly
  parts listed: all
  parts:
    - {{component: {unit}-case, quantity: 1}}
    - {{component: {unit}-gear, quantity: 1}}
- {{component: {unit}-case, name: Case, kind: part, masses: [{{printed: 20 kg, plus or minus: 2 kg, source: scale}}]}}
- {{component: {unit}-gear, name: Gear, kind: part}}
- {{weighing: {unit}-first, of: {unit}, gross: 60 kg, tare: none, checked by: foreman, counts: as listed, without: none, source: scale, on: {first}, by: fitter}}
- {{weighing: {unit}-second, of: {unit}, gross: 60.0 kg, tare: none, checked by: foreman, counts: as listed, without: none, source: fine, on: {second}, by: fitter}}
"""
SOURCES = """
- {source: scale, name: Floor scale, kind: weighed, instrument: {name: Floor scale, step: 2 kg}}
- {source: fine, name: Bench scale, kind: weighed, instrument: {name: Bench scale, step: 100 g}}
"""


def test_weighings_of_other_units_are_not_what_narrowed_a_figure() -> None:
    units = [UNIT.format(unit=f"u{i}", first="2026-03-01", second=f"2026-04-{i + 1:02d}") for i in range(9)]
    collection = read_text(SOURCES + "".join(units))
    evidence = evidence_of(collection)
    for i in range(9):
        found = narrowed(evidence, (f"u{i}-gear", ()))
        # before any weighing, after the first, after the second; on other days nothing came in for this unit
        assert [one.since for one in found] == ["", "2026-03-01", f"2026-04-{i + 1:02d}"]
        assert [len(one.by) for one in found] == [0, 1, 1]
        alone = part_of(collection, {f"u{i}", f"u{i}-case", f"u{i}-gear"})
        assert narrowed(evidence_of(alone), (f"u{i}-gear", ())) == found


@pytest.mark.slow
def test_what_is_kept_about_evidence_does_not_hold_it() -> None:
    """A service reads new evidence with every file that is built; what it worked out of the old one has to go."""
    unit = UNIT.format(unit="u", first="2026-03-01", second="2026-04-01")
    evidence = AllEvidence(read_text(SOURCES + unit))
    assert len(narrowed(evidence, ("u-gear", ()))) == 3
    held = weakref.ref(evidence)
    del evidence
    gc.collect()
    assert held() is None
