"""Where what is lifted lies: some of several with a place each, and fluid that nobody placed."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from handling_db.files.rating_factors import rating_factors
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.said.words import lift_lines
from handling_db.mechanics.centre_patch import centre_patch
from handling_db.moving.answer import move_answer
from handling_db.moving.question import MoveQuestion
from tests.from_text import SCALE, collection
from tests.telling import words


@pytest.mark.parametrize("seed", range(12))
def test_some_of_several_with_a_place_each_are_among_their_places(seed: int) -> None:
    """Which of them go along nobody said: the centre of every choice lies inside the patch, and no farther."""
    rng = np.random.default_rng(seed)
    many = int(rng.integers(2, 6))
    stay = int(rng.integers(1, many))
    spots = rng.integers(-900, 900, (many, 3))
    base, each = 100.0, float(rng.integers(5, 60))
    placed = ", ".join(f"{{at: [{x} mm, {y} mm, {z} mm]}}" for x, y, z in spots)
    records = collection(
        f"""{SCALE}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts:
    - {{component: base, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}
    - {{component: plate, quantity: {many}, places: [{placed}]}}
- {{component: base, name: Base, kind: part, masses: [{{printed: {base} kg, plus or minus: 0.001 kg, source: scale}}]}}
- {{component: plate, name: Plate, kind: part, masses: [{{printed: {each} kg, plus or minus: 0.001 kg, source: scale}}]}}
- {{lift group: up, name: Up, root: unit, takes: [[unit]], leaves: [{{of: [plate], quantity: {stay}}}]}}
"""
    )
    patch = centre_patch(group_mass(records, records.lift_groups["up"]).weighted())
    go = many - stay
    centres = np.array(
        [
            each * spots[list(those)].sum(axis=0) / 1000.0 / (base + each * go)
            for those in combinations(range(many), go)
        ]
    )
    hull = np.array([spots.min(axis=0), spots.max(axis=0)]) / 1000.0 * each * go / (base + each * go)

    near = 1e-4  # the masses are known to a gram
    assert (centres >= np.array(patch.low) - near).all()
    assert (centres <= np.array(patch.high) + near).all()
    assert np.array(patch.low) == pytest.approx(hull[0], abs=near)
    assert np.array(patch.high) == pytest.approx(hull[1], abs=near)


OILY = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  {outline}
  parts:
    - {{component: base, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}
    - {{component: lids, quantity: 4, at: [0 mm, 0 mm, 0 mm]}}
    - {{component: oil, quantity: 1, at: [400 mm, 0 mm, -200 mm]}}
  set down faces:
    - {{id: sole, name: sole, may rest: yes, corners: [[-500 mm, -300 mm, -300 mm], [500 mm, -300 mm, -300 mm], [500 mm, 300 mm, -300 mm], [-500 mm, 300 mm, -300 mm]], square to: -z}}
  attitudes: [{{id: up, name: as it stands, rests on: sole}}]
- {{component: base, name: Base, kind: part, centre: [0 mm, 0 mm, 0 mm], masses: [{{printed: 90.0 kg, plus or minus: 0.001 kg, source: scale}}]}}
- {{component: lids, name: Lid, kind: part, centre: [0 mm, 0 mm, 0 mm], masses: [{{printed: 4.0 kg, plus or minus: 0.001 kg, pieces: 4, source: scale}}]}}
- {{component: oil, name: Gear oil, kind: fluid, fluid: {{litres: 10 L, litres plus or minus: 0.001 L, density: 0.9 kg/L, density plus or minus: 0.0001 kg/L}}}}
- {{lift group: full, name: Full, root: unit, takes: [[unit]], attitude: up, trapped: [{{fluid: oil, litres: 10 L, plus or minus: 0.001 L{space}}}], set down: {{on: floor, face: sole}}}}
- {{lift group: open, name: Nobody looked, root: unit, takes: [[unit]], attitude: up}}
- {{lift group: one-lid, name: One lid, root: unit, takes: [[unit]], leaves: [{{of: [lids], quantity: 3}}, [base]], trapped: none, packing: none, gear: none, checked by: rigger, mover: hoist}}
- {{mover: hoist, name: Hoist, kind: hoist, rated: 1 t, cell error: 1 %}}
"""


def oily(group: str, *, outline: str = "remark: none", space: str = "") -> LiftAnswer:
    records = collection(SCALE + OILY.format(outline=outline, space=space))
    return lift_answer(records, group, LiftQuestion(factors=rating_factors()))


def test_fluid_that_nobody_placed_counts_where_its_part_line_says() -> None:
    """9 kg of oil at x = 400 beside 94 kg at 0: closed form of two masses."""
    answer = oily("full")

    assert answer.centre is not None
    assert answer.centre.at == pytest.approx((0.4 * 9 / 103, 0.0, -0.2 * 9 / 103), abs=1e-4)
    assert any("counted where its part line says" in line for line in lift_lines(answer))


def test_a_space_or_an_outline_goes_before_the_part_line() -> None:
    space = ", within: [[-100 mm, -100 mm, -100 mm], [100 mm, 100 mm, 100 mm]]"
    within = oily("full", space=space).centre
    outlined = oily("full", outline="outline: {length: 1 m, width: 600 mm, height: 600 mm}").centre

    assert within is not None
    assert outlined is not None
    assert within.high[0] == pytest.approx(0.1 * 9 / 103, abs=1e-4)
    assert outlined.high[0] == pytest.approx(0.5 * 9 / 103, abs=1e-4)
    for centre in (within, outlined):
        assert not any("part line" in text for text in words(centre.says))
    assert not any("recorded outline" in text for text in words(within.says))


def test_none_to_all_of_a_fluid_counts_from_nothing_to_its_place() -> None:
    centre = oily("open").centre

    assert centre is not None
    assert (centre.low[0], centre.high[0]) == pytest.approx((0.0, 0.4 * 9 / 102.6), abs=1e-3)


@pytest.mark.parametrize("space", ["", ", within: [[-100 mm, -100 mm, -100 mm], [100 mm, 100 mm, 100 mm]]"])
def test_a_move_takes_the_fluid_where_the_lift_does(space: str) -> None:
    records = collection(SCALE + OILY.format(outline="remark: none", space=space))
    lifted = lift_answer(records, "full", LiftQuestion(factors=rating_factors()))
    moved = move_answer(records, MoveQuestion(what="full"))

    assert lifted.centre is not None
    assert moved.standing[0].height_high_m == pytest.approx(0.3 + lifted.centre.high[2], abs=1e-4)


def test_one_of_several_weighed_together_says_that_the_scatter_is_not_known() -> None:
    one = [notice.facts for notice in oily("one-lid").first if notice.kind == "scatter not known"]
    all_of_them = [notice for notice in oily("full").first if notice.kind == "scatter not known"]

    assert one == [{"name": "Lid", "weighed": 4, "here": 1.0}]
    assert all_of_them == []


def test_what_nobody_looked_at_is_said_once_and_the_reading_has_one_story() -> None:
    answer = oily("open")
    why = [line for line in lift_lines(answer) if "obody looked" in line and "pick points are used" in line]

    assert [line for line in why if line.startswith("  N")] == [
        "  Nobody looked: which pick points are used."
    ]


def test_a_reading_that_is_only_at_least_is_looked_at_again_from_below() -> None:
    lines = lift_lines(oily("one-lid"))

    assert not any("look again: no figure" in line for line in lines)
