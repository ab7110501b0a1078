"""Standing away from the demo: pieces by their shape, on stands, on their own feet, pushed, on trucks."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from handling_db.files.reading import read_texts
from handling_db.moving.answer import move_answer
from handling_db.moving.notices import told
from handling_db.moving.question import MoveQuestion
from handling_db.moving.text import move_text, stand_text
from handling_db.records.proved import Records
from handling_db.tables.kinds import shipped_kinds

COLUMN = """\
- {source: shape-machined, name: Its shape, kind: 'from shape, machined'}
- component: column
  name: Column
  kind: part
  masses:
    - {shape: {box: {length: 2000 mm, width: 300 mm, height: 300 mm}, density: 7850 kg/m³}, source: shape-machined}
  set down faces:
    - id: foot
      name: foot
      may rest: yes
      corners: [[-150 mm, -150 mm, 0 mm], [150 mm, -150 mm, 0 mm], [150 mm, 150 mm, 0 mm], [-150 mm, 150 mm, 0 mm]]
      square to: -z
"""
UNIT = """\
- {source: scale, name: Scale, kind: weighed}
- component: unit
  name: Unit
  kind: part
  centre: [100 mm, 0 mm, 500 mm]
  masses:
    - {printed: 400 kg, plus or minus: 0.001 kg, source: scale}
  set down faces:
    - id: wheels
      name: its wheels
      may rest: yes
      feet: {kind: wheels, at: [[-500 mm, -400 mm, 0 mm], [500 mm, -400 mm, 0 mm], [0 mm, 400 mm, 0 mm]], length: 50 mm, width: 40 mm}
      square to: -z
- fixture: low-stand
  name: Low stand
  kind: stand
  own mass: 100 kg
  plus or minus: 0.001 kg
  height: 300 mm
  centre: [0 mm, 0 mm, 150 mm]
  feet: {at: [[-300 mm, -300 mm], [300 mm, -300 mm], [300 mm, 300 mm], [-300 mm, 300 mm]]}
- mover: truck
  name: Truck
  kind: forklift
  rated: 1500 kg
  rated load centre: 500 mm
  axle to fork face: 400 mm
  own mass: 2500 kg
  wheelbase: 1250 mm
  centre behind front axle: 800 mm
- shop: here
  name: Here
  movers: [truck]
  floors:
    - {id: bay, name: bay, friction: {from: 0.2, to: 0.3}}
"""


ON_PALLET = (
    UNIT
    + """\
- pallet: flat
  name: Flat
  kind: flat pallet
  length: 1000 mm
  width: 1000 mm
  deck height: 150 mm
  own mass: 20 kg
  plus or minus: 0.001 kg
- {packing: bare, name: Bare, kind: straps, for components: [unit], pallet: flat, own mass: none, checked by: rigger}
"""
)


def records(text: str) -> Records:
    reading = read_texts([("records.yml", text)])
    assert [str(finding) for finding in reading.findings] == []
    return Records.taken_from(replace(reading.collection, source_kinds=shipped_kinds()))


def ask(text: str, what: str, **more: object):
    return move_answer(records(text), MoveQuestion(what=what, **more))  # type: ignore[arg-type]


def test_a_column_without_a_centre_goes_over_at_8_degrees_seen() -> None:
    """A box 2000 x 300 x 300 on its 300 x 300 face: atan(150 / 1000). It said 90."""
    answer = ask(COLUMN, "column")
    stand = answer.standing[0]

    assert stand.height_m == pytest.approx(1.0)
    assert stand.weakest is not None
    assert stand.weakest.tips_at == pytest.approx(math.degrees(math.atan2(0.15, 1.0)))
    assert "goes over at 8°" in stand_text(answer)
    assert any("taken from its shape" in text for text in told(answer.not_known))
    assert any(text.startswith("Centre of 1 piece taken at its datum") for text in told(answer.not_known))


@pytest.mark.parametrize(
    ("lies", "height"),
    [
        ("{at: [0 mm, 0 mm, 0 mm], turned: {pitch: -90 deg}}", 1.0),
        ("{middle: [0 mm, 0 mm, 700 mm]}", 0.7),
    ],
)
def test_a_shape_that_says_how_it_lies_gives_the_centre(lies: str, height: float) -> None:
    answer = ask(COLUMN.replace("  masses:", f"  shape lies: {lies}\n  masses:", 1), "column")

    assert answer.standing[0].height_m == pytest.approx(height)
    assert not any("datum" in text for text in told(answer.not_known))


def test_a_face_that_fits_no_side_of_the_shape_takes_the_tallest_it_can_stand() -> None:
    answer = ask(COLUMN.replace("150 mm", "140 mm"), "column")
    stand = answer.standing[0]

    assert stand.weakest is not None
    assert stand.weakest.tips_at <= math.degrees(math.atan2(0.14, 1.0))


def test_its_own_wheels_have_a_load_each() -> None:
    """Three wheels are settled by statics: 400 kg at (100, 0)."""
    answer = ask(UNIT, "unit")
    loads = [foot.highest_kg for foot in answer.feet]

    # By hand: the single one carries half; the other two share by moments about x: 200 = a + b, (b - a) * 0.5 = 40.
    assert loads == pytest.approx([60, 140, 200], abs=0.01)
    assert "foot at 0, 400 mm: up to 200" in move_text(answer).replace("201", "200")


def test_on_a_stand_the_lesser_way_is_found_and_the_feet_carry_both() -> None:
    answer = ask(UNIT, "unit", fixture="low-stand")
    piece, both = answer.standing

    assert piece.weakest is not None
    assert both.weakest is not None
    # 400 kg at (100, 0, 800) and 100 kg at (0, 0, 150): (80, 0, 670); the nearest foot edge is 220 mm off.
    assert both.height_m == pytest.approx(0.67)
    assert both.weakest.best_tips_at == pytest.approx(math.degrees(math.atan2(0.22, 0.67)), abs=0.01)
    assert answer.weakest == piece.weakest  # 127 mm and 500 mm up: 14 degrees before 18
    assert both.weakest.towards == "high x of the stand, its +x side"
    assert sum(foot.even_kg or 0 for foot in answer.feet) == pytest.approx(500, abs=0.01)


def test_a_level_push_tips_or_slides() -> None:
    """Over the nearest side of the triangle of its wheels; friction 0.2 to 0.3."""
    answer = ask(UNIT, "unit", shop="here", push_at=1.0)
    push = answer.standing[-1].push

    # Line from (500, -400) to (0, 400): distance of (100, 0) is |0.8 x + 0.5 y - 0.2| / sqrt(0.89) with x 0.1.
    base = (0.2 - 0.08 + 0.0) / math.sqrt(0.89)
    assert push is not None
    assert push.tips_kg == pytest.approx(400 * base, rel=1e-3)
    assert push.first == "tips"
    assert push.tips_first_above == pytest.approx(base, rel=1e-3)
    low = ask(UNIT, "unit", shop="here", push_at=0.3).standing[-1].push
    assert low is not None
    assert low.first == "slides"
    bare = ask(UNIT, "unit", push_at=1.0).standing[-1].push
    assert bare is not None
    assert bare.first == "friction not recorded"


def test_the_axles_of_a_truck_with_its_mass_wheelbase_and_centre() -> None:
    answer = ask(ON_PALLET, "unit", shop="here")
    truck = next(one for one in answer.trucks if one.side == "low y")

    assert truck.axles is not None
    assert answer.gross is not None
    load = answer.gross.high
    assert load is not None
    # 0.4 m to the fork face, 0.5 m on to the middle of the pallet.
    assert truck.axles.rear_kg == pytest.approx((2500 * 0.8 - load * 0.9) / 1.25, abs=0.5)
    assert truck.axles.tips_at_kg == pytest.approx(2500 * 0.8 / 0.9, abs=0.5)
    assert "rear axle keeps" in move_text(answer)


def test_what_the_axles_need_is_named() -> None:
    answer = ask(ON_PALLET.replace("  wheelbase: 1250 mm\n", ""), "unit", shop="here")

    assert any(
        "What its axles carry is not known: wheelbase not recorded." in told(one.says)
        for one in answer.trucks
    )


WITH_WAY = ON_PALLET.replace(
    "  movers: [truck]\n", "  movers: [truck]\n  routes: [{id: in, name: In, over: [bay]}]\n"
)


def test_a_truck_with_its_load_is_set_beside_what_the_floor_takes() -> None:
    """By hand: truck 2500, unit 400, pallet 20 kg; front axle by moments about the rear one."""
    text = WITH_WAY.replace(
        "{id: bay, name: bay, ",
        "{id: bay, name: bay, whole limit: 2900 kg, point limit: 1000 kg, stated by: sign, ",
    )
    answer = ask(text, "unit", shop="here")
    floor = answer.floors[0]
    both = next(one for one in floor.beside if one.what == "bay, Truck and load as a whole")
    assert both.high_kg == pytest.approx(2920, abs=0.1)
    assert both.rating_kg == 2900
    assert both.left_kg == pytest.approx(-20, abs=0.1)
    wheel = next(one for one in floor.beside if "one wheel of Truck" in one.what)
    fronts = []
    for truck in answer.trucks:
        assert truck.axles is not None
        fronts.append(truck.axles.front_kg)
    assert wheel.high_kg == pytest.approx(max(*fronts, 2500 * 0.8 / 1.25) / 2)
    assert "Truck and load as a whole" in move_text(answer)


def test_a_truck_of_unknown_mass_is_named_at_the_floor() -> None:
    text = WITH_WAY.replace("  own mass: 2500 kg\n", "").replace(
        "{id: bay, name: bay, ",
        "{id: bay, name: bay, whole limit: 2900 kg, point limit: 1000 kg, stated by: sign, ",
    )
    says = told(ask(text, "unit", shop="here").floors[0].says)
    assert any(text.startswith("What Truck weighs is not recorded") for text in says)
    assert any(text.startswith("What a wheel of Truck carries is not known") for text in says)
