"""A lift rests on all the evidence: readings that cannot both be true, a whole heavier than its parts, limits
that a weighed whole sets.

Right figures by hand: sums, and moments about a pick point.
"""

from __future__ import annotations

import pytest

from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.said.words import lift_lines
from handling_db.lookup.weight import answer as answer_of_weight
from handling_db.mechanics.centre_patch import centre_patch
from handling_db.moving.answer import move_answer
from handling_db.moving.notices import told
from handling_db.moving.question import MoveQuestion
from handling_db.quantities.amount import UnknownMassError
from tests.from_text import SCALE, collection

Stated = tuple[float, float]  # mass and doubt [kg]


def masses(stated: tuple[Stated, ...]) -> str:
    told = ", ".join(
        f"{{id: m{i}, printed: {mass:g} kg, plus or minus: {doubt:g} kg, counts: as listed, without: none, "
        "checked by: weigher, state: dry, source: scale}"
        for i, (mass, doubt) in enumerate(stated)
    )
    return f", masses: [{told}]" if stated else ""


def records(
    case: tuple[Stated, ...],
    shaft: tuple[Stated, ...],
    unit: tuple[Stated, ...] = (),
    *,
    takes: str = "[case], [shaft]",
    apart: float = 0.0,
) -> str:
    """A unit of a case and a shaft so far apart, on two legs from points 1 m apart. [kg, mm]"""
    return f"""{SCALE}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  attitudes: [{{id: as-is, name: as it lies}}]
  pick points:
    - {{id: left, name: left, at: [-500 mm, 0 mm, 500 mm]}}
    - {{id: right, name: right, at: [500 mm, 0 mm, 500 mm]}}
  parts:
    - {{component: case, quantity: 1, at: [{-apart / 2:g} mm, 0 mm, 0 mm]}}
    - {{component: shaft, quantity: 1, at: [{apart / 2:g} mm, 0 mm, 0 mm]}}
  masses: [{masses(unit).removeprefix(", masses: [") or "]"}
- {{component: case, name: Case, kind: part{masses(case)}}}
- {{component: shaft, name: Shaft, kind: part{masses(shaft)}}}
- lift group: up
  name: Up
  root: unit
  takes: [{takes}]
  attitude: as-is
  trapped: none
  packing: none
  gear: none
  checked by: rigger
  picks:
    - {{point: left, length: 100 m, length plus or minus: 0.001 mm}}
    - {{point: right, length: 100 m, length plus or minus: 0.001 mm}}
""".replace("  masses: []\n", "")


def lifted(text: str) -> LiftAnswer:
    return lift_answer(collection(text), "up", LiftQuestion())


def test_of_two_readings_that_cannot_both_be_true_the_heavier_counts():
    text = records(((40, 0.2), (60, 0.2)), ((10, 0.1),))
    answer = lifted(text)
    assert answer.lift is not None
    assert answer.legs is not None
    assert answer.lift.low == pytest.approx(39.8 + 9.9)
    assert answer.lift.high == pytest.approx(60.2 + 10.1)
    # Long legs, nearly plumb: half of it each.
    assert answer.legs.legs[0].tension_high_kg == pytest.approx(70.3 / 2, rel=1e-3)
    first = lift_lines(answer)[1]
    assert "60 ± 10 kg" in first
    assert "figures disagree: Case: 60 kg" in first
    move = move_answer(collection(text), MoveQuestion(what="unit", state="dry"))
    assert move.gross is not None
    assert move.gross.high == pytest.approx(70.3)
    assert any("cannot all be true" in gap for gap in told(move.not_known))


def test_a_whole_heavier_than_its_parts_is_lifted_as_it_was_weighed_wherever_the_rest_lies():
    text = records(((40, 0.2),), ((10, 0.1),), ((100, 1),), apart=800)
    answer = lifted(text)
    assert answer.lift is not None
    assert answer.legs is not None
    assert answer.lift.high == pytest.approx(101)
    # All that is missing may be in the shaft, 900 mm of 1 m towards the right: 40.2 kg stay in the case.
    right = answer.legs.legs[1].tension_high_kg
    assert right == pytest.approx(0.1 * 39.8 + 0.9 * (101 - 39.8), rel=1e-3)


def test_a_piece_of_a_whole_that_weighs_more_has_a_second_figure():
    answer = lifted(records(((40, 0.2),), ((10, 0.1),), ((100, 1),), takes="[case]"))
    assert answer.lift is not None
    assert answer.lift.high == pytest.approx(40.2)
    lines = "\n".join(lift_lines(answer))
    # The whole at 101 kg less the shaft at 9.9 kg.
    assert "are missing somewhere in Unit" in lines
    assert "up to 92 kg" in lines


def test_a_weighed_whole_narrows_what_a_leg_may_carry():
    """Case and shaft 50 ± 10 each, together 100 ± 1: not both heavy, and not 58.0 but 58.1."""
    answer = lifted(records(((50, 10),), ((50, 10),), ((100, 1),), apart=800))
    assert answer.lift is not None
    assert answer.legs is not None
    assert (answer.lift.low, answer.lift.high) == pytest.approx((99, 101))
    # Most on the right: shaft 60, case 41; 900 mm and 100 mm of 1 m.
    assert answer.legs.legs[1].tension_high_kg == pytest.approx(0.9 * 60 + 0.1 * 41, rel=1e-3)


def test_the_centre_of_a_weighed_whole_lies_among_its_unweighed_parts():
    """100 ± 1 kg anywhere between 100 and 900 mm from the left point: up to 0.9 of 101 kg on either leg."""
    answer = lifted(records((), (), ((100, 1),), apart=800))
    assert answer.lift is not None
    assert answer.legs is not None
    assert answer.lift.high == pytest.approx(101)
    for leg in answer.legs.legs:
        assert leg.tension_high_kg == pytest.approx(0.9 * 101, rel=5e-3)


def test_a_plan_is_never_under_the_sum_that_stands_beside_it():
    """Half weighed 321, its group 303, the pieces of the group twice 124 and 94: 381 by the pieces."""
    text = f"""{SCALE}
- component: half
  name: Half
  kind: assembly
  parts listed: all
  parts: [{{component: case, quantity: 1}}, {{component: group, quantity: 1}}]
  masses: [{masses(((321, 2),)).removeprefix(", masses: [")}
- component: group
  name: Group
  kind: assembly
  parts listed: all
  parts: [{{component: flange, quantity: 1}}, {{component: gear, quantity: 2}}]
  masses: [{masses(((303, 1),)).removeprefix(", masses: [")}
- {{component: case, name: Case, kind: part{masses(((19.9, 0.3),))}}}
- {{component: flange, name: Flange, kind: part{masses(((112.5, 2),))}}}
- {{component: gear, name: Gear, kind: part{masses(((124.4, 0.1), (93.9, 0.3)))}}}
- lift group: up
  name: Up
  root: half
  takes: [half]
  trapped: none
  packing: none
  gear: none
  checked by: rigger
"""
    records = collection(text)
    headline = answer_of_weight(records, "half").headline
    assert headline.planning is not None
    assert float(headline.planning) == pytest.approx(20.2 + 114.5 + 2 * 124.5)
    lift = lift_answer(records, "up", LiftQuestion()).lift
    assert lift is not None
    assert lift.high == pytest.approx(20.2 + 114.5 + 2 * 124.5)


STATES: tuple[tuple[Stated, ...], ...] = ((), ((50, 10),), ((40, 2), (60, 2)))


@pytest.mark.parametrize("case", STATES)
@pytest.mark.parametrize("shaft", STATES)
@pytest.mark.parametrize("unit", [(), ((100, 1),), ((140, 1),)])
def test_boxes_around_pieces_refuse_no_centre_that_their_parts_give(
    case: tuple[Stated, ...], shaft: tuple[Stated, ...], unit: tuple[Stated, ...]
) -> None:
    """Set-downs and moves take a whole without a place as a box around its parts: wider, and never a refusal."""
    made = collection(records(case, shaft, unit, apart=800))
    mass = group_mass(made, made.lift_groups["up"])
    pieces, sums = mass.by_parts()
    try:
        narrow = centre_patch(pieces, sums=sums)
    except UnknownMassError:
        with pytest.raises(UnknownMassError):
            centre_patch(mass.weighted())
        return

    wide = centre_patch(mass.weighted())

    assert all(low <= at + 1e-9 for low, at in zip(wide.low, narrow.low, strict=True))
    assert all(high >= at - 1e-9 for high, at in zip(wide.high, narrow.high, strict=True))
