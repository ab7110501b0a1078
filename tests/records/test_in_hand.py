"""Which jobs are about a unit: by the tree, by the serial, and by what is still in."""

from __future__ import annotations

import pytest

from handling_db.records.in_hand import below, job_of_serial, jobs_about
from tests.from_text import collection

BASE = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: half, quantity: 1}, {component: other, quantity: 1}]
- {component: half, name: Half, kind: assembly, parts listed: all, parts: [{component: gear, quantity: 2}]}
- {component: other, name: Other, kind: part}
- {component: gear, name: Gear, kind: part}
- {component: stranger, name: Stranger, kind: part}
"""
JOB = """
- job: {id}
  unit: {unit}
  {serial}
  opened: {{on: 2026-01-01, by: fitter}}
  temporary ties:
    - {{id: red, joint: j, what: bolts, count: 4, out by: noon, on: 2026-01-02, by: fitter{out}}}
"""


def jobs(*rows):
    texts = [
        JOB.format(
            id=name,
            unit=unit,
            serial=f"serial: {serial}" if serial else "",
            out=", out: {on: 2026-01-03, by: fitter}" if out else "",
        )
        for name, unit, serial, out in rows
    ]
    return collection(BASE + "".join(texts))


def test_a_unit_and_everything_below_it():
    assert below(jobs(), "unit") == {"unit", "half", "other", "gear"}


@pytest.mark.parametrize(("code", "named"), [("unit", True), ("gear", True), ("stranger", False)])
def test_a_job_is_about_everything_in_its_unit(code, named):
    assert [job.id for job in jobs_about(jobs(("a", "unit", 7, False)), code)] == (["a"] if named else [])


def test_a_job_on_a_half_is_about_the_whole():
    assert [job.id for job in jobs_about(jobs(("a", "half", 7, False)), "unit")] == ["a"]


def test_several_are_all_named_and_taken_out_is_out():
    found = jobs(("a", "unit", 7, False), ("b", "unit", 8, False), ("c", "unit", 9, True))
    assert [job.id for job in jobs_about(found, "unit")] == ["a", "b"]
    assert [job.id for job in jobs_about(found, "unit", 8)] == ["b"]


def test_a_job_without_a_serial_may_be_this_one():
    found = jobs(("a", "unit", None, False))
    assert [job.id for job in jobs_about(found, "unit", 8)] == ["a"]


def test_the_serial_names_a_job_only_where_it_is_the_only_open_one():
    found = jobs(("a", "unit", 7, False), ("b", "unit", 8, False), ("c", "unit", 8, False))
    assert job_of_serial(found, "unit", 7).id == "a"
    assert job_of_serial(found, "unit", 8) is None
    assert job_of_serial(found, "half", 7) is None
    assert job_of_serial(found, "unit", None) is None
