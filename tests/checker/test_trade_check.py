"""A drive unit whose plates give both halves and the whole in pounds and kilograms.

Trade check, no published source: plates that say 840 lb / 380 kg and 990 lb / 450 kg for the halves and
1830 lb / 830 kg for the whole, to steps of 10 lb and 10 kg.
"""

from __future__ import annotations

import pytest

from handling_db.checker import check
from handling_db.findings import Verdict

UNIT = """\
- component: drive-unit
  name: Drive unit
  kind: assembly
  parts listed: all
  parts: [{{component: front-half, quantity: 1}}, {{component: rear-half, quantity: 1}}]
  masses:
    - {{{whole}, source: plate, state: dry, counts: as listed, without: none, checked by: fitter}}
- {{component: front-half, name: Front half, kind: part, masses: [{{{front}, source: plate}}]}}
- {{component: rear-half, name: Rear half, kind: part, masses: [{{{rear}, source: plate}}]}}
"""


def both(lb, kg):
    return f"printed: {lb} lb, step: 10 lb, also printed: {{printed: {kg} kg, step: 10 kg}}"


def one(figure):
    return f"printed: {figure}, step: 10 {figure.split()[1]}"


SYSTEMS = {
    "both columns": [both(840, 380), both(990, 450), both(1830, 830)],
    "pounds": [one("840 lb"), one("990 lb"), one("1830 lb")],
    "kilograms": [one("380 kg"), one("450 kg"), one("830 kg")],
}


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_halves_agree_with_the_whole(system, read):
    front, rear, whole = SYSTEMS[system]
    findings = check(read(UNIT.format(front=front, rear=rear, whole=whole)))
    sums = [f for f in findings if f.rule == "parts-sum"]
    assert [f.verdict for f in sums] == [Verdict.AGREES]
    assert {f.verdict for f in findings} <= {Verdict.AGREES, Verdict.REMARK}


def test_two_columns_are_one_witness(read):
    front, rear, whole = SYSTEMS["both columns"]
    findings = check(read(UNIT.format(front=front, rear=rear, whole=whole)))
    remarks = {f.about: f.sentence for f in findings if f.rule == "columns-converted"}
    assert set(remarks) == {"drive-unit", "front-half", "rear-half"}
    assert all("this is one witness and not two" in sentence for sentence in remarks.values())
    assert len([f for f in findings if f.rule == "parts-sum"]) == 1


def test_one_author_adding_his_own_figures_proves_nothing(read):
    front, rear, whole = SYSTEMS["both columns"]
    findings = check(read(UNIT.format(front=front, rear=rear, whole=whole)))
    told = next(f for f in findings if f.rule == "parts-sum")
    assert told.remedy.startswith("Every figure is from this one source")


def test_a_half_ten_kilograms_heavier_no_longer_agrees(read):
    front, rear, _ = SYSTEMS["kilograms"]
    findings = check(read(UNIT.format(front=front, rear=rear, whole=one("850 kg"))))
    apart = [f for f in findings if f.rule == "parts-sum"]
    assert [f.verdict for f in apart] == [Verdict.DISAGREES]
    assert "lighter by 5 to 35 kg" in apart[0].sentence
