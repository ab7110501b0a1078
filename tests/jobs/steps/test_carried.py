"""A body on a truck on its way: plate by side, floor, door and gradient, each just wrong and just right."""

from __future__ import annotations

import datetime

import pytest
import yaml

import handling_db as hd
from handling_db.files.reading import read_texts
from handling_db.jobs.steps.carried import best_side
from handling_db.jobs.steps.figures import steps_answer
from handling_db.jobs.steps.lifts import StepsQuestion
from handling_db.jobs.steps.said.words import carry_lines, steps_text
from handling_db.records.kinds.job_plan import JobPlan
from tests.jobs.steps.conftest import DAY
from tests.jobs.steps.test_findings import BOX

# 170 kg, at most 173 kg; its centre lies 40 * 300 / 170 = 70.6 mm behind the middle of a face of 400 mm.
TRUCK = "{mover: fork, name: Fork, kind: forklift, rated: 400 kg, rated load centre: 300 mm%s}"
SHED = """
- %s
- shop: yard
  name: Yard
  movers: [fork, skate]
  floors: [{id: slab, name: slab, limit: %s}]
  doors: [{id: gate, name: gate, width: 2 m, height: 2 m}]
  routes: [{id: out, name: way out, through: [gate], over: [slab]%s}]
- {mover: skate, name: Skates, kind: skates, rated: 160 kg}
"""
ROUND = ", plate: [{load centre: 150 mm, capacity: 200 kg}, {load centre: 220 mm, capacity: %s kg}, "
PLATE = ROUND + "{load centre: 300 mm, capacity: 150 kg}]"


def carried(truck="", floor="20 kN/m2", way=", slope: 0 deg", step="mover: fork, route: out", day=30):
    text = BOX + SHED % (TRUCK % truck, floor, way)
    reading = read_texts([("box.yml", text)])
    assert [str(f) for f in reading.findings] == []
    starts = "{attitude: upright, rests: {on: floor, face: floor}}"
    plan = f"{{job plan: p, name: P, unit: box, shop: yard, starts: {starts}, steps: [{{do: carry, what: Away, of: [body], {step}}}]}}"
    record = JobPlan.model_validate(yaml.load(plan, Loader=yaml.BaseLoader))
    answer = steps_answer(reading.collection, record, StepsQuestion(datetime.date(2026, 11, day)))
    return answer.steps[0]


def said(notices):
    return [notice.kind for notice in notices]


def test_the_load_centre_is_that_of_the_body_from_every_side():
    step = carried()
    sides = {truck.side: truck.look_up_m for truck in step.move.trucks}

    centre = 40 * 300 / 170
    assert sides["high x"] == pytest.approx((200 - centre) / 1000, abs=0.004)
    assert sides["low x"] == pytest.approx((200 + centre) / 1000, abs=0.004)
    assert sides["low y"] == pytest.approx(0.2, abs=0.004)
    assert best_side(step.move).side == "high x"
    assert step.move.gross.high == pytest.approx(173.0)
    assert said(step.findings) == []


def test_a_plate_that_only_some_sides_are_over():
    step = carried(truck=PLATE % 160)

    assert said(step.findings) == []
    (one,) = [notice for notice in step.cautions if notice.kind == "over from some sides"]
    assert set(one.facts["sides"]) == {"low x", "low y", "high y"}
    assert one.facts["best"] == "high x"
    just = carried(truck=PLATE % 173.1)  # the two sides at 200 mm are just not over it
    (two,) = [notice for notice in just.cautions if notice.kind == "over from some sides"]
    assert two.facts["sides"] == ("low x",)


def test_a_plate_that_is_too_small_from_every_side():
    plate = ", plate: [{load centre: 150 mm, capacity: %s kg}, {load centre: 300 mm, capacity: 150 kg}]"
    step = carried(truck=plate % "172.9")

    (one,) = step.findings
    assert (one.kind, one.facts["side"]) == ("over its plate", "high x")
    assert one.facts["asked_kg"] == pytest.approx(173.0)
    assert one.facts["rated_kg"] == pytest.approx(172.9)
    assert said(carried(truck=plate % "173.1").findings) == []


def test_the_floor_of_the_way():
    needed = 173.0 * 9.80665 / 0.16 / 1000  # on the face, by the area [kN/m2]
    over, under = (carried(floor=f"{needed + d:.3f} kN/m2") for d in (-0.01, 0.01))

    assert said(over.findings) == ["over its rating"]
    assert over.findings[0].facts["asked_kg"] == pytest.approx(173.0)
    assert said(under.findings) == []


def test_the_gradient_beside_the_truck_and_how_it_stands_on_it():
    steep = ", slope: 6 deg"
    wrong = carried(truck=", slope: 5 deg", way=steep)
    right = carried(truck=", slope: 6 deg", way=steep)
    open_ = carried(way=steep)

    assert said(wrong.findings) == ["slope too steep"]
    assert said(right.findings) == []
    assert "no slope of the truck" in said(open_.asked)
    assert "no slope recorded" in said(carried(way="").asked)
    over = carried(truck=", slope: 45 deg", way=", slope: 44 deg")
    narrow = carried(truck=", slope: 45 deg", way=", slope: 33 deg")
    assert said(over.findings) == ["goes over on the way"]
    assert "narrow on the way" in said(narrow.cautions)


def test_the_truck_goes_over_forward_where_its_axles_say_so():
    axles = (
        ", own mass: %s kg, wheelbase: 1000 mm, centre behind front axle: 300 mm, axle to fork face: 200 mm"
    )
    # From the best side 173 kg times (200 + 130 + doubt) mm, against the truck's own mass times 300 mm.
    assert "truck tips forward" in said(carried(truck=axles % 150).findings)
    assert said(carried(truck=axles % 1500).findings) == []


def test_what_is_not_recorded_is_asked_for_and_an_inspection_is_told():
    no_way = carried(step="mover: fork")
    other = carried(step="mover: fork, route: elsewhere")
    late = carried(truck=", inspection due: 2026-11-20")

    assert "which way it goes" in said(no_way.asked)
    assert said(other.findings) == ["no such way"]
    assert "openings not compared" in said(carried().asked)
    assert said(late.cautions) == ["inspection was due"]
    assert said(carried(truck=", inspection due: 2026-11-30").cautions) == []


def test_what_is_no_truck_is_held_against_its_rating():
    step = carried(step="mover: skate")

    assert step.move is None
    assert said(step.findings) == ["over its rating"]


def test_the_demo_half_goes_to_the_store(taken_apart):
    step = next(one for one in taken_apart.figures.steps if one.do == "carry")
    lines = list(carry_lines(step))

    assert step.move.gross.high == pytest.approx(step.body.kg.high)
    assert "beside 2300 kg" in lines[0]
    assert "slope 0°" in lines[1]
    assert lines[2].startswith("Concrete of the bay")
    assert any(
        line.strip().startswith(lines[0][:40]) for line in steps_text(taken_apart.figures).splitlines()
    )


def test_the_same_half_as_a_recorded_lift_gives_the_same_move(demo, taken_apart):
    """The lift of the upper half, moved by `move`: the same truck, floor and gross."""
    step = next(one for one in taken_apart.figures.steps if one.do == "carry")
    moved = hd.move(
        demo,
        "upper-half-lift",
        as_of=DAY,
        fixture="saddle-pallet",
        packing="none",
        shop="quay-shed-nine",
        route="bay-to-store",
    ).figures

    assert step.move.gross.high == pytest.approx(moved.gross.high, rel=1e-6)
    mine = {floor.id: floor.kg_per_m2 for floor in step.move.floors}
    assert mine == pytest.approx({floor.id: floor.kg_per_m2 for floor in moved.floors})
    truck = next(t for t in moved.trucks if t.id == "quay-pallet-truck")
    assert step.move.trucks[0].side == truck.side
