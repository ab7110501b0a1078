"""Some of several alike come off in a step and go on again: weights against plain sums."""

from __future__ import annotations

import datetime
from fractions import Fraction

import numpy as np
import pytest
import yaml
from click.testing import CliRunner

import handling_db as hd
from handling_db.cli import main
from handling_db.files.reading import read_texts
from handling_db.jobs.lighten.answer import lighten_answer
from handling_db.jobs.lighten.asked import LightenQuestion
from handling_db.jobs.lighten.words import option_title
from handling_db.jobs.progress import progress_answer, with_step_done
from handling_db.jobs.steps.figures import steps_answer
from handling_db.jobs.steps.lifts import StepsQuestion
from handling_db.records.kinds.job import Job, Signed
from handling_db.records.kinds.job_plan import JobPlan

DAY = datetime.date(2026, 11, 30)
CART = """
- {source kind: weighed, name: weighed, rank: 10, basis: a scale}
- {source: scale, name: Scale, kind: weighed}
- component: cart
  name: Cart
  kind: assembly
  parts listed: all
  datum: {at: middle, x: rearward, y: right, z: up}
  parts:
    - {component: frame, quantity: 1, at: [0 mm, 0 mm, 100 mm]}
    - {component: wheel, quantity: %d, at: [0 mm, 0 mm, 300 mm]}
  attitudes: [{id: upright, name: upright}]
  pick points: [{id: eye, name: eye, at: [0 mm, 0 mm, 600 mm], checked by: rigger}]
- {component: frame, name: Frame, kind: part, masses: [{printed: %s kg, plus or minus: 1 kg, source: scale}]}
- {component: wheel, name: Wheel, kind: part, masses: [{printed: %s kg, plus or minus: 0.2 kg, source: scale}]}
- {mover: hoist, name: Hoist, kind: hoist, rated: 900 kg}
- {shop: shed, name: Shed, movers: [hoist], hand limit: 25 kg}
- {lift group: all-of-it, name: Cart up, root: cart, takes: [[cart]], attitude: upright, trapped: none, packing: none, gear: none, picks: none, checked by: rigger, zeroed with gear: no, mover: hoist}
"""


def records(many, frame=80.0, wheel=12.0):
    reading = read_texts([("cart.yml", CART % (many, frame, wheel))])
    assert [str(f) for f in reading.findings] == []
    return reading.collection


def plan(*steps):
    text = (
        "{job plan: p, name: P, unit: cart, shop: shed, starts: {attitude: upright, rests: {on: floor}}, "
        f"steps: [{', '.join(steps)}]}}"
    )
    return JobPlan.model_validate(yaml.load(text, Loader=yaml.BaseLoader))


def step(do, quantity):
    some = f", quantity: {quantity}" if quantity else ""
    return f"{{do: {do}, what: Wheels, by: hands, pieces: [{{of: [wheel]{some}}}]}}"


def worked(collection, *steps):
    return steps_answer(collection, plan(*steps), StepsQuestion(DAY))


@pytest.mark.parametrize("seed", range(8))
def test_after_every_step_the_cart_weighs_what_is_left_on_it(seed):
    rng = np.random.default_rng(seed)
    many = int(rng.integers(3, 9))
    frame, wheel = round(float(rng.uniform(40, 300)), 1), round(float(rng.uniform(2, 24)), 1)
    steps, left, on = [], [], many
    for _ in range(6):
        do = "take off" if on and (on == many or rng.random() < 0.6) else "put on"
        quantity = int(rng.integers(1, (on if do == "take off" else many - on) + 1))
        on += -quantity if do == "take off" else quantity
        steps.append(step(do, quantity))
        left.append(on)

    answer = worked(records(many, frame, wheel), *steps)

    assert answer.findings == ()
    for figure, there in zip(answer.steps, left, strict=True):
        assert figure.body.kg.best == pytest.approx(frame + there * wheel)
        assert figure.body.kg.high == pytest.approx(frame + 1.0 + there * (wheel + 0.2))
        assert figure.body.kg.low == pytest.approx(frame - 1.0 + there * (wheel - 0.2))


def test_the_lift_reads_what_is_left_and_all_of_them_back_is_as_before():
    hook = "{do: hook on, what: Up, lift group: all-of-it}"
    answer = worked(records(4), hook, step("take off", 2), hook.replace("hook on", "hook off"), hook)

    assert answer.steps[0].lift.reading.expected.best == pytest.approx(80 + 4 * 12)
    assert answer.steps[3].lift.reading.expected.best == pytest.approx(80 + 2 * 12)
    assert [thing.name for thing in answer.steps[1].aside] == ["2 x Wheel"]
    again = worked(records(4), step("take off", 3), step("put on", None))
    assert again.steps[1].body.kg == again.start.body.kg


def test_by_hand_one_of_them_counts():
    assert worked(records(4, wheel=24.0), step("take off", 2)).steps[0].hands == ()
    (line,) = worked(records(4, wheel=26.0), step("take off", 2)).steps[0].hands
    assert line.load.best == pytest.approx(26.0)


@pytest.mark.parametrize(
    ("steps", "kind", "number"),
    [
        ((step("take off", 3), step("take off", 2)), "not so many on", 2),
        ((step("take off", 5),), "not so many on", 1),
        ((step("take off", 1), step("put on", 2)), "not so many off", 2),
        ((step("take off", "0.5"),), "cannot be done", 1),
    ],
)
def test_more_than_there_are_is_found(steps, kind, number):
    answer = worked(records(4), *steps)

    assert [(n, notice.kind) for n, notice in answer.findings] == [(number, kind)]


def test_a_unit_in_hand_writes_so_many_down_and_says_what_differs():
    collection = records(4)
    collection.job_plans["p"] = plan(step("take off", 2), step("take off", 1), step("take off", 1))
    signed = Signed(on=DAY, by="fitter")
    job = Job.model_validate(
        {
            "job": "j",
            "unit": "cart",
            "shop": "shed",
            "opened": {"on": "2026-11-30", "by": "fitter"},
            "follows": "p",
        }
    )
    once = with_step_done(collection, job, "1", signed, None)
    twice = with_step_done(collection, once, "2", signed, None)
    all_off = with_step_done(collection, twice, "3", signed, None)

    assert [(one.of, str(one.quantity)) for one in once.off] == [(("wheel",), "2")]
    assert [(one.of, str(one.quantity)) for one in twice.off] == [(("wheel",), "3")]
    assert [(one.of, one.quantity) for one in all_off.off] == [(("wheel",), None)]
    assert progress_answer(collection, twice).differs == ()
    fewer = twice.model_copy(update={"off": once.off})
    (differs,) = progress_answer(collection, fewer).differs
    assert differs.facts == {"piece": "Wheel", "off": 2, "planned": 3}


def test_an_end_that_leaves_some_off_is_found():
    record = plan(step("take off", 2)).model_copy(update={"back_together": "yes"})
    answer = steps_answer(records(4), record, StepsQuestion(DAY))

    ((_, notice),) = answer.findings
    assert (notice.kind, notice.facts["pieces"]) == ("not on again", ("2 x Wheel",))


def test_the_command_writes_a_quantity_and_the_weight_follows(tmp_path):
    own = CART[CART.index("- {source: scale") :]  # the kinds of source come with every folder
    (tmp_path / "cart.yml").write_text(own % (4, 80.0, 12.0), encoding="utf-8")
    ran = CliRunner().invoke
    signed = ["--in", str(tmp_path), "--by", "fitter", "--on", "2026-11-30"]
    assert ran(main, ["job", "open", "c-1", "cart", *signed]).exit_code == 0
    assert ran(main, ["job", "off", "c-1", "wheel", "--quantity", "3", *signed]).exit_code == 0

    lifted = hd.lift(hd.read([tmp_path]), "all-of-it", job="c-1", as_of=DAY, rules=hd.rules()).figures
    lightened = hd.lighten(hd.read([tmp_path]), "all-of-it", job="c-1", under="90 kg", as_of=DAY).figures

    assert lifted.reading.expected.best == pytest.approx(80 + 12)
    assert lightened.now.pieces.best == pytest.approx(80 + 12)
    assert [one.name for one in lightened.options[0].off] == ["Wheel"]


def test_what_was_found_otherwise_is_kept_as_a_note_for_the_next_one(tmp_path):
    """Written with the step, read at the same step of the plan by whoever does it next."""
    own = CART[CART.index("- {source: scale") :]
    steps = "[{id: up, do: hook on, what: Hook on, lift group: all-of-it}, {id: off, do: look, what: Look}]"
    record = f"- {{job plan: p, name: P, unit: cart, shop: shed, steps: {steps}}}"
    (tmp_path / "cart.yml").write_text(own % (4, 80.0, 12.0) + record, encoding="utf-8")
    signed = ["--in", str(tmp_path), "--by", "fitter", "--on", "2026-11-30"]
    for words in (["open", "c-1", "cart"], ["follow", "c-1", "p"]):
        assert CliRunner().invoke(main, ["job", *words, *signed]).exit_code == 0
    told = CliRunner().invoke(main, ["job", "done", "c-1", "up", "--differs", "the eye is bent", *signed])

    assert told.exit_code == 0, told.output
    assert "kept as a draft note about lift group all-of-it" in told.output
    records = hd.read([tmp_path])
    (note,) = records.notes.values()
    assert (note.kind, note.status, note.author) == ("difference", "draft", "fitter")
    answer = hd.steps(records, "p", as_of=DAY, rules=hd.rules()).figures
    assert [n.text for n in answer.steps[0].notes] == ["the eye is bent"]
    assert answer.steps[1].notes == ()
    again = CliRunner().invoke(main, ["job", "done", "c-1", "up", "--differs", "twice", *signed])
    assert again.exit_code != 0
    assert len(hd.read([tmp_path]).notes) == 1


def test_two_of_four_come_off_first_and_stand_in_one_word():
    answer = lighten_answer(
        records(4, frame=5.0),
        LightenQuestion(what="all-of-it", under_kg=Fraction(31), shop="shed", as_of=DAY),
    )

    assert answer.fewest == 2
    assert option_title(answer.options[0]) == "2 x Wheel"
    assert answer.options[0].rest.pieces.high == pytest.approx(6.0 + 2 * 12.2)


def test_a_plan_travels_and_is_worked_out_with_the_gear_of_the_receiver(tmp_path):
    own = CART[CART.index("- {source: scale") :]
    steps = "[{id: up, do: hook on, what: Hook on, lift group: all-of-it, needs: [{fixture: stool, for: height}]}]"
    record = f"- {{job plan: p, name: P, unit: cart, shop: shed, steps: {steps}}}\n"
    stool = "- {fixture: stool, name: Stool, kind: stand}\n"
    (tmp_path / "sent").mkdir()
    (tmp_path / "sent" / "cart.yml").write_text(own % (4, 80.0, 12.0) + stool + record, encoding="utf-8")
    (tmp_path / "here").mkdir()
    (tmp_path / "here" / "own.yml").write_text(
        "- {mover: chain-hoist, name: Chain hoist, kind: hoist, rated: 120 kg}\n"
        "- {shop: barn, name: Barn, movers: [chain-hoist]}\n",
        encoding="utf-8",
    )
    parcel = tmp_path / "p.zip"
    made = [
        "parcel",
        "make",
        str(tmp_path / "sent"),
        "-o",
        str(parcel),
        "--component",
        "cart",
        "--shop",
        "shed",
    ]
    assert CliRunner().invoke(main, [*made, "--by", "foreman"]).exit_code == 0
    assert CliRunner().invoke(main, ["parcel", "take", str(tmp_path / "here"), str(parcel)]).exit_code == 0

    answer = hd.steps(
        hd.read([tmp_path / "here"]), "p", as_of=DAY, rules=hd.rules(), shop="barn"
    ).figures.asked

    kinds = {(number, notice.kind) for number, notice in answer.findings}
    assert kinds == {(1, "over its rating"), (1, "not in this shop")}
    assert answer.heaviest.mover == "Chain hoist"
    assert next(notice.kind for notice in answer.lacks) == "other hoist"
