"""`handling-db lighten`: from a folder and from a database alike, as text and JSON, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run

PARTED = ("lighten", "section-broken-loose-tarrowby", "--as-of", "2026-11-25")


@pytest.mark.slow
def test_from_the_database_and_from_the_folder_alike(run: Run, demo_db: Path, demo_folder: Path) -> None:
    by_file = run(*PARTED, "--db", str(demo_db))
    by_folder = run(*PARTED, "--from", str(demo_folder))

    assert by_file.exit_code == 0, by_file.output
    assert "at most 511 kg (1125 lb) with the share for breaking loose: OVER" in by_file.stdout
    assert "Parking brake caliper, then Rear output flange, then Parking brake disc off" in by_file.stdout
    assert by_folder.stdout == by_file.stdout


@pytest.mark.slow
def test_json_says_the_same(run: Run, demo_db: Path) -> None:
    told = json.loads(run(*PARTED, "--db", str(demo_db), "--json").stdout)

    assert told["fewest"] == 1
    assert told["proved"] is True
    assert told["limit"]["kg"] == 500.0
    assert told["now"]["asked_kg"] == pytest.approx(510.078, abs=2e-3)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("lighten", "gear-section"), "no limit is named and no hoist is recorded for it"),
        (("lighten", "gear-section", "--under", "500"), "'500' has no unit"),
        (
            ("lighten", "gear-section", "--under", "500kg", "--hands", "quay-shed-nine"),
            "write one limit, not 2",
        ),
    ],
)
def test_what_it_refuses(run: Run, demo_db: Path, words: tuple[str, ...], told: str) -> None:
    result = run(*words, "--db", str(demo_db))

    assert result.exit_code == 2
    assert told in result.stderr
