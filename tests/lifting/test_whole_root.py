"""A lift group that takes its whole root, by its id or part by part, may use the root's own pick points."""

from __future__ import annotations

import pytest

from handling_db.files.reading import read_texts
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.said.words import load_words
from handling_db.records.collection import Collection, collect
from handling_db.tables.sources import read_paths
from tests.telling import words

UNIT = """\
- {source: scale, name: Shop scale, kind: weighed}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts:
    - {component: pump, quantity: 1, at: [0 mm, 0 mm, 0 mm]}
    - {component: frame, quantity: 1, at: [0 mm, 0 mm, 100 mm]}
  attitudes: [{id: upright, name: Upright}]
  pick points:
    - {id: ring-left, name: Left ring, at: [0 mm, 200 mm, 500 mm]}
    - {id: ring-right, name: Right ring, at: [0 mm, -200 mm, 500 mm]}
- component: pump
  name: Pump
  kind: part
  masses: [{printed: 200 kg, plus or minus: PUMP, source: scale}]
- {component: frame, name: Frame, kind: part, masses: [{printed: 50 kg, plus or minus: 1 kg, source: scale}]}
- lift group: off
  name: Unit off its bed
  root: unit
  takes: TAKES
  attitude: upright
  packing: none
  trapped: none
  gear: none
  checked by: rigger
  picks: [{point: ring-left, length: 1000 mm}, {point: ring-right, length: 1000 mm}]
"""


def records(takes: str, pump: str = "2 kg") -> Collection:
    made = read_texts([("r.yml", UNIT.replace("TAKES", takes).replace("PUMP", pump))])
    assert not made.findings
    kinds = read_paths([]).collection
    return collect(
        [*made.collection.records(), *(("source kind", k) for k in kinds.source_kinds.values())],
        made.collection.lines,
    )


@pytest.mark.parametrize("takes", ["[[unit]]", "[unit]", "[[unit, pump], [unit, frame]]", "[pump, frame]"])
def test_the_roots_own_points_carry_all_of_it(takes: str) -> None:
    answer = lift_answer(records(takes), "off")

    assert answer.group is not None
    assert answer.group.best == 250.0
    assert {point.id for point in answer.points if point.used} == {"ring-left", "ring-right"}
    assert answer.legs is not None
    assert [round(leg.share, 3) for leg in answer.legs.legs] == [0.5, 0.5]


@pytest.mark.parametrize("takes", ["[[pump]]", "[[unit]]\n  leaves: [frame]"])
def test_a_part_of_it_does_not_hang_on_the_points_of_the_whole(takes: str) -> None:
    """Taken by its id and one part left: the points are the root's, which is still there."""
    answer = lift_answer(records(takes), "off")
    own = {point.id for point in answer.points}

    assert ("ring-left" in own) is (takes != "[[pump]]")


def test_a_load_that_may_weigh_nothing_by_its_doubt_is_no_crash() -> None:
    """With a rating to stop at: how far it swings when it lets go cannot be named."""
    loose = records("[[unit]]", pump="251 kg")
    rated = "rated: [{up to: 45 deg, rated: 900 kg}], direction: z, rated by: plate}"
    text = (
        UNIT.replace("TAKES", "[[unit]]").replace("PUMP", "251 kg").replace("500 mm]}", f"500 mm], {rated}")
    )
    made = read_texts(
        [
            (
                "r.yml",
                text.replace("printed: 50 kg, plus or minus: 1 kg", "printed: 50 kg, plus or minus: 50 kg"),
            )
        ]
    )
    assert not made.findings
    others = [(kind, record) for kind, record in loose.records() if kind == "source kind"]
    answer = lift_answer(collect([*made.collection.records(), *others], made.collection.lines), "off")

    assert answer.group is not None
    assert answer.group.low == 0.0
    assert "by its doubt the load may weigh nothing" in words([answer.sudden[0].says])[0]


def test_nothing_inside_is_none() -> None:
    answer = lift_answer(records("[[unit]]"), "off")

    assert [load_words(addition.load) for addition in answer.additions] == ["none"]
