"""A unit in hand follows its planned job: what is done, what differs, what comes next."""

from __future__ import annotations

import datetime
import json

import pytest
from click.testing import CliRunner

import handling_db as hd
from handling_db.cli import main
from handling_db.errors import HandlingError
from handling_db.jobs.progress import progress_answer, with_step_done
from handling_db.jobs.progress_words import progress_lines
from handling_db.records.kinds.job import Job, Signed

BY = Signed.model_validate({"on": "2026-11-20", "by": "fitter"})


def job(**more):
    fields = {
        "job": "one",
        "unit": "transfer-box",
        "serial": "1188",
        "opened": {"on": "2026-11-19", "by": "fitter"},
    }
    return Job.model_validate({**fields, "follows": "transfer-box-apart", **more})


def done(demo, one, *steps):
    for step in steps:
        one = with_step_done(demo, one, step, BY, None)
    return one


def test_every_step_done_in_order_leaves_no_difference_and_the_record_of_the_demo(demo):
    plan = demo.job_plans["transfer-box-apart"]
    one = job()
    for number, step in enumerate(plan.steps, 1):
        one = with_step_done(demo, one, step.id, BY, None)
        if number % 4 and number < len(plan.steps):
            continue
        answer = progress_answer(demo, one)
        assert answer.differs == (), step.id
        assert len(answer.done) == number
        assert answer.following == (answer.left[0] if answer.left else None)
    assert answer.following is None
    assert {(tie.joint, tie.tie) for tie in one.ties_out} == {
        ("section-joint", tie)
        for tie in ("harness-connector", "front-shaft", "joint-bolts", "lubrication-pipes")
    }
    assert one.open_temporary_ties == ()
    assert [tie.out.by for tie in one.temporary_ties] == ["fitter"]
    # What the demo's own job says is off, and the drive.
    kept = {off.of for off in demo.jobs["qsn-1187"].off}
    assert {off.of for off in one.off} == kept | {("gear-section", "auxiliary-drive")}


def test_temporary_ties_stand_first_and_the_next_step_is_named(demo):
    one = done(demo, job(), "drain-oil", "connector-off", "front-kit-off", "caliper-off", "red-in")
    lines = progress_lines(progress_answer(demo, one))

    assert lines[1].startswith("IN FOR THE TIME BEING: 4 x through-bolts M10, red heads")
    assert lines[2] == "5 of 15 steps done."
    assert "Next: step 6 (bolts-out): Fourteen joint bolts out, counted on the bench." in lines


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"ties out": []}, "DIFFERS: Harness connector at the top right of the gear case: out by the plan"),
        (
            {"off": [{"of": ["gear-section", "oil-pump"], "on": "2026-11-20", "by": "fitter"}]},
            "DIFFERS: Oil pump: off, and still on by the plan.",
        ),
        (
            {
                "ties out": [
                    {"joint": "section-joint", "tie": tie, "on": "2026-11-20", "by": "fitter"}
                    for tie in ("harness-connector", "joint-bolts")
                ]
            },
            "DIFFERS: Joint bolts: written out, and still in by the plan.",
        ),
        (
            {
                "temporary ties": [
                    {"id": "blue", "joint": "section-joint", "what": "clamps", "count": "2", "out by": "lift",
                     "on": "2026-11-20", "by": "fitter"}
                ]
            },
            "DIFFERS: Temporary clamps: still in, and out by the plan.",
        ),
    ],
)  # fmt: skip
def test_what_differs_from_the_plan_is_told(demo, change, told):
    one = done(demo, job(), "drain-oil", "connector-off")
    fields = {**json.loads(one.model_dump_json(by_alias=True, exclude_none=True)), **change}
    lines = progress_lines(progress_answer(demo, Job.model_validate(fields)))

    assert any(line.startswith(told) for line in lines), lines


def test_a_step_passed_over_is_named(demo):
    one = done(demo, job(), "drain-oil", "caliper-off")
    lines = progress_lines(progress_answer(demo, one))

    assert "NOT DONE, though a later step is: 2 Harness connector off." in lines


def test_what_cannot_be_done_is_refused(demo):
    one = done(demo, job(), "drain-oil")

    with pytest.raises(HandlingError, match="step 'drain-oil' of Transfer box taken apart is done already"):
        with_step_done(demo, one, "1", BY, None)
    with pytest.raises(HandlingError, match="there is no step 'drain-oli'; did you mean 'drain-oil'"):
        with_step_done(demo, one, "drain-oli", BY, None)
    with pytest.raises(HandlingError, match="job 'one' follows no plan"):
        progress_answer(demo, job(follows=None))


BOX = """
- {source: scale, name: Scale, kind: weighed}
- {component: box, name: Box, kind: assembly, parts listed: all, parts: [{component: body, quantity: 1}, {component: lid, quantity: 1}]}
- {component: body, name: Body, kind: part, masses: [{printed: 100 kg, step: 1 kg, source: scale}]}
- {component: lid, name: Lid, kind: part, masses: [{printed: 30 kg, step: 1 kg, source: scale}]}
- {joint: seam, name: Seam, within: box, between: [body, lid], ties: [{id: bolts, kind: bolts, what: lid bolts, there: yes}]}
- job plan: apart
  name: Box taken apart
  unit: box
  starts: {rests: {on: machine}}
  steps:
    - {id: clamps-in, do: tie in, what: Clamps on, temporary: [{id: clamps, joint: seam, what: clamps, count: 2}]}
    - {id: lid-off, do: take off, what: Lid off, by: hands, ties: [{joint: seam, tie: bolts}], temporary out: [clamps], pieces: [[lid]]}
"""


def test_the_commands_write_what_a_step_says_and_tell_where_it_stands(tmp_path):
    folder = tmp_path / "box"
    folder.mkdir()
    (folder / "box.yml").write_text(BOX, encoding="utf-8")

    def run(*words):
        result = CliRunner().invoke(main, [*words])
        assert result.exit_code == 0, result.stderr
        return result.stdout

    told = ("--in", str(folder), "--by", "fitter", "--on", "2026-11-20")
    run("job", "open", "one", "box", *told)
    run("job", "follow", "one", "apart", *told)
    run("job", "done", "one", "clamps-in", "--differs", "only one at hand", *told)
    text = run("job", "where", "one", "--from", str(folder))

    assert "one: Box, follows Box taken apart." in text
    assert "IN FOR THE TIME BEING: 2 x clamps (out the step of the plan that takes it out)." in text
    assert "found otherwise: only one at hand" in text
    assert "Next: step 2 (lid-off): Lid off." in text
    run("job", "done", "one", "2", *told)
    again = hd.read([folder]).jobs["one"]
    assert [(tie.tie, tie.on) for tie in again.ties_out] == [("bolts", datetime.date(2026, 11, 20))]
    assert [off.of for off in again.off] == [("lid",)]
    assert again.open_temporary_ties == ()
    assert "No step is left." in run("job", "where", "one", "--from", str(folder))
    refused = CliRunner().invoke(main, ["job", "follow", "one", "nope", *told])
    assert refused.exit_code == 2
    assert "there is no job plan 'nope'; there are: apart" in refused.stderr
