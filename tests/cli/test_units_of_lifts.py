"""With ``--unit lb`` no line of a command about lifts shows kilograms alone, and pounds come first."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.conftest import Run

DRIVE = ("--assume", "auxiliary-drive=12.8 kg to 31.8 kg")
GROUPS = ("upper-half-lift", "upper-half-with-brake", "lower-half", "whole-unit-lift", "turn-onto-front-face")
QUESTIONS = [
    *((command, group) for command in ("lift", "legs") for group in GROUPS),
    *((command, group, *DRIVE) for command in ("lift", "legs") for group in GROUPS[2:]),
    ("lift", "upper-half-lift", "--job", "qsn-1187", "--drop", "10 mm", "--stretch", "3 mm"),
    ("lift", "upper-half-lift", "--serial", "1187"),
    ("legs", "upper-half-lift", "--point", "cover-ear-90", "--point", "cover-ear-330"),
    *(("reading", "upper-half-lift", seen) for seen in ("900 lb", "445 kg", "384 kg", "300 kg")),
    ("reading", "lower-half", "400 kg"),
    ("turn", "turn-onto-front-face"),
    ("turn", "turn-onto-front-face", *DRIVE, "--job", "qsn-1187"),
    ("two-hooks", "upper-half-lift", "--head", "cover-ear-90", "--tail", "cover-ear-210"),
    ("joint", "section-joint"),
    ("joint", "section-joint", "--job", "qsn-1187"),
    ("joint", "stack-joint"),
]
NUMBER = r"-?\d[\d ]*(?:\.\d+)?"
SPAN = rf"{NUMBER}(?: (?:±|to) {NUMBER})?"
# A figure in kilograms or tonnes stands in brackets behind pounds, or has pounds in brackets behind it.
PAIRED = re.compile(rf"{SPAN} lb \({SPAN} kg\)|{SPAN} (?:kg|t) \({SPAN} lb\)")
LBS_FIRST = re.compile(rf"{SPAN} lb \({SPAN} kg\)")
ALONE = re.compile(rf"{NUMBER} (?:kg|lb|t)\b(?!/|²)")


@pytest.mark.parametrize("words", QUESTIONS, ids=" ".join)
def test_no_mass_stands_in_one_unit_alone(run: Run, demo_db: Path, words: tuple[str, ...]) -> None:
    result = run(*words, "--unit", "lb", "--db", str(demo_db))

    assert result.exit_code == 0, result.stderr
    for line in result.stdout.splitlines():
        assert ALONE.findall(PAIRED.sub("", line)) == [], line
    assert LBS_FIRST.search(result.stdout) or words[0] == "joint"


def test_the_figures_that_are_worked_out_have_pounds_first(run: Run, demo_db: Path) -> None:
    """What somebody wrote keeps its own unit first: plates, tags, notes."""
    told = run("lift", "upper-half-lift", "--unit", "lb", "--db", str(demo_db)).stdout

    for line in told.splitlines():
        if line.startswith(("Expected", "  look again", "  stop at", "IN: ", "Hook should")):
            assert re.search(r"\d lb \(", line), line
    assert "plate: 2000 kg (4409 lb)" in told
