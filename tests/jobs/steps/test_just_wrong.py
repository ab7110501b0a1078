"""Findings and cautions of lifts, turns, stands and ties, each on records that are just wrong and just right."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
import yaml

import handling_db as hd
from handling_db.files.reading import read_texts
from handling_db.jobs.steps.figures import steps_answer
from handling_db.jobs.steps.holds.events import Events
from handling_db.jobs.steps.lifts import StepsQuestion, lift_events, turn_events
from handling_db.jobs.steps.said.notices import remedy, sentence
from handling_db.jobs.steps.said.words import hold_text, limit_lines, steps_text
from handling_db.quantities.quantity import parse_length
from handling_db.records.kinds.job_plan import JobPlan
from tests.jobs.steps.conftest import DAY
from tests.jobs.steps.test_findings import BOLTS, BOX, FLOOR, HOOK, HOSE, PART

ON_SHOP = ("hand limit: 25 kg}", "hand limit: 25 kg, %s}")
SHIFT = "component: arm, quantity: 1, at: [300 mm, 0 mm, 200 mm]"


def worked(*steps, box=BOX, starts=FLOOR, more="shop: shed"):
    reading = read_texts([("box.yml", box)])
    assert [str(f) for f in reading.findings] == []
    text = f"{{job plan: p, name: P, unit: box, {more}, starts: {starts}, steps: [{', '.join(steps)}]}}"
    plan = JobPlan.model_validate(yaml.load(text, Loader=yaml.BaseLoader))
    return steps_answer(reading.collection, plan, StepsQuestion(datetime.date(2026, 11, 30)))


def changed(*pairs):
    box = BOX
    for old, new in pairs:
        assert old in box
        box = box.replace(old, new)
    return box


def of(answer, kind):
    """Steps at which something is found, watched or asked, with what it says."""
    found = []
    for step in (answer.start, *answer.steps):
        for notice in (*step.findings, *step.cautions, *step.asked):
            if notice.kind == kind:
                assert sentence(notice)
                found.append(step.number)
    return found


LOOK = "{do: look, what: Look}"


def moved(give):
    """The arm somewhere within so much: the centre of the box moves by 40 of 170 of it."""
    return changed((SHIFT, f"{SHIFT}, at plus or minus: {give} mm"))


# 70.6 mm off the middle, and 200 mm to the edge: 129.4 mm are left, which 550 mm of the arm use up.
CASES = {
    "may not stand": ({"box": moved(600)}, {"box": moved(500)}, (LOOK,), 0),
    "over once it has to break loose": (
        {"box": changed(("rated: 20 kg", "rated: 33.9 kg"), (ON_SHOP[0], ON_SHOP[1] % "break loose: 10 %"))},
        {"box": changed(("rated: 20 kg", "rated: 34.2 kg"), (ON_SHOP[0], ON_SHOP[1] % "break loose: 10 %"))},
        (HOSE, HOOK),
        2,
    ),
    "narrow": (
        {"box": changed((ON_SHOP[0], ON_SHOP[1] % "least tip: 41 deg"))},
        {"box": changed((ON_SHOP[0], ON_SHOP[1] % "least tip: 37 deg"))},
        (LOOK,),
        0,
    ),
    "no upper figure": (
        {
            "box": changed(
                ("masses: [{printed: 30 kg, plus or minus: 1 kg, source: scale}]}", "}"),
                (", kind: part, }", ", kind: part}"),
            )
        },
        {},
        (HOSE, HOOK),
        2,
    ),
    "no hoist recorded": ({"box": changed((", mover: hoist}", "}"))}, {}, (HOSE, HOOK), 2),
    "no rating recorded": (
        {"box": changed((", rated: 20 kg, cell error: 1 %", ""))},
        {},
        (HOSE, HOOK),
        2,
    ),
    "perhaps out before its first": (
        {"box": changed(("what: arm bolts, there: yes", "what: arm bolts, there: yes, after: [glue]"))},
        {},
        ("{do: tie out, what: Out, ties: [{joint: arm-joint, tie: arm-bolts}]}",),
        1,
    ),
}


@pytest.mark.parametrize("kind", CASES)
def test_a_record_that_is_just_wrong_is_told_and_one_just_right_is_not(kind):
    wrong, right, steps, step = CASES[kind]

    assert of(worked(*steps, **wrong), kind) == [step]
    assert of(worked(*steps, **right), kind) == []


ARM_OUT = "{do: tie out, what: Out, ties: [{joint: arm-joint, tie: arm-bolts}]}"
RED = "{do: tie in, what: In, temporary: [{id: red, joint: lid-joint, what: clamps, count: 2}]}"
RED_OUT = "{do: tie out, what: Out, temporary out: [red]}"
LID_OFF = (
    "{do: take off, what: Lid off, by: hands, ties: [{joint: lid-joint, tie: bolts}], pieces: [[lid]]%s}"
)
BACK = "back together: 'yes', shop: shed"
SAME_STAND = "{do: set down, what: Down, of: [body], rests: {on: stand, fixture: stand, face: floor}}"
STEPS = {
    "perhaps still across": (
        (ARM_OUT, "{do: part, what: Arm off, joint: arm-joint}"),
        (HOSE, BOLTS, PART),
        2,
    ),
    "temporary tie not in": ((RED, RED_OUT, RED_OUT), (RED, RED_OUT), 3),
    "tie in already": (
        ("{do: tie in, what: In, ties: [{joint: lid-joint, tie: hose}]}",),
        (HOSE, "{do: tie in, what: In, ties: [{joint: lid-joint, tie: hose}]}"),
        1,
    ),
    "parted already": ((HOSE, BOLTS, PART, PART), (HOSE, BOLTS, PART), 4),
    "used twice": (
        (HOSE, LID_OFF % ", rests: {on: stand, fixture: stand}", SAME_STAND),
        (HOSE, LID_OFF % ", rests: {on: floor}", SAME_STAND),
        3,
    ),
    "where it goes": (
        (HOSE, BOLTS, "{do: take off, what: Off, lift group: lid-lift}"),
        (HOSE, BOLTS, "{do: take off, what: Off, lift group: lid-lift, rests: {on: floor}}"),
        3,
    ),
    "no fluid recorded": (("{do: drain, what: Drain}",), (LOOK,), 1),
    "standing not known": (
        ("{do: set down, what: Down, of: [body], attitude: upright, rests: {on: floor}}",),
        ("{do: set down, what: Down, of: [body], rests: {on: floor, face: floor}}",),
        1,
    ),
}


@pytest.mark.parametrize("kind", STEPS)
def test_a_step_that_is_just_wrong_is_told_and_one_just_right_is_not(kind):
    wrong, right, step = STEPS[kind]

    answer = worked(*wrong)
    assert of(answer, kind) == [step]
    assert of(worked(*right), kind) == []
    assert kind not in {n.kind for _, n in answer.findings} or all(
        remedy(n) for _, n in answer.findings if n.kind == kind
    )


def test_put_together_again_is_asked_of_ties_joints_and_pieces():
    open_tie = worked(HOSE, more=BACK)
    open_joint = worked(HOSE, BOLTS, PART, more=BACK)
    again = worked(HOSE, "{do: tie in, what: In, ties: [{joint: lid-joint, tie: hose}]}", more=BACK)

    assert of(open_tie, "ties not in again") == [1]
    assert of(open_joint, "not closed again") == [3]
    assert of(again, "ties not in again") == []
    assert again.findings == ()


def test_a_counterweight_on_ties_nobody_looked_at():
    """The arm of 40 kg behind and one of 40 kg before; without the one nobody looked at it tips sooner."""
    box = changed(
        (f"    - {{{SHIFT}}}\n", f"    - {{{SHIFT}}}\n    - {{component: weight, quantity: 1, at: [-300 mm, 0 mm, 200 mm]}}\n"),
        ("- joint: lid-joint", "- {component: weight, name: Weight, kind: part, masses: [{printed: 40 kg, plus or minus: 1 kg, source: scale}]}\n- joint: weight-joint\n  name: Weight joint\n  within: box\n  between: [body, weight]\n  ties: [{id: screws, kind: bolts, what: weight screws}]\n- joint: lid-joint"),
        (ON_SHOP[0], ON_SHOP[1] % "least tip: 42 deg"),
        ("    - {id: glue, kind: bolts, what: hidden bolts}\n", ""),
    )  # fmt: skip
    narrow = worked(LOOK, box=box)
    looked = worked(LOOK, box=box.replace("what: weight screws}", "what: weight screws, there: yes}"))

    assert of(narrow, "perhaps narrow") == [0]
    assert of(looked, "perhaps narrow") == []


def test_a_lift_that_leaves_something_behind_or_takes_it_along():
    lids = ("takes: [[lid]]", "takes: [[lid], [arm]]")
    answer = worked(HOSE, HOOK, BOLTS, PART, box=changed(lids, ("rated: 20 kg", "rated: 200 kg")))
    right = worked(HOSE, HOOK, BOLTS, PART, box=changed(("rated: 20 kg", "rated: 200 kg")))

    assert of(answer, "stays behind") == [4]
    assert of(right, "stays behind") == []


def test_pieces_that_fall_and_that_nobody_weighed_are_told_without_a_figure():
    bare = changed(
        ("masses: [{printed: 30 kg, plus or minus: 1 kg, source: scale}]}", "}"),
        (", kind: part, }", ", kind: part}"),
    )
    over = "{attitude: over, rests: {on: machine}}"
    answer = worked(HOSE, BOLTS, box=bare, starts=over)
    weighed = worked(HOSE, BOLTS, starts=over)

    assert of(answer, "held by nothing, not weighed") == of(weighed, "held by nothing") != []
    told = [sentence(n) for _, n in answer.findings]
    assert all("not known" not in text for text in told)


@pytest.fixture(scope="module")
def upper(taken_apart):
    return next(step.lift for step in taken_apart.figures.steps if step.id == "hook-on")


@pytest.fixture(scope="module")
def turning(taken_apart):
    return next(step.turn for step in taken_apart.figures.steps if step.do == "turn")


def lifted(demo, lift, share=None):
    events = Events()
    step = demo.job_plans["transfer-box-apart"].steps[8]
    lift_events(demo, lift, step, share, events)
    return [notice.kind for notice in (*events.findings, *events.cautions)]


@pytest.mark.slow
def test_headroom_of_a_lift_by_the_height_of_the_hook(demo, rules, upper):
    """The hook of the shop just high enough for the lift, and a millimetre lower."""
    spare = upper.headroom.left_m
    hoist = demo.movers["quay-hoist"]
    high = float(hoist.hook_height.base)

    def at(height):
        mover = hoist.model_copy(update={"hook_height": parse_length(f"{height * 1000:.3f} mm")})
        records = replace(demo, movers={**demo.movers, "quay-hoist": mover})
        whole = records.job_plans["transfer-box-apart"]
        plan = whole.model_copy(update={"steps": whole.steps[:9]})
        answer = steps_answer(records, plan, StepsQuestion(DAY, rules))
        return of(answer, "no headroom")

    assert at(high - spare - 0.001) == [9]
    assert at(high - spare + 0.001) == []


def test_a_slack_leg_and_a_load_that_turns_over(demo, upper):
    legs = upper.legs
    loose = tuple(replace(leg, slack=n == 0) for n, leg in enumerate(legs.legs))
    assert lifted(demo, upper) == []
    assert lifted(demo, replace(upper, legs=replace(legs, legs=loose))) == ["leg goes slack"]
    stable = legs.stability
    sure = replace(stable, margin_m=0.0, margin_least_m=-0.001)
    perhaps = replace(stable, margin_m=0.1, margin_least_m=0.0)
    for there, kinds in (
        (sure, ["turns over on the hook"]),
        (perhaps, ["may turn over on the hook"]),
        (replace(stable, margin_m=0.1, margin_least_m=0.01), []),
    ):
        assert lifted(demo, replace(upper, legs=replace(legs, stability=there))) == kinds


def turned(turn, rated=1e6, step=None):
    events = Events()
    plain = (
        step
        or JobPlan.model_validate(
            {
                "job plan": "p",
                "name": "P",
                "unit": "u",
                "steps": [{"do": "turn", "what": "over", "lift group": "t"}],
            }
        ).steps[0]
    )
    turn_events(turn, plain, rated, events)
    return [notice.kind for notice in (*events.findings, *events.cautions)]


def test_a_turn_at_its_worst_angle_beside_the_hoist(turning):
    worst = max(step.hook_high_kg for step in turning.steps)

    assert "turn over the hoist" in turned(turning, worst - 0.01)
    assert "turn over the hoist" not in turned(turning, worst)


def test_a_turn_that_goes_over_by_itself(demo, turning):
    held = demo.job_plans["transfer-box-apart"].steps[7]
    bare = replace(turning, hold=None)

    assert "goes over by itself" in turned(bare)
    assert "goes over, held back" in turned(bare, step=held)
    assert "goes over by itself" not in turned(replace(bare, goes_over_range=None))
    assert "turn without figures" in turned(replace(turning, no_figures="nobody weighed it"))
    assert "turn without figures" not in turned(turning)


def test_limits_say_whose_they_are():
    own = worked(LOOK, box=changed((ON_SHOP[0], ON_SHOP[1] % "least tip: 12 deg, break loose: 15 %")))
    none = worked(LOOK, more="remark: none")

    assert limit_lines(own) == [
        "by hand, one person: 25 kg (55 lb) (Shed)",
        "narrow below 12° (Shed)",
        "breaking a joint loose: 15 % on the reading (Shed)",
    ]
    assert "narrow below 8° (common practice, no source)" in limit_lines(none)
    assert "by hand: no limit is recorded, so nothing is said of hands" in steps_text(none)


def test_the_hand_limit_of_the_shop_counts_to_the_kilogram():
    off = "{do: take off, what: Off, by: hands, ties: [{joint: arm-joint, tie: arm-bolts}], pieces: [[arm]]}"
    over = worked(off, box=changed(("hand limit: 25 kg", "hand limit: 40.9 kg")))
    under = worked(off, box=changed(("hand limit: 25 kg", "hand limit: 41.1 kg")))

    assert [line.word for line in over.steps[0].hands] == ["may be above"]
    assert under.steps[0].hands == ()


@pytest.mark.slow
def test_gear_of_the_receiver_is_told_in_the_demo(demo, rules):
    answer = hd.steps(demo, "transfer-box-apart", as_of=DAY, rules=rules, shop="low-tarrowby").figures.asked

    assert {notice.kind for notice in answer.lacks} >= {"other hoist"}
    assert next(n.facts["what"] for n in answer.not_reversed).startswith("The paper gasket")


def test_what_the_hook_should_hold_is_told_before_a_parting_and_not_where_it_is_put_on(taken_apart):
    figure = next(step for step in taken_apart.figures.steps if step.id == "hook-on")

    assert hold_text(figure).startswith("Before the last tie comes out the hook should hold")
    assert hold_text(replace(figure, do="part")) == hold_text(replace(figure, do="put on")) == ""
