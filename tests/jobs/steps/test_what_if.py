"""What if: another build, another shop, another order, the brake left on; the two side by side; and in a parcel."""

from __future__ import annotations

import datetime
import json

import pytest
from click.testing import CliRunner

from handling_db.cli import main
from handling_db.errors import UnknownNameError
from handling_db.jobs.steps.beside import beside
from handling_db.jobs.steps.changed import WhatIf, changed_plan
from handling_db.jobs.steps.figures import steps_answer
from handling_db.jobs.steps.lifts import StepsQuestion
from handling_db.jobs.steps.said.words import beside_text
from handling_db.sharing.contents import for_component
from tests.jobs.steps.conftest import DAY


def ids(plan):
    return [step.id for step in plan.steps]


def test_a_change_keeps_ids_and_moves_leaves_out_and_replaces(demo):
    plan = demo.job_plans["transfer-box-apart"]
    without = changed_plan(demo, plan, WhatIf(without=["caliper-off", "2"]))
    moved = changed_plan(demo, plan, WhatIf(moved=[("caliper-off", "0"), ("pipes-out", "red-in")]))
    built = changed_plan(
        demo, plan, WhatIf(build_name="long frame", build={"discs": "12"}, shop="low-tarrowby")
    )

    assert ids(without) == [i for i in ids(plan) if i not in ("caliper-off", "connector-off")]
    assert ids(moved)[:2] == ["caliper-off", "drain-oil"]
    assert ids(moved).index("pipes-out") == ids(moved).index("red-in") + 1
    assert (built.build["discs"], built.build["length"], built.shop) == ("12", "780 mm", "low-tarrowby")
    assert not WhatIf().asked


@pytest.mark.parametrize(
    ("what_if", "told"),
    [
        (WhatIf(without=["caliper"]), "there is no step 'caliper'; did you mean 'caliper-off'"),
        (WhatIf(shop="low-tarrowbi"), "there is no shop 'low-tarrowbi'; did you mean 'low-tarrowby'"),
        (
            WhatIf(without=["part-halves"], moved=[("park-half", "part-halves")]),
            "step 'part-halves' is left out",
        ),
    ],
)
def test_what_is_not_there_is_refused(demo, what_if, told):
    with pytest.raises(UnknownNameError, match=told):
        changed_plan(demo, demo.job_plans["transfer-box-apart"], what_if)


@pytest.mark.slow
def test_the_brake_left_on_stands_beside_the_plan_with_what_it_does(demo, rules, taken_apart):
    plan = changed_plan(demo, demo.job_plans["transfer-box-apart"], WhatIf(without=["caliper-off"]))
    figures = beside(taken_apart.figures, steps_answer(demo, plan, StepsQuestion(DAY, rules)))
    rows = {row.id: row for row in figures.differs}

    assert figures.planned.findings == ()
    assert [(figures.asked.steps[n - 1].id, notice.kind) for n, notice in figures.asked.findings] == [
        ("hook-on", "pick point covered"),
        ("part-halves", "comes along"),
    ]
    part = rows["part-halves"]
    assert part.other_kg.best - part.kg.best == pytest.approx(16.4)  # the caliper
    assert rows["caliper-off"].other_number is None
    text = beside_text(figures)
    assert (
        "  Brake caliper off, so that the ear at 210 degrees is free: step 4 as planned, left out as asked"
        in text
    )
    assert "Only as asked: Ear at 210 degrees is covered" in text


@pytest.mark.slow
def test_the_receiver_works_it_out_with_own_gear_and_what_it_lacks_is_listed(demo, rules):
    sent = for_component(demo, "transfer-box")
    assert ("job plan", "transfer-box-apart") in sent
    for kind, name in (
        ("fixture", "saddle-pallet"),
        ("mover", "quay-pallet-truck"),
        ("source", "quay-bench-scale"),
    ):
        assert (kind, name) in sent  # everything a step names goes along

    there = WhatIf(
        shop="low-tarrowby", without=["turn-over"]
    )  # the turn is the same anywhere, and takes long
    plan = changed_plan(demo, demo.job_plans["transfer-box-apart"], there)
    answer = steps_answer(demo, plan, StepsQuestion(DAY, rules))
    lacks = {(notice.kind, notice.facts.get("lift")) for notice in answer.lacks}
    found = {notice.facts["name"] for _, notice in answer.findings if notice.kind == "not in this shop"}

    assert ("other hoist", "Upper half off the gear section") in lacks
    assert {"Saddle pallet", "Temporary through-bolts M10, red heads, set of four"} <= found
    assert answer.heaviest.rated_kg == 500.0


@pytest.mark.slow
def test_the_command_reads_a_database_and_ends_with_a_status(demo_db):
    file = demo_db

    def run(*words):
        return CliRunner().invoke(main, [*words])

    fine = run("steps", "transfer-box-apart", "--db", str(file), "--as-of", "2026-11-30", "--json")
    assert fine.exit_code == 0, fine.stderr
    value = json.loads(fine.stdout)
    assert value["heaviest"]["kg"]["best"] == pytest.approx(383.8565)
    assert value["steps"][7]["cautions"][0]["kind"] == "goes over, held back"
    refused = run("steps", "nope", "--db", str(file))
    assert refused.exit_code == 2
    assert "there is no job plan 'nope'; there are: transfer-box-apart" in refused.stderr
    assert run("steps", "transfer-box-apart", "--db", str(file), "--move", "x").exit_code == 2
    assert datetime.date.fromisoformat(value["as_of"]) == DAY
