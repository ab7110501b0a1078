"""Findings: the line they print, their JSON and the exit status they give."""

from __future__ import annotations

import itertools
import json
from fractions import Fraction

import pytest

from handling_db.errors import AmbiguousNameError, HandlingError, UnknownNameError
from handling_db.findings import Finding, Place, Verdict, exit_status, fault

HERE = Place("parts/pump.yml", 18)


def disagreement():
    return Finding(
        "parts-sum",
        Verdict.DISAGREES,
        "pump",
        "the parts are 47 kg and the plate says 40 kg;",
        "weigh it.",
        HERE,
        "masses[0].printed",
        (("parts", Fraction(46), Fraction(48)), ("plate", Fraction(79, 2), Fraction(81, 2))),
        (Fraction(11, 2), Fraction(17, 2)),
    )


def test_a_fault_is_one_line_that_an_editor_can_jump_to():
    finding = fault(HERE, "parts[1].quantity", "is missing;", "write it.")

    assert str(finding) == "parts/pump.yml:18: parts[1].quantity: is missing; write it."
    assert finding.verdict is Verdict.FAULT
    assert finding.rule == "record"


def test_the_other_verdicts_stand_in_the_line():
    assert str(disagreement()) == (
        "parts/pump.yml:18: masses[0].printed: disagrees: "
        "the parts are 47 kg and the plate says 40 kg; weigh it."
    )


def test_what_has_no_place_no_field_and_no_remedy_leaves_no_gaps():
    assert str(fault(None, "", "nothing was read.")) == "nothing was read."
    assert str(fault(HERE, "", "not YAML.")) == "parts/pump.yml:18: not YAML."


def test_json_has_stable_names_and_plain_values():
    written = disagreement().as_json()

    assert json.loads(json.dumps(written)) == {
        "rule": "parts-sum",
        "verdict": "disagrees",
        "about": "pump",
        "sentence": "the parts are 47 kg and the plate says 40 kg;",
        "remedy": "weigh it.",
        "file": "parts/pump.yml",
        "line": 18,
        "field": "masses[0].printed",
        "figures_kg": [
            {"name": "parts", "low": 46.0, "high": 48.0},
            {"name": "plate", "low": 39.5, "high": 40.5},
        ],
        "gap_kg": [5.5, 8.5],
        "because_of": [],
        "rests_on_assumed_steps": False,
        "hides_up_to_kg": None,
        "both_rest_on": [],
    }


def test_json_of_what_is_absent_is_null_and_not_nothing():
    written = fault(None, "", "x").as_json()

    assert [written[name] for name in ("file", "line", "field", "gap_kg")] == [None] * 4
    assert written["figures_kg"] == []


STATUS = {
    Verdict.FAULT: 2,
    Verdict.DISAGREES: 1,
    Verdict.CANNOT_BE_CHECKED: 3,
    Verdict.REMARK: 0,
    Verdict.AGREES: 0,
}


def test_no_finding_is_status_zero():
    assert exit_status([]) == 0


@pytest.mark.parametrize(("verdict", "status"), STATUS.items())
def test_each_verdict_has_its_status(verdict, status):
    assert exit_status([Finding("r", verdict, "a", "s", "")]) == status


def test_the_gravest_verdict_decides_in_any_order():
    for verdicts in itertools.permutations(Verdict, 3):
        gravest = min(verdicts, key=list(Verdict).index)
        findings = [Finding("r", verdict, "a", "s", "") for verdict in verdicts]

        assert exit_status(findings) == STATUS[gravest]


def test_places_sort_by_file_and_by_line_as_a_number():
    places = [Place("b.yml", 1), Place("a.yml", 10), Place("a.yml", 9)]

    assert [str(place) for place in sorted(places)] == ["a.yml:9", "a.yml:10", "b.yml:1"]


def test_an_ambiguous_name_lists_the_choices():
    error = AmbiguousNameError("rear half", (("diff", "Differential section"), ("case", "Rear case")))

    assert str(error) == (
        "'rear half' fits several components: diff (Differential section); case (Rear case). "
        "Ask again with one of these ids."
    )
    assert error.choices[0] == ("diff", "Differential section")
    assert isinstance(error, HandlingError)
    assert issubclass(UnknownNameError, HandlingError)
