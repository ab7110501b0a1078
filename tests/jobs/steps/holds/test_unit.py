"""What is recorded to hold a unit together: one piece of what joints connect is held in its assembly, no more."""

from __future__ import annotations

from handling_db.files.reading import read_texts
from handling_db.jobs.steps.holds.chain import links
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.records.kinds.job_plan import JobPlan

TREE = """
- {source kind: weighed, name: weighed, rank: 10, basis: a scale}
- {source: scale, name: Scale, kind: weighed}
- component: box
  name: Box
  kind: assembly
  parts listed: all
  parts: [{component: lid, quantity: 1}, {component: left, quantity: 1}, {component: right, quantity: 1}, {component: cap, quantity: 1}]
- {component: lid, name: Lid, kind: part, masses: [{printed: 5 kg, step: 1 kg, source: scale}]}
- {component: left, name: Left, kind: part, masses: [{printed: 20 kg, step: 1 kg, source: scale}]}
- {component: right, name: Right, kind: part, masses: [{printed: 30 kg, step: 1 kg, source: scale}]}
- {component: cap, name: Cap, kind: part, masses: [{printed: 1 kg, step: 1 kg, source: scale}]}
"""
JOINTS = """
- {joint: one, name: One, within: box, between: [lid, left], ties: [{id: b, kind: bolts, what: bolts, there: yes}]}
- {joint: two, name: Two, within: box, between: [lid, right], ties: [{id: b, kind: bolts, what: bolts, there: yes}]}
"""


def chain(more: str, step: dict):
    reading = read_texts([("box.yml", TREE + more)])
    assert [str(f) for f in reading.findings] == []
    plan = JobPlan.model_validate(
        {"job plan": "p", "name": "P", "unit": "box", "starts": {"rests": {"on": "machine"}}, "steps": [step]}
    )
    unit = Unit(reading.collection, plan)
    return unit, list(links(reading.collection, plan, unit, UnitPlaces(unit)))


def test_two_heavy_pieces_on_one_light_one_do_not_hold_each_other():
    """Both heavier sides once stayed in their assembly, so that one held the other through it."""
    out = {"do": "tie out", "what": "Out", "ties": [{"joint": "one", "tie": "b"}]}
    unit, found = chain(JOINTS, out)

    assert [n.facts["pieces"] for n in found[1].events.findings if n.kind == "held by nothing"] == [("Left",)]
    assert unit.unrecorded == (
        "Cap",
    )  # nobody recorded how it is held: it goes with the box, that is with Right


def test_a_hose_holds_no_body_and_blocks_a_parting():
    hose = JOINTS.replace("kind: bolts, what: bolts", "kind: hoses, what: hose", 1)
    unit, found = chain(hose, {"do": "take off", "what": "Off", "by": "hands", "pieces": [["left"]]})

    assert [(n.kind, n.facts["ties"]) for n in found[1].events.findings] == [("tie still across", ("hose",))]
    assert sorted(len(body & unit.leaves) for body in found[0].after.bodies(unit)) == [1, 3]
