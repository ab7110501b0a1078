"""The verdicts of the demo's story: a handbook that leaves something out, and a part nobody weighed.

Our own example, invented; its expected figures are a regression and no validation.
"""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from handling_db.checker import check, closing_words, whole_words
from handling_db.files.folders import data_folder, read_collection
from handling_db.findings import Verdict, exit_status
from handling_db.weights.compare import Judge

DAY = datetime.date(2026, 11, 25)
WEIGHED = """\
weighing: auxiliary-drive-platform
of: auxiliary-drive
gross: 21.8 kg
tare: none
checked by: foreman
plus or minus: 0.1 kg
source: tarrowby-platform-scale
serial: 1187
on: 2026-10-20
by: foreman
"""


def read(*paths: Path):
    reading = read_collection([data_folder() / "demo", *paths])
    assert [str(finding) for finding in reading.findings] == []
    return reading.collection


@pytest.fixture(scope="module")
def demo():
    return read()


@pytest.fixture(scope="module")
def demo_with_the_drive_weighed(tmp_path_factory):
    file = tmp_path_factory.mktemp("more") / "weighing.yml"
    file.write_text(WEIGHED)
    return read(file)


def verdict(collection, about, printed):
    """The one finding about a stated whole."""
    found = [f for f in check(collection) if f.rule == "parts-sum" and f.about == about]
    return next(f for f in found if printed in f.sentence)


def figures(finding):
    """The compared intervals, rounded to a tenth. [kg]"""
    return {name: (round(float(low), 1), round(float(high), 1)) for name, low, high in finding.figures}


def gap(finding):
    return tuple(round(float(limit), 1) for limit in finding.gap)


@pytest.mark.slow
def test_the_differential_section_disagrees(demo):
    found = verdict(demo, "differential-section", "415 kg / 920 lb")
    assert found.verdict is Verdict.DISAGREES
    assert figures(found) == {"parts": (443.4, 451.0), "stated": (415.0, 419.6)}
    assert gap(found) == (23.9, 36.0)
    assert found.field == "masses[0].printed"
    assert found.place is not None
    assert found.place.file.endswith("differential-section.yml")
    assert "heavier by 23.9 to 36.0 kg" in found.sentence
    assert "the printed figure may leave something out" in found.sentence


def test_the_gear_section_cannot_be_checked(demo):
    found = verdict(demo, "gear-section", "390 kg / 860 lb")
    assert found.verdict is Verdict.CANNOT_BE_CHECKED
    assert figures(found) == {"known parts": (365.9, 372.5), "stated": (387.5, 392.5)}
    assert "Auxiliary drive has no mass" in found.sentence
    assert "it would have to weigh 15.0 to 26.6 kg" in found.sentence
    assert found.remedy == "Weigh Auxiliary drive."


def test_the_box_cannot_be_checked_against_the_handbook(demo):
    found = verdict(demo, "transfer-box", "810 kg / 1790 lb")
    assert found.verdict is Verdict.CANNOT_BE_CHECKED
    assert figures(found) == {"known parts": (812.3, 826.8), "stated": (805.0, 815.0)}
    assert "it would have to weigh no more than 2.7 kg" in found.sentence


def test_the_box_cannot_be_checked_on_the_floor_scale_until_the_drive_is_weighed(demo):
    found = verdict(demo, "transfer-box", "844.0 kg, drained")
    assert found.verdict is Verdict.CANNOT_BE_CHECKED
    assert "Auxiliary drive has no mass" in found.sentence


def test_once_the_drive_is_weighed_the_floor_scale_agrees(demo_with_the_drive_weighed):
    found = verdict(demo_with_the_drive_weighed, "transfer-box", "844.0 kg, drained")
    assert found.verdict is Verdict.AGREES
    assert "the two touch" in found.sentence


def test_then_the_handbook_disagrees_because_of_what_it_leaves_out_below(demo_with_the_drive_weighed):
    found = verdict(demo_with_the_drive_weighed, "transfer-box", "810 kg / 1790 lb")
    assert found.verdict is Verdict.DISAGREES
    assert "because of Differential section, which disagrees by as much" in found.sentence
    gear = verdict(demo_with_the_drive_weighed, "gear-section", "390 kg / 860 lb")
    assert gear.verdict is Verdict.CANNOT_BE_CHECKED
    assert "it is not stated what the printed figure counts" in gear.sentence


def test_the_deepest_disagreement_comes_first(demo_with_the_drive_weighed):
    apart = [f.about for f in check(demo_with_the_drive_weighed) if f.verdict is Verdict.DISAGREES]
    assert apart == ["differential-section", "transfer-box"]


def test_what_the_words_say_of_the_box(demo_with_the_drive_weighed):
    words = whole_words(Judge(demo_with_the_drive_weighed), "transfer-box")
    assert (
        "agrees with Floor scale, Quay Shed Nine (844.0 kg); an error of up to 11 kg (23 lb) in one figure may "
        "hide in it; both sides rest on Floor scale, Quay Shed Nine (one scale): an error of that scale may "
        "hide at any size; compared: 48 lines, drained, serial 1187" in words
    )
    assert "disagrees with PT-34 handbook (810 kg / 1790 lb)" in words


def test_the_handbook_columns_are_one_witness_each(demo):
    found = {f.about: f for f in check(demo) if f.rule == "columns-converted"}
    assert "920 lb can be the original" in found["differential-section"].sentence
    assert "either column can be the original" in found["gear-section"].sentence
    assert "either column can be the original" in found["transfer-box"].sentence


def test_the_closing_words_and_the_status(demo):
    findings = check(demo, as_of=DAY)
    words = closing_words(demo, findings)
    assert exit_status(findings) == 1
    assert "1 disagrees" in words
    assert "without a mass" in words
    assert "Auxiliary drive" in words
    assert words.endswith("whether the unit in hand is built as recorded.")
