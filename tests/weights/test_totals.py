"""Totals up the tree: what is handed upward, what is not known, states, parts taken off, shared parts."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.balance.together.reach import AllEvidence
from handling_db.lookup.plan import plan_for
from handling_db.records.collection import Collection
from handling_db.tables.sources import read_paths
from handling_db.weights.totals import Basis, Total, Totals
from handling_db.weights.tree import unfold
from tests.from_text import SCALE, collection

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
    - {component: oil, quantity: 1}
  masses:
    - {printed: 150.0 kg, plus or minus: 1 kg, source: scale, state: drained, counts: as listed, WITHOUT}
- component: half
  name: half
  kind: assembly
  parts listed: LISTED
  parts:
    - {component: case, quantity: 1}
    - {component: pump, quantity: 1}
- component: case
  name: case
  kind: part
  masses: [{printed: 100.0 kg, plus or minus: 0.5 kg, source: scale}]
- {component: pin, name: pin, kind: part, masses: [{printed: 1.00 kg, plus or minus: 0.02 kg, source: scale}]}
- {component: oil, name: oil, kind: fluid, fluid: {litres: 20 L, density: 0.87 kg/L, stays: 2 L}}
- component: pump
  name: pump
  kind: part
PUMP
"""
)


def unit(
    *, pump: str = "40.0 kg", listed: str = "all", without: str = "without: none, checked by: fitter"
) -> Collection:
    mass = f"  masses: [{{printed: {pump}, plus or minus: 0.5 kg, source: scale}}]" if pump else ""
    text = UNIT.replace("PUMP", mass).replace("LISTED", listed).replace("WITHOUT", without)
    return collection(text)


def total(found: Collection, code: str = "unit", state: str = "dry", without: tuple[str, ...] = ()) -> Total:
    tree = unfold(found)
    return Totals(found, tree, state, frozenset(without)).of(tree.start[(code, ())])  # type: ignore[arg-type]


def test_complete_sum_in_three_states() -> None:
    found = unit()
    assert total(found, state="dry").mass.best == 145
    assert total(found, state="drained").mass.best == 145 + Fraction("1.74")
    assert total(found, state="filled").mass.best == 145 + Fraction("17.4")
    assert total(found).figure.basis is Basis.SUM


def test_worst_case_adds_and_n_pieces_of_one_figure_count_n_times() -> None:
    mass = total(unit()).mass
    assert mass.half_width_worst == Fraction("0.5") + Fraction("0.5") + 5 * Fraction("0.02")
    assert mass.half_width_rss == pytest.approx(math.hypot(0.5, 0.5, 0.1))
    assert mass.u == pytest.approx(math.hypot(0.5, 0.5, 0.1) / math.sqrt(3))


def test_missing_mass_is_at_least_and_named_never_zero() -> None:
    found = total(unit(pump=""))
    assert not found.mass.complete
    assert found.mass.best == 105
    assert found.unknown == (("pump", Fraction(1)),)


def test_a_list_that_may_be_short_makes_at_least() -> None:
    found = total(unit(listed="some"))
    assert not found.mass.complete
    assert found.unknown == ()
    assert found.open_lists == ("half",)


def test_stated_whole_never_changes_a_complete_sum() -> None:
    assert total(unit(), state="drained").figure.basis is Basis.SUM


def test_whole_with_known_boundary_stands_in_where_parts_are_missing() -> None:
    found = total(unit(pump=""), state="drained")
    assert found.figure.basis is Basis.WHOLE
    assert found.mass.best == 150
    assert found.mass.complete


def test_whole_of_another_state_does_not() -> None:
    assert total(unit(pump=""), state="dry").figure.basis is Basis.SUM


def test_whole_with_unknown_boundary_does_not() -> None:
    found = total(unit(pump="", without="by: fitter"), state="drained")
    assert found.figure.basis is Basis.SUM
    assert not found.mass.complete


def test_whole_that_the_known_parts_outweigh_does_not_stand_for_them() -> None:
    """Planning with it would be planning with a figure that is known to be too light."""
    found = collection(
        SCALE
        + """
- component: unit
  name: unit
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: pump, quantity: 1}]
  masses:
    - {printed: 10 kg, plus or minus: 1 kg, source: scale, state: dry, counts: as listed, without: none,
       checked by: fitter}
- {component: case, name: case, kind: part, masses: [{printed: 40.0 kg, plus or minus: 0.5 kg, source: scale}]}
- {component: pump, name: pump, kind: part}
"""
    )
    assert total(found).figure.basis is Basis.SUM
    assert total(found).mass.best == 40
    assert not total(found).mass.complete
    tree = unfold(found)
    assert plan_for(Totals(found, tree, "dry"), tree.start[("unit", ())], AllEvidence(found)).plan is None


def test_taking_a_part_off() -> None:
    found = total(unit(), without=("pin",))
    assert found.mass.best == 140
    assert found.left_out == ("pin",)


def test_taking_a_known_part_off_a_weighed_whole_subtracts_it() -> None:
    found = total(unit(pump=""), state="drained", without=("pin",))
    assert found.figure.basis is Basis.WHOLE
    assert found.mass.best == 145
    assert found.mass.half_width_worst == 1 + 5 * Fraction("0.02")


def test_taking_an_unknown_part_off_a_weighed_whole_is_at_least_not_less_nothing() -> None:
    """The trap: the whole minus zero because the pump has no mass on file."""
    found = total(unit(pump=""), state="drained", without=("pump",))
    assert found.mass.best == 105 + Fraction("1.74")
    assert found.figure.basis is Basis.SUM
    assert found.mass.complete  # what is left is known in full


def test_plan_is_rounded_from_the_heaviest_believable_figure() -> None:
    found = unit()
    tree = unfold(found)
    totals = Totals(found, tree, "dry")
    plan = plan_for(totals, tree.start[("unit", ())], AllEvidence(found))
    # Weighed 150 ± 1 kg drained: less what stays at least, 1.5 L at 0.865 kg/L; the parts come to 146.1 kg.
    assert plan.plan == 151 - Fraction("1.5") * Fraction("0.865")
    assert plan.high == Fraction("146.1")


def test_usable_whole_above_the_sum_raises_the_plan() -> None:
    found = unit()
    tree = unfold(found)
    plan = plan_for(Totals(found, tree, "drained"), tree.start[("unit", ())], AllEvidence(found))
    assert plan.plan == 151
    assert plan.raised_by is not None


def test_no_upper_figure_with_a_part_unknown_unless_the_whole_was_weighed_in_any_state() -> None:
    weighed = unit(pump="")
    unknown = unit(pump="", without="without: nobody looked")
    plans = []
    for found in (weighed, unknown):
        tree = unfold(found)
        plans.append(plan_for(Totals(found, tree, "dry"), tree.start[("unit", ())], AllEvidence(found)))
    assert plans[0].plan == 151 - Fraction("1.5") * Fraction("0.865")
    assert plans[1].plan is None
    assert plans[1].why_none == "1 part has no mass"


def diamond(levels: int) -> str:
    """Each level lists the next twice: 2 to the power of `levels` leaves, `levels` nodes."""
    records = [SCALE]
    for level in range(levels):
        below = f"d{level + 1}"
        records.append(
            f"- {{component: d{level}, name: d{level}, kind: assembly, parts listed: all, parts: "
            f"[{{component: {below}, quantity: 1}}, {{component: {below}, quantity: 1}}]}}"
        )
    mass = "masses: [{printed: 1 kg, plus or minus: 0.1 kg, source: scale}]"
    records.append(f"- {{component: d{levels}, name: leaf, kind: part, {mass}}}")
    return "\n".join(records)


def test_forty_level_diamond_has_exact_mass_and_doubt() -> None:
    found = total(collection(diamond(40)), "d0")
    assert found.mass.best == 2**40
    assert found.mass.half_width_worst == Fraction(2**40, 10)
    assert found.mass.half_width_rss == pytest.approx(2**40 / 10)  # one figure, so many pieces of it


@pytest.mark.slow
def test_two_thousand_levels(tmp_path: Path) -> None:
    levels = 2_000  # twice as deep as Python calls functions
    rows = ["parent,child,quantity,mass kg", *(f"c{n},c{n + 1},1," for n in range(levels - 1))]
    rows.append(f"c{levels - 1},c{levels},1,7.0")
    (tmp_path / "t.csv").write_text("\n".join(rows) + "\n")
    found = read_paths([tmp_path / "t.csv"]).collection
    tree = unfold(found)
    assert tree.height[tree.start[("c0", ())]] == levels
    assert total(found, "c0").mass.best == 7


def test_cycle_is_named_and_harms_nothing_else() -> None:
    found = collection(
        SCALE
        + """
- {component: a, name: a, kind: assembly, parts listed: all, parts: [{component: b, quantity: 1}]}
- {component: b, name: b, kind: assembly, parts listed: all, parts: [{component: a, quantity: 1}]}
- {component: above, name: above, kind: assembly, parts listed: all, parts: [{component: a, quantity: 1}]}
- {component: c, name: c, kind: part, masses: [{printed: 1 kg, source: scale}]}
"""
    )
    tree = unfold(found)
    assert tree.cycles == (("a", "b", "a"),)
    totals = Totals(found, tree, "dry")
    assert totals.of(tree.start[("c", ())]).mass.best == 1
    assert not totals.of(tree.start[("above", ())]).mass.complete
