"""A first chain proposed from the records, and the way back of a plan: read back, worked out, put together again."""

from __future__ import annotations

import pytest

from handling_db.errors import UnknownNameError
from handling_db.files.folders import record_text
from handling_db.files.reading import read_texts
from handling_db.jobs.drafts.proposed import proposed_plan
from handling_db.jobs.drafts.reversed import reversed_plan
from handling_db.jobs.steps.holds.chain import links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.records.collection import collect


def with_plan(demo, plan):
    """The demo with one more plan, read from its own text, as a person would keep it."""
    reading = read_texts([("draft.yml", record_text(plan))])
    assert [str(finding) for finding in reading.findings] == []
    return collect([*demo.records(), *reading.collection.records()]), reading.collection.job_plans[plan.id]


def chain(records, plan):
    unit = Unit(records, plan)
    return unit, list(links(records, plan, unit, UnitPlaces(unit)))


def test_the_first_chain_follows_the_order_of_ties_and_the_lift_of_the_shop(demo):
    plan = proposed_plan(demo, "apart", "transfer-box", "quay-shed-nine")
    records, read = with_plan(demo, plan)
    told = [(step.do, step.lift_group or ",".join(tie.tie for tie in step.ties)) for step in read.steps]

    assert told[0] == ("drain", "")
    assert ("hook on", "upper-half-lift") in told  # this shop's own hoist
    assert told.index(("turn", "turn-onto-front-face")) < told.index(("hook on", "upper-half-lift"))
    assert told.index(("hook on", "upper-half-lift")) < told.index(("tie out", "joint-bolts"))
    assert [step.do for step in read.steps][-2:] == ["part", "set down"]
    off = {way.of for step in read.steps if step.do == "take off" for way in step.pieces}
    assert off == {way.of for way in demo.lift_groups["upper-half-lift"].leaves}
    _, found = chain(records, read)
    assert [n.kind for link in found for n in link.events.findings] == []
    assert {n.kind for n in found[0].events.asked} == {"how it stands", "which way up"}


def test_another_shop_gets_its_own_lift(demo):
    plan = proposed_plan(demo, "apart", "transfer-box", "low-tarrowby")
    lifts = [step.lift_group for step in plan.steps if step.do == "hook on"]

    assert [demo.lift_groups[lift].mover for lift in lifts] == ["tarrowby-jib"]


def test_a_unit_without_recorded_joints_asks_for_them(demo):
    plan = proposed_plan(demo, "apart", "lock-clutch-pack")

    assert [(step.do, step.what) for step in plan.steps] == [
        ("look", "Look how Lock clutch pack is held, and record its joints")
    ]
    with pytest.raises(
        UnknownNameError, match="there is no component 'transfer-bx'; did you mean 'transfer-box'"
    ):
        proposed_plan(demo, "apart", "transfer-bx")


def test_the_way_back_ends_where_the_plan_began(demo):
    plan = demo.job_plans["transfer-box-apart"]
    records, back = with_plan(demo, reversed_plan(demo, plan, "together"))
    unit, there = chain(demo, plan)
    _, again = chain(records, back)
    before, after = there[0].after, again[-1].after

    assert [n.kind for link in again for n in link.events.findings] == []
    assert after.bodies(unit) == before.bodies(unit)
    assert (after.aside, after.loose, after.out, after.parted, after.temporary) == (
        before.aside,
        before.loose,
        before.out,
        before.parted,
        before.temporary,
    )
    assert after.up == before.up


def test_what_does_not_reverse_is_listed_for_a_person(demo):
    back = reversed_plan(demo, demo.job_plans["transfer-box-apart"], "together")
    told = " | ".join(back.does_not_reverse)

    for words in (
        "new sealant at the joint face",
        "joint bolts: torque and order of tightening stand in no record here.",
        "Guide studs M16 x 150, pair: in before the halves go together",
        "liquid sealant at the joint face, from serial 1150 on: cleaned off and new.",
        "The turn the other way is not recorded",
        "through-bolts M10, red heads: drafted in on the way back, too",
    ):
        assert words in told
    assert back.back_together == "yes"


def test_a_way_back_that_forgets_a_step_is_found(demo):
    back = reversed_plan(demo, demo.job_plans["transfer-box-apart"], "together")
    short = back.model_copy(update={"steps": tuple(s for s in back.steps if "caliper" not in s.what)})
    records, read = with_plan(demo, short)
    _, found = chain(records, read)

    last = found[-1].events.findings
    assert [(n.kind, n.facts["pieces"]) for n in last] == [("not on again", ("Parking brake caliper",))]
