"""Random plans, sensible or not, over real records: every one gets an answer or a refusal, never a crash."""

from __future__ import annotations

import random

import pytest
from pydantic import ValidationError

from handling_db.errors import HandlingError
from handling_db.jobs.drafts.reversed import reversed_plan
from handling_db.jobs.steps.holds.chain import held_by_nothing, links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.jobs.steps.said.notices import KINDS, remedy, sentence
from handling_db.records.kinds.job_plan import ASKED, JobPlan

KINDS_OF_STEP = ("drain", "fill", "tie out", "tie in", "hook on", "hook off", "take off", "put on", "turn", "part",
                 "set down", "carry", "weigh", "look")  # fmt: skip


def random_step(rnd, demo, temporary):
    ways = [["gear-section"], ["differential-section"], ["differential-section", "rear-cover"], ["joint-set"],
            ["differential-section", "parking-brake"], ["nowhere"], ["gear-section", "oil-pump"],
            ["transfer-box"], ["differential-section", "planet-differential", "planet-gear"], ["oil-charge"]]  # fmt: skip
    ties = [*(tie.key("section-joint") for tie in demo.joints["section-joint"].tie_list), "nails"]
    lifts = [*demo.lift_groups, "nothing"]
    do = rnd.choice(KINDS_OF_STEP)
    step = {"do": do, "what": "Something"}
    if do in ("tie out", "tie in", "take off", "put on", "part") and rnd.random() < 0.8:
        joint = rnd.choice(["section-joint", "section-joint", "stack-joint", "none"])
        step["ties"] = [
            {"joint": joint, "tie": rnd.choice(ties), **({"count": "2"} if rnd.random() < 0.2 else {})}
        ]
    if do == "tie in" and rnd.random() < 0.5:
        temporary.append(f"t{len(temporary)}")
        step["temporary"] = [{"id": temporary[-1], "joint": "section-joint", "what": "clamps", "count": "4"}]
    if do in ("tie out", "part", "take off") and temporary and rnd.random() < 0.5:
        step["temporary out"] = [rnd.choice(temporary)]
    if do in ("take off", "put on") and rnd.random() < 0.8:
        step["pieces"] = rnd.sample(ways, rnd.randrange(1, 3))
    if do in ("hook on", "hook off", "turn") or (
        do in ("take off", "put on", "weigh") and rnd.random() < 0.4
    ):
        step["lift group"] = rnd.choice(lifts)
    if do == "part" or (do == "put on" and rnd.random() < 0.3):
        step["joint"] = rnd.choice(["section-joint", "stack-joint", "none"])
    if do in ("set down", "take off", "turn", "put on", "hook off") and (
        do == "set down" or rnd.random() < 0.5
    ):
        step["rests"] = {"on": rnd.choice(["floor", "stand", "pallet", "cribbing", "machine"]),
                         **rnd.choice([{}, {"face": "front-face"}, {"face": "joint-flange"}, {"face": "roof"},
                                       {"fixture": "saddle-pallet"}, {"fixture": "ring-stand", "face": "front-face"}])}  # fmt: skip
    if rnd.random() < 0.3 and do != "look":
        step["of"] = rnd.choice(ways)
    if do in ("set down", "turn", "hook on", "put on") and rnd.random() < 0.3:
        step["attitude"] = rnd.choice(["installed", "differential-section-up", "sideways"])
    if do == "carry":
        step["mover"] = "quay-forklift"
    return step


@pytest.mark.parametrize("seed", range(20))
def test_a_random_plan_is_answered_or_refused_and_carried_where_nothing_is_found(demo, seed):
    rnd = random.Random(seed)
    temporary: list[str] = []
    steps = [random_step(rnd, demo, temporary) for _ in range(rnd.randrange(1, 12))]
    starts = rnd.choice([{}, {"attitude": "installed"}, {"rests": {"on": "machine"}},
                         {"attitude": "installed", "rests": {"on": "floor", "face": "front-face"}}])  # fmt: skip
    plan = {"job plan": "p", "name": "P", "unit": "transfer-box", "starts": starts, "steps": steps}
    try:
        read = JobPlan.model_validate(plan)
    except ValidationError:
        return
    try:
        unit = Unit(demo, read)
        found = list(links(demo, read, unit, UnitPlaces(unit)))
        reversed_plan(demo, read, "back")
    except HandlingError:
        return
    everything = unit.leaves
    for link in found:
        bodies = link.after.bodies(unit)
        inside = [piece for body in bodies for piece in body & everything]
        # Every part is in one body or put aside, never in two and never lost.
        assert len(inside) == len(set(inside))
        assert set(inside) | (link.after.aside & everything) == everything
        assert bool(held_by_nothing(unit, link.after)) == any(
            not any(s.piece in body for s in link.after.supports) for body in bodies
        )
        for notice in (*link.events.findings, *link.events.cautions, *link.events.asked):
            assert notice.kind in KINDS
            kind = "held by nothing, not weighed" if notice.kind == "held by nothing" else notice.kind
            assert sentence(type(notice)(kind, notice.facts))
        assert all(remedy(notice) for notice in link.events.findings)


def test_every_kind_of_step_is_written_by_the_random_plans():
    assert set(ASKED) <= set(KINDS_OF_STEP)
