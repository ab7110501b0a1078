"""The commands about moving, from a folder and from a database file, as text and as JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run

COMMANDS = [
    (("move", "upper-half-lift"), "Gross: plan with 415 kg (915 lb)"),
    (("move", "gear-section", "--state", "dry"), "plan with 398 kg (877 lb)"),
    (("stand", "upper-half-lift"), "best figures, level floor: 52.9°"),
    (("hands", "transfer-box", "--shop", "quay-shed-nine"), "May be above the limit: 1"),
    (("fixtures", "gear-section"), "seen in use, no rating"),
    (("fixtures",), "Ring stand, made in the shop"),
    (("shop", "low-tarrowby", "section-off-the-truck"), "510 kg (1123 lb) beside 500 kg (1102 lb): above"),
    (("pallets",), "600 kg (1323 lb) load spread any"),
    (
        ("pallets", "gear-case", "auxiliary-drive", "--most", "200 kg"),
        "gear-case, auxiliary-drive: up to 190.3 kg (419.5 lb)",
    ),
]


@pytest.mark.parametrize(("words", "told"), COMMANDS)
def test_from_the_database_and_from_the_folder_alike(
    run: Run, demo_db: Path, demo_folder: Path, words: tuple[str, ...], told: str
) -> None:
    by_file = run(*words, "--db", str(demo_db))
    by_folder = run(*words, "--from", str(demo_folder))
    assert by_file.exit_code == 0, by_file.output
    assert told in by_file.stdout
    assert by_folder.stdout == by_file.stdout


@pytest.mark.parametrize(("words", "told"), COMMANDS)
def test_json_is_json(run: Run, demo_db: Path, words: tuple[str, ...], told: str) -> None:
    result = run(*words, "--db", str(demo_db), "--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout)


def test_unknown_mass_is_null(run: Run, tmp_path: Path) -> None:
    """One part that nobody weighed, and no whole around it that would leave it a range."""
    table = tmp_path / "rig.csv"
    table.write_text("parent,child,quantity,mass,unit\n,rig,1,,\nrig,frame,1,60.0,kg\nrig,arm,1,,\n")
    answer = json.loads(run("move", "rig", "--state", "dry", "--from", str(table), "--json").stdout)
    assert answer["gross"]["high"] is None
    assert answer["lines"][0]["load"]["high"] is None


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("move", "nonsense"), "Lift groups recorded: "),
        (("move", "upper-half-lift", "--lift-height", "300"), "lift height '300'"),
        (("move", "upper-half-lift", "--assume", "pump"), "write PART=LOW to HIGH"),
        (("hands", "output-gear", "--reach", "40"), "the index needs --duration and --grip too"),
        (("pallets", "gear-case"), "say the limit: --pallet ID, or --most MASS"),
        (("shop", "nowhere", "upper-half-lift"), "there is no shop 'nowhere'"),
    ],
)
def test_what_cannot_be_answered_is_said_in_one_sentence(
    run: Run, demo_db: Path, words: tuple[str, ...], told: str
) -> None:
    result = run(*words, "--db", str(demo_db))
    assert result.exit_code == 2
    assert told in result.stderr
    assert result.stdout == ""


def test_a_folder_with_faults_is_not_answered_from(run: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.yml").write_text("- pallet: x\n  name: X\n  kind: raft\n")
    result = run("pallets", "--from", str(tmp_path))
    assert result.exit_code == 2
    assert "correct them first" in result.stderr
    assert "bad.yml:3: kind:" in result.stderr
