"""Every way in which a step can be wrong or open, each on a small box: found once, with a remedy."""

from __future__ import annotations

import datetime

import pytest
import yaml

from handling_db.files.reading import read_texts
from handling_db.jobs.steps.figures import steps_answer
from handling_db.jobs.steps.lifts import StepsQuestion
from handling_db.jobs.steps.said.notices import remedy, sentence
from handling_db.records.kinds.job_plan import JobPlan

BOX = """
- {source kind: weighed, name: weighed, rank: 10, basis: a scale}
- {source: scale, name: Scale, kind: weighed}
- component: box
  name: Box
  kind: assembly
  parts listed: all
  datum: {at: middle of the floor, x: rearward, y: right, z: up}
  parts:
    - {component: body, quantity: 1, at: [0 mm, 0 mm, 100 mm]}
    - {component: lid, quantity: 1, at: [0 mm, 0 mm, 300 mm]}
    - {component: arm, quantity: 1, at: [300 mm, 0 mm, 200 mm]}
  attitudes:
    - {id: upright, name: upright}
    - {id: over, name: upside down, turned: {pitch: 180 deg}}
  set down faces:
    - {id: floor, name: floor of the box, may rest: yes, square to: -z, corners: [[-200 mm, -200 mm, 0 mm], [200 mm, -200 mm, 0 mm], [200 mm, 200 mm, 0 mm], [-200 mm, 200 mm, 0 mm]]}
    - {id: glass, name: glass, may rest: no, square to: -z, corners: [[-200 mm, -200 mm, 0 mm], [200 mm, -200 mm, 0 mm], [200 mm, 200 mm, 0 mm], [-200 mm, 200 mm, 0 mm]]}
- {component: body, name: Body, kind: part, masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]}
- {component: lid, name: Lid, kind: part, masses: [{printed: 30 kg, plus or minus: 1 kg, source: scale}]}
- {component: arm, name: Arm, kind: part, masses: [{printed: 40 kg, plus or minus: 1 kg, source: scale}]}
- joint: lid-joint
  name: Lid joint
  within: box
  between: [body, lid]
  ties:
    - {id: bolts, kind: bolts, what: lid bolts, there: yes, count: 4, after: [hose]}
    - {id: hose, kind: hoses, what: hose, there: yes}
    - {id: rim, kind: tight fit, what: rim, there: yes, lets go: z}
- joint: arm-joint
  name: Arm joint
  within: box
  between: [body, arm]
  ties:
    - {id: arm-bolts, kind: bolts, what: arm bolts, there: yes}
    - {id: glue, kind: bolts, what: hidden bolts}
- {mover: hoist, name: Hoist, kind: hoist, rated: 20 kg, cell error: 1 %}
- {mover: cart, name: Cart, kind: pallet truck, rated: 50 kg}
- {fixture: stand, name: Stand, kind: stand, rated load: 25 kg}
- {shop: shed, name: Shed, movers: [hoist], fixtures: [stand], hand limit: 25 kg}
- {lift group: lid-lift, name: Lid off, root: box, takes: [[lid]], parts joints: [lid-joint], attitude: upright, trapped: none, packing: none, gear: none, picks: none, checked by: rigger, zeroed with gear: no, mover: hoist}
"""
HOSE = "{do: tie out, what: Hose off, ties: [{joint: lid-joint, tie: hose}]}"
BOLTS = "{do: tie out, what: Bolts out, ties: [{joint: lid-joint, tie: bolts}]}"
HOOK = "{do: hook on, what: Hook on, lift group: lid-lift}"
PART = "{do: part, what: Lid off, joint: lid-joint}"
FLOOR = "{attitude: upright, rests: {on: floor, face: floor}}"


def worked(*steps: str, starts: str = FLOOR, more: str = "shop: shed"):
    reading = read_texts([("box.yml", BOX)])
    assert [str(f) for f in reading.findings] == []
    text = f"{{job plan: p, name: P, unit: box, {more}, starts: {starts}, steps: [{', '.join(steps)}]}}"
    plan = JobPlan.model_validate(yaml.load(text, Loader=yaml.BaseLoader))
    return steps_answer(reading.collection, plan, StepsQuestion(datetime.date(2026, 11, 30)))


def kinds(answer):
    return [(number, notice.kind) for number, notice in answer.findings]


CASES = {
    "out before its first": ((BOLTS,), (1, "out before its first")),
    "tie out already": ((HOSE, HOSE), (2, "tie out already")),
    "tie still across": (
        (HOSE, "{do: take off, what: Lid off, by: hands, pieces: [[lid]]}"),
        (2, "tie still across"),
    ),
    "must not rest": (
        ("{do: set down, what: Down, of: [body], rests: {on: floor, face: glass}}",),
        (1, "must not rest"),
    ),
    "no such face": (
        ("{do: set down, what: Down, of: [body], rests: {on: floor, face: roof}}",),
        (1, "no such face"),
    ),
    "face is not down": (
        ("{do: set down, what: Down, of: [body], attitude: over, rests: {on: floor, face: floor}}",),
        (1, "face is not down"),
    ),
    "stand beyond its rating": (
        ("{do: set down, what: Down, of: [body], rests: {on: stand, fixture: stand, face: floor}}",),
        (1, "over its rating"),
    ),
    "truck beyond its rating": (
        ("{do: carry, what: Away, of: [body], mover: cart}",),
        (1, "not in this shop"),
        (1, "over its rating"),
    ),
    "lift beyond the hoist": ((HOSE, HOOK), (2, "over its rating")),
    "hook on twice": ((HOSE, HOOK, HOOK), (2, "over its rating"), (3, "hook on already")),
    "hook not on": (("{do: hook off, what: Off, lift group: lid-lift}",), (1, "hook not on")),
    "temporary left in": (
        ("{do: tie in, what: In, temporary: [{id: red, joint: lid-joint, what: clamps, count: 2}]}",),
        (1, "temporary tie left in"),
    ),
    "off already": (
        (
            "{do: take off, what: Arm off, by: hands, ties: [{joint: arm-joint, tie: arm-bolts}], pieces: [[arm]]}",
            "{do: take off, what: Arm off, by: hands, pieces: [[arm]]}",
        ),
        (2, "off already"),
    ),
    "on already": (("{do: put on, what: Arm on, by: hands, pieces: [[arm]]}",), (1, "on already")),
    "set down what": (("{do: set down, what: Down, rests: {on: floor}}",), (1, "set down what")),
    "cannot be done": (
        ("{do: tie out, what: Out, ties: [{joint: lid-joint, tie: nails}]}",),
        (1, "cannot be done"),
    ),
    "no turn recorded": (("{do: turn, what: Over, lift group: lid-lift}",), (1, "no turn recorded")),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_wrong_is_found_at_its_step_with_words_and_a_remedy(case):
    steps, *wanted = CASES[case]
    answer = worked(*steps)

    assert kinds(answer) == wanted
    for _, notice in answer.findings:
        assert not sentence(notice)[0].islower()
        assert "not known" not in sentence(notice)
        assert remedy(notice).endswith(".")


def test_a_fit_holds_the_lid_one_way_up_and_not_the_other():
    upright = worked(HOSE, BOLTS)
    over = worked(HOSE, BOLTS, starts="{attitude: over, rests: {on: machine}}")

    assert kinds(upright) == []
    assert [b.name for b in upright.steps[1].bodies] == ["Box"]  # the lid rests in its rim, and counts
    assert kinds(over) == [(2, "held by nothing")]
    notice = over.findings[0][1]
    assert sentence(notice) == "With this step Lid, 30.0 kg (66.1 lb), is held by nothing."


def test_the_last_bolt_out_with_the_hook_on_parts_two_bodies():
    answer = worked(HOSE, HOOK, BOLTS, PART)

    assert [(b.name, b.carried_by[0].kind) for b in answer.steps[3].bodies] == [
        ("Lid", "hook"),
        ("Box", "floor"),
    ]
    assert kinds(answer) == [(2, "over its rating")]  # a hoist of 20 kg, said once


def test_a_tie_nobody_looked_at_is_a_perhaps():
    answer = worked("{do: tie out, what: Out, ties: [{joint: arm-joint, tie: arm-bolts}]}")
    (step,) = answer.steps

    assert kinds(answer) == []
    assert [n.kind for n in step.cautions] == ["perhaps held by nothing"]
    assert sentence(step.cautions[0]) == (
        "Perhaps Arm is held by nothing from here on: nobody looked at hidden bolts."
    )
    # With the arm it leans towards it; without, it stands in the middle. The least counts, edge by edge.
    with_arm, least = step.body.standing, step.body.tips_deg
    assert step.body.perhaps == ("hidden bolts",)
    assert least <= with_arm.weakest.tips_at


def test_more_perhaps_than_can_be_gone_through_is_said(monkeypatch):
    monkeypatch.setattr("handling_db.jobs.steps.standing.MOST_APART", 0)  # here one is too many
    answer = worked("{do: tie out, what: Out, ties: [{joint: arm-joint, tie: arm-bolts}]}")
    (step,) = answer.steps

    assert step.body.not_gone_through
    told = next(sentence(n) for n in step.asked if n.kind == "not gone through")
    assert (
        "hang on ties that nobody looked at, hidden bolts: how it stands without some of them is not" in told
    )


def test_a_narrow_stand_is_a_caution_and_the_figure_of_the_shop_counts():
    off = "{do: take off, what: Off, by: hands, ties: [{joint: arm-joint, tie: arm-bolts}], pieces: [[arm]]}"
    wide = worked(off)
    assert "narrow" not in [n.kind for step in wide.steps for n in step.cautions]
    reading = read_texts(
        [("box.yml", BOX.replace("hand limit: 25 kg", "hand limit: 25 kg, least tip: 60 deg"))]
    )
    plan = JobPlan.model_validate(
        yaml.load(
            f"{{job plan: p, name: P, unit: box, shop: shed, starts: {FLOOR}, steps: [{off}]}}",
            yaml.BaseLoader,
        )
    )
    narrow = steps_answer(reading.collection, plan, StepsQuestion(datetime.date(2026, 11, 30)))
    (told,) = [n for n in narrow.steps[0].cautions if n.kind == "narrow"]
    assert told.facts["least_deg"] == 60.0
    assert told.facts["tips_deg"] == pytest.approx(wide.steps[0].body.tips_deg)


def test_by_hand_above_the_limit_is_named():
    off = "{do: take off, what: Off, by: hands, ties: [{joint: arm-joint, tie: arm-bolts}], pieces: [[arm]]}"
    (line,) = worked(off).steps[0].hands

    assert (line.name, line.word, line.load.best) == ("Arm", "above", 40.0)


def test_what_is_not_recorded_is_asked_for():
    answer = worked("{do: take off, what: Off, ties: [{joint: arm-joint, tie: arm-bolts}], pieces: [[arm]]}",
                    starts="{}")  # fmt: skip

    assert {n.kind for n in answer.start.asked} == {"how it stands", "which way up"}
    assert [n.kind for n in answer.steps[0].asked] == ["by hands or hook"]


def test_the_hook_that_is_said_to_hold_something_is_shown_with_it():
    hook = "{do: hook on, what: Hook on, lift group: lid-lift, hook holds: 10 kg, hook holds plus or minus: 2 kg}"
    body = worked(HOSE, hook).steps[1].body
    assert (body.carried_by[0].holds_low_kg, body.carried_by[0].holds_high_kg) == (8.0, 12.0)
    assert body.standing is not None  # as if the hook were slack


def test_what_is_wrong_at_the_start_is_found_there():
    glass = worked(HOSE, starts="{attitude: upright, rests: {on: floor, face: nothing}}")
    assert [n.kind for n in glass.start.findings] == ["no such face"]
    reading = read_texts(
        [
            (
                "box.yml",
                BOX.replace(
                    "what: arm bolts, there: yes", "what: arm bolts, there: none, checked by: fitter"
                ),
            )
        ]
    )
    plan = JobPlan.model_validate(
        yaml.load(f"{{job plan: p, name: P, unit: box, starts: {FLOOR}, steps: [{HOSE}]}}", yaml.BaseLoader)
    )
    answer = steps_answer(reading.collection, plan, StepsQuestion(datetime.date(2026, 11, 30)))

    assert [n.kind for n in answer.start.cautions] == [
        "perhaps held by nothing"
    ]  # hidden bolts, nobody looked
    assert answer.findings == ()


@pytest.mark.parametrize(
    ("steps", "kinds_found"),
    [
        # Each of these once ended in a fault of the program.
        (
            ("{do: take off, what: All of it, by: hands, pieces: [[box]]}", HOOK),
            ["off already", "lift cannot be worked out"],
        ),
        (
            (
                "{do: take off, what: Lid off, by: hands, ties: [{joint: lid-joint, tie: hose}, {joint: lid-joint, tie: bolts}], pieces: [[lid]]}",
                "{do: hook off, what: Off, lift group: lid-lift, rests: {on: floor}}",
            ),
            ["hook not on"],
        ),
    ],
)
def test_what_is_off_already_is_told_and_nothing_falls_over(steps, kinds_found):
    answer = worked(*steps)

    assert [n.kind for _, n in answer.findings] == kinds_found


def test_a_fluid_by_its_own_name_is_drained_out_of_what_it_is_listed_at():
    oil = """- {component: oil, name: Oil, kind: fluid, fluid: {litres: 10 L, density: 0.87 kg/L, stays: 1 L}}
"""
    listed = BOX.replace(
        "    - {component: body, quantity: 1,",
        "    - {component: oil, quantity: 1}\n    - {component: body, quantity: 1,",
    )
    reading = read_texts([("box.yml", listed + oil)])
    plan = JobPlan.model_validate(
        yaml.load(
            f"{{job plan: p, name: P, unit: box, starts: {FLOOR}, steps: [{{do: drain, what: Drain, of: [oil]}}]}}",
            yaml.BaseLoader,
        )
    )
    answer = steps_answer(reading.collection, plan, StepsQuestion(datetime.date(2026, 11, 30)))

    assert answer.start.body.kg.best - answer.steps[0].body.kg.best == pytest.approx(9 * 0.87)
