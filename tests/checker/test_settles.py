"""How many answers have an upper figure, and what one weighing would settle: cases counted by hand."""

from __future__ import annotations

from handling_db.checker.evidence import Evidence
from handling_db.checker.gaps import gaps
from handling_db.checker.settles import bounded
from handling_db.records.collection import Collection
from tests.from_text import SCALE, collection

WHOLE = "counts: as listed, without: none, checked by: fitter, source: scale, state: dry"
UNIT = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: pump, quantity: 2}, {component: cover, quantity: 1}]
MASSES
- {component: case, name: Case, kind: part, masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]}
- {component: pump, name: Pump, kind: part}
- {component: cover, name: Cover, kind: part}
- {component: hook-block, name: Hook block, kind: part}
"""


def unit(masses: str = "") -> Collection:
    return collection(
        SCALE + UNIT.replace("MASSES\n", f"  masses: [{{{masses}, {WHOLE}}}]\n" if masses else "")
    )


def test_answers_without_an_upper_figure_are_counted_before_and_after() -> None:
    """Unit, pump, cover and hook block have none by themselves; the weighed unit bounds all but the block."""
    before = bounded(Evidence(unit()))
    after = bounded(Evidence(unit("printed: 160 kg, plus or minus: 2 kg")))

    assert (before.pieces, before.answers) == (5, 15)
    assert (before.by_parts, before.by_evidence) == (12, 12)
    # The whole stands for its parts in the sum rule too, in the state it was weighed in and, without fluid, in all.
    assert (after.by_parts, after.by_evidence) == (9, 3)
    assert "9 have no upper figure by their own figures and parts, 3 with all the evidence" in after.words


def test_a_weighing_is_ranked_by_the_answers_it_settles() -> None:
    """159 to 161 for the unit, 99 to 101 for the case: 58 to 62 for two pumps and a cover, either up to all of it."""
    found = {gap.id: gap for gap in gaps(unit("printed: 160 kg, plus or minus: 1 kg")) if gap.act == "weigh"}

    assert found["pump"].settles == 1  # its own 0 to 31; the unit is known within 2 kg of 161
    assert found["cover"].settles == 1
    assert found["hook-block"].settles == 1  # refused, and nothing holds it
    refused = {gap.id: gap for gap in gaps(unit()) if gap.act == "weigh"}
    assert refused["pump"].settles == 2  # itself and the unit
    order = [gap.id for gap in gaps(unit()) if gap.act == "weigh"]
    assert order.index("pump") < order.index("hook-block")


def test_the_drive_of_the_demo_settles_itself_its_half_and_the_lift_of_that_half(demo: Collection) -> None:
    (drive,) = [gap for gap in gaps(demo) if gap.id == "auxiliary-drive"]
    count = bounded(Evidence(demo))

    assert drive.settles == 3
    assert count.by_parts == 9
    assert count.by_evidence == 0
