"""A planned job as it is written: what each kind of step needs, and what makes no sense as written."""

from __future__ import annotations

import pytest

from handling_db.files.reading import read_texts

HEAD = "job plan: apart\nname: Taken apart\nunit: winch\nsteps:\n"


def read(*steps: str, head: str = HEAD):
    return read_texts([("plan.yml", head + "".join(f"- {step}\n" for step in steps))])


def said(*steps: str, head: str = HEAD) -> str:
    return "\n".join(str(finding) for finding in read(*steps, head=head).findings)


def test_a_step_is_read_with_everything_it_names():
    reading = read(
        "{id: out, do: tie out, what: Bolts out, by: hands, ties: [{joint: j, tie: bolts, count: 4}]}",
        "{do: set down, what: Onto the stand, of: [half], rests: {on: stand, fixture: s, face: f}}",
    )
    plan = reading.collection.job_plans["apart"]

    assert reading.findings == ()
    assert (plan.steps[0].ties[0].tie, plan.steps[0].ties[0].count.number) == ("bolts", 4)
    assert (plan.steps[1].rests.on, plan.steps[1].rests.face) == ("stand", "f")
    assert (plan.place_of("out"), plan.place_of("2"), plan.place_of("3"), plan.place_of("x")) == (
        0,
        1,
        None,
        None,
    )


@pytest.mark.parametrize(
    ("step", "told"),
    [
        ("{do: part, what: Apart}", "'do: part' needs 'joint'"),
        ("{do: tie out, what: Bolts out}", "'do: tie out' needs 'ties' or 'temporary out'"),
        ("{do: look, what: See, route: r}", "'route' has no meaning in 'do: look'; it belongs to: carry"),
        ("{do: take off, what: Cover, pieces: [[c]], by: hook}", "'by: hook' needs the 'lift group'"),
        ("{do: lift, what: Up}", "steps.0.do"),
        ("{do: hook on, what: Up, lift group: g, hook holds plus or minus: 2 kg}", "goes with 'hook holds'"),
        (
            "{do: set down, what: Down, rests: {on: truck, mover: t, fixture: f}}",
            "rests on fixture and mover; name one",
        ),
        ("{do: set down, what: Down, rests: {on: floor, piece at: [0 mm, 0 mm]}}", "name the 'fixture'"),
        ("{do: tie out, what: Out, temporary out: [red]}", "'red' comes out and was never put in"),
        ("{do: look, what: See, needs: [{fixture: f, gear: g}]}", "name one thing that is needed"),
    ],
)
def test_what_a_step_lacks_is_said_with_its_place(step: str, told: str):
    text = said(step)

    assert text.startswith("plan.yml:")
    assert told.replace("steps.0.do", "do: ") in text


def test_a_step_put_in_twice_or_named_twice_is_refused():
    put = "{do: tie in, what: In, temporary: [{id: red, joint: j, what: bolts, count: 4}]}"

    assert "step 2: temporary tie 'red' was put in before" in said(put, put)
    assert "two steps go by 'a'" in said("{id: a, do: look, what: See}", "{id: a, do: look, what: See}")


def test_a_fit_says_which_way_it_lets_go():
    joint = (
        "joint: j\nname: J\nwithin: w\nbetween: [a, b]\n"
        "ties: [{kind: dowels, what: dowels, there: yes, lets go: %s}]\n"
    )
    assert read_texts([("j.yml", joint % "-x")]).collection.joints["j"].tie_list[0].lets_go == "-x"
    assert "lets go" in str(read_texts([("j.yml", joint % "rearward")]).findings[0])


def test_steps_done_belong_to_a_plan():
    job = "job: q\nunit: winch\nopened: {on: 2026-01-31, by: fitter}\nsteps done:\n- {step: '1', on: 2026-02-01, by: fitter}\n"

    assert "write its id under 'follows'" in str(read_texts([("q.yml", job)]).findings[0])
    reading = read_texts([("q.yml", job + "follows: apart\n")])
    assert reading.collection.jobs["q"].steps_done[0].step == "1"


def test_the_least_tip_of_a_shop_is_an_angle():
    shop = "shop: s\nname: S\nleast tip: %s\n"
    assert read_texts([("s.yml", shop % "10 deg")]).collection.shops["s"].least_tip.base == 10
    assert "least tip" in str(read_texts([("s.yml", shop % "10")]).findings[0])
