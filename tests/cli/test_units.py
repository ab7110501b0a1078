"""With ``--unit lb`` no line of any command shows kilograms alone; what is worked out has pounds first."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest

from handling_db.cli import main
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
    ("level", "upper-half-lift"),
    ("tilt", "upper-half-lift", "3 deg", "--low", "cover-ear-90"),
    ("steps", "transfer-box-apart"),
    ("lighten", "transfer-box", "--under", "600kg"),
    ("lighten", "gear-section", "--pallet", "saddle-pallet"),
    ("lighten", "gear-section", "--hands", "quay-shed-nine"),
    ("weight", "transfer-box"),
    ("weight", "differential-section", "--without", "parking-brake", "--state", "dry"),
    ("weight", "auxiliary-drive"),
    ("heavier", "upper-half-lift", "lower-half"),
    ("why", "differential-section"),
    ("sweep", "lock-clutch-pack", "discs", "--state", "dry"),
    ("explain", "differential-section"),
    ("bounds", "gear-section", "--state", "drained"),
    ("reconcile", "ferry-pinion-group"),
    ("move", "upper-half-lift", "--shop", "low-tarrowby"),
    ("move", "gear-section", "--state", "dry", "--scale", "402 kg", "--scale-doubt", "1 kg"),
    ("stand", "upper-half-lift", "--push-at", "800 mm"),
    ("stand", "turn-onto-front-face", "--face", "front-face", "--fixture", "ring-stand"),
    ("hands", "transfer-box", "--shop", "quay-shed-nine"),
    ("fixtures", "transfer-box"),
    ("pallets", "gear-case", "rear-cover", "--most", "300 kg"),
    ("shop", "low-tarrowby", "upper-half-lift"),
    ("shop", "quay-shed-nine", "whole-unit-lift", "--before", "low-tarrowby"),
]
NUMBER = r"-?\d[\d ]*(?:\.\d+)?"
SPAN = rf"{NUMBER}(?: (?:±|to) {NUMBER})?"
# A figure in kilograms or tonnes stands in brackets behind pounds, or has pounds in brackets behind it.
PAIRED = re.compile(rf"{NUMBER} kg / {NUMBER} lb|{SPAN} lb \({SPAN} kg\)|{SPAN} (?:kg|t) \({SPAN} lb\)")
LBS_FIRST = re.compile(rf"{SPAN} lb \({SPAN} kg\)")
KGS_FIRST = re.compile(rf"{SPAN} (?:kg|t) \({SPAN} lb\)")
ALONE = re.compile(rf"{NUMBER} (?:kg|lb|t)\b(?!/|²)")


@pytest.mark.slow
@pytest.mark.parametrize("words", QUESTIONS, ids=" ".join)
def test_no_mass_stands_in_one_unit_alone(run: Run, demo_db: Path, words: tuple[str, ...]) -> None:
    result = run(*words, "--unit", "lb", "--db", str(demo_db))

    assert result.exit_code == 0, result.stderr
    for line in result.stdout.splitlines():
        assert ALONE.findall(PAIRED.sub("", line)) == [], line
    assert LBS_FIRST.search(result.stdout) or words[0] == "joint"


@pytest.mark.slow
@pytest.mark.parametrize("words", QUESTIONS, ids=" ".join)
def test_sentences_in_json_have_the_unit_first_that_was_asked_for(
    run: Run, demo_db: Path, words: tuple[str, ...]
) -> None:
    """Of a sentence that stands there in both units each has its own: ``sentence_kg``, ``sentence_lb``."""
    for unit, other in (("lb", KGS_FIRST), ("kg", LBS_FIRST)):
        result = run(*words, "--unit", unit, "--json", "--db", str(demo_db))

        assert result.exit_code == 0, result.stderr
        for field, sentence in _sentences(json.loads(result.stdout)):
            assert not other.search(sentence) or field in ("sentence_kg", "sentence_lb"), (field, sentence)


def test_of_a_lift_and_a_reading_json_says_pounds_first(run: Run, demo_db: Path) -> None:
    for words in (("lift", "upper-half-lift"), ("reading", "upper-half-lift", "445 kg")):
        told = run(*words, "--unit", "lb", "--json", "--db", str(demo_db)).stdout
        assert [text for _, text in _sentences(json.loads(told)) if LBS_FIRST.search(text)], words


def _sentences(value: Any, field: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _sentences(item, key)
    elif isinstance(value, list):
        for item in value:
            yield from _sentences(item, field)
    elif isinstance(value, str):
        yield field, value


def test_every_command_that_takes_a_unit_is_asked() -> None:
    assert {name for name, command in _commands(main) if _takes_a_unit(command)} == {
        one[0] for one in QUESTIONS
    }


def _commands(group: click.Group, before: str = "") -> Iterator[tuple[str, click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if isinstance(command, click.Group):
            yield from _commands(command, f"{before}{name} ")
        elif command is not None:
            yield f"{before}{name}", command


def _takes_a_unit(command: click.Command) -> bool:
    return any("--unit" in option.opts for option in command.params)


def test_the_figures_that_are_worked_out_have_pounds_first(run: Run, demo_db: Path) -> None:
    told = run("lift", "upper-half-lift", "--unit", "lb", "--db", str(demo_db)).stdout

    for line in told.splitlines():
        if line.startswith(("Expected", "  look again", "  stop at", "IN: ", "Hook should")):
            assert re.search(r"\d lb \(", line), line
    assert "plate: 4409 lb (2000 kg)" in told
