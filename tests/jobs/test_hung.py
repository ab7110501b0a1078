"""Weights of work done: what hung becomes a weighing, waits, is confirmed, and narrows the next look-up."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from handling_db.balance.together.members import Why
from handling_db.balance.together.reach import AllEvidence
from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.masses import reading_waits
from handling_db.checker.rules.sums import parts_sum
from handling_db.cli import main
from handling_db.errors import HandlingError
from handling_db.families.build import build_of
from handling_db.findings import Verdict
from handling_db.jobs.hung import hung_fields, weighed_fields
from handling_db.loading import read
from handling_db.lookup.weight import answer
from handling_db.lookup.weight_text import weight_text
from handling_db.quantities.quantity import parse_mass
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.weighing import Weighing
from handling_db.web.drawings.narrowed import narrowed_drawing

DONE = ("--by", "rigger", "--on", "2026-09-12", "--json")
SEVERAL = ("differential-section", "transfer-box", "gear-section", "auxiliary-drive", "rear-cover")


@pytest.fixture
def folder(demo_folder: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(demo_folder, tmp_path / "records"))


def run(*words: object) -> str:
    result = CliRunner().invoke(main, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code == 0, result.stderr
    return result.stdout


def refused(*words: object) -> str:
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == 2
    return result.stderr


def dry(body, code):
    return body.of((code, build_of(body.judge.collection.components[code])), "dry")


def test_what_hung_is_the_piece_without_what_was_off_and_gear_and_oil_are_taken_off(demo):
    """By hand from the records: 8.4 kg of chain, three rings of 0.8 kg, 1.15 L of oil at 0.87 kg/L."""
    fields = hung_fields(
        demo, demo.jobs["qsn-1187"], "upper-half-lift", parse_mass("386 kg"), demo.sources["quay-hoist-cell"]
    )
    assert fields["of"] == "differential-section"
    assert set(fields["without"]) == {
        "front-extension-tube",
        "front-output-shaft",
        "front-output-flange",
        "front-output-bearing",
        "parking-brake-caliper",
    }
    tare = float(str(fields["tare"]).removesuffix(" kg"))
    assert tare == pytest.approx(8.4 + 3 * 0.8 + 1.15 * 0.87, abs=0.006)
    assert fields["gear"] == ["chain-three-leg-900", "swivel-ring-m16"]
    assert (fields["state"], fields["serial"], fields["job"]) == ("dry", "1187", "qsn-1187")
    # 1 % of the reading, and the doubt of everything that was taken off
    assert 3.86 < float(str(fields["plus or minus"]).removesuffix(" kg")) < 6


def job(**fields):
    given = {"job": "x", "unit": "transfer-box", "opened": {"on": "2026-01-01", "by": "fitter"}}
    return Job.model_validate(given | fields)


@pytest.mark.parametrize(
    ("lift", "unit", "words"),
    [
        ("nope", "transfer-box", "there is no lift group 'nope'"),
        ("upper-half-lift", "saw-gearbox", "is a lift of transfer-box, and job x is about saw-gearbox"),
        ("whole-unit-lift", "transfer-box", "nobody wrote whether the cell was zeroed with the gear on"),
    ],
)
def test_what_cannot_be_a_weighing_is_refused(lift, unit, words, demo):
    source = demo.sources["quay-hoist-cell"]
    with pytest.raises(HandlingError, match=words):
        hung_fields(demo, job(unit=unit), lift, parse_mass("800 kg"), source)


def test_what_is_off_by_then_is_left_out(demo):
    off = {"of": ["gear-section", "idler-group", "idler-bearing"], "on": "2026-01-02", "by": "fitter"}
    assert weighed_fields(demo, job(off=[off]), ["transfer-box"])["without"] == ["idler-bearing"]
    assert weighed_fields(demo, job(), ["gear-section"])["without"] == "none"
    with pytest.raises(HandlingError, match="lists no 'nowhere'"):
        weighed_fields(demo, job(), ["gear-section", "nowhere"])


def with_weighing(demo, seen, **more):
    """The demo with a reading of the upper half, as the job's commands write it."""
    fields = hung_fields(
        demo, demo.jobs["qsn-1187"], "upper-half-lift", parse_mass(seen), demo.sources["quay-hoist-cell"]
    )
    said = {"weighing": "read", "source": "quay-hoist-cell", "checked by": "rigger", "by": "rigger"}
    weighing = Weighing.model_validate(fields | said | {"on": "2026-09-12"} | more)
    return replace(demo, weighings={**demo.weighings, "read": weighing})


CONFIRMED = {"confirmed": {"on": "2026-09-14", "by": "foreman"}}


def test_until_it_is_confirmed_it_may_only_lift_a_plan(demo):
    body = AllEvidence(demo)
    plans = {code: dry(body, code).plan for code in SEVERAL}
    waiting = with_weighing(demo, "390 kg")
    body = AllEvidence(waiting)
    assert any(o.why is Why.UNCONFIRMED for o in body.recorded.outside)
    lifted = {code for code in SEVERAL if dry(body, code).plan != plans[code]}
    assert "differential-section" in lifted
    assert lifted <= {"differential-section", "transfer-box"}
    (finding,) = reading_waits(Evidence(waiting))
    assert "handling-db job confirm read." in finding.remedy
    assert list(reading_waits(Evidence(with_weighing(demo, "390 kg", **CONFIRMED)))) == []


def test_confirmed_it_narrows_the_look_up_which_says_since_when(demo):
    wide = dry(AllEvidence(demo), "differential-section")
    found = answer(with_weighing(demo, "390 kg", **CONFIRMED), "differential-section", state="dry")
    before, now = found.headline.rests.narrowed
    assert (before.since, now.since) == ("", "2026-09-14")
    assert (before.low, before.high) == (wide.low, wide.high)
    assert now.high - now.low < wide.high - wide.low
    assert "narrower since 2026-09-14: " in weight_text(found)
    assert "confirmed by foreman, 2026-09-14" in weight_text(found)
    drawn = str(narrowed_drawing(found))
    assert "Since 2026-09-14" in drawn
    assert narrowed_drawing(answer(demo, "rear-cover")) is None


@pytest.mark.slow
def test_a_wrong_one_is_found_by_the_same_tests(demo):
    for more in ({}, CONFIRMED):
        found = [
            f for f in parts_sum(Evidence(with_weighing(demo, "330 kg", **more))) if "330 kg" in f.sentence
        ]
        assert [(f.about, f.verdict) for f in found] == [("differential-section", Verdict.DISAGREES)]


@pytest.mark.slow
def test_commands_write_it_let_it_wait_and_confirm_it(folder):
    words = ("job", "reading", "qsn-1187", "upper-half-lift", "386 kg", "--free", "quay-hoist-cell")
    out = run(*words, "--in", folder, *DONE)
    waiting = json.loads(out)["weighing"]["weighing"]
    into = ("--in", folder, "--by", "foreman", "--on", "2026-09-14")
    assert f"waiting to be confirmed: {waiting}" in refused("job", "confirm", "nope", *into)
    told = json.loads(run("job", "confirm", waiting, *into, "--json"))
    assert told["confirmed"] is True
    new = read([folder]).weighings[told["weighing"]]
    assert (new.replaces, new.hung, str(new.gross)) == (waiting, "upper-half-lift", "386 kg")
    assert new.confirmed is not None
    assert new.confirmed.by == "foreman"


@pytest.mark.slow
def test_a_weighing_on_two_supports_in_a_job(folder):
    words = ("job", "weighed", "qsn-1187", "differential-section", "--supports", "200 kg", "172 kg", "600 mm")
    told = json.loads(
        run(*words, "x", "300 mm", "--state", "dry", "--source", "quay-floor-scale", "--in", folder, *DONE)
    )
    weighing = read([folder]).weighings[str(told["weighing"])]
    assert weighing.job == "qsn-1187"
    assert weighing.two_supports is not None
    assert weighing.two_supports.first.base == Fraction(200)
    assert "parking-brake-caliper" in weighing.without
    assert "does not wait to be confirmed" in refused(
        "job", "confirm", "transfer-box-1187-floor", "--in", folder, "--by", "foreman"
    )


@pytest.mark.slow
def test_a_weighing_on_a_hook_says_that_it_waits(folder):
    words = ("add-weighing", folder, "--of", "parking-brake", "--gross", "31 kg", "--tare", "none")
    out = run(*words, "--source", "quay-hoist-cell", "--by", "fitter", "--on", "2026-09-12")
    assert "it waits, and may only raise a plan, until somebody confirms it: handling-db job confirm " in out
