"""`heavier` and `two-hooks`, as a person runs them."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.conftest import Run


def test_heavier_is_decided_though_a_part_is_not_weighed(run: Run, demo_db: Path) -> None:
    result = run("heavier", "gear-section", "rear half", "--db", str(demo_db))
    assert result.exit_code == 0
    assert result.stdout.startswith("Differential section is heavier than Gear section, by 45.8 to 65.7 kg")
    assert "Gear section (as listed, dry): 385.3 to 397.7 kg" in result.stdout


def test_heavier_of_two_known_pieces_and_of_lifts(run: Run, demo_db: Path) -> None:
    result = run("heavier", "rear-cover", "parking-brake", "--db", str(demo_db))
    assert result.stdout.startswith("Parking brake is heavier than Rear cover, by 0.4 to 1.8 kg")
    words = ("heavier", "upper-half-lift", "planet-differential", "--json", "--db", str(demo_db))
    told = json.loads(run(*words).stdout)
    assert told["heavier"] == "first"
    assert told["first"]["low_kg"] > 369


def test_two_hooks(run: Run, demo_folder: Path) -> None:
    words = ("--head", "cover-ear-90", "--tail", "cover-ear-210", "--from", str(demo_folder))
    result = run("two-hooks", "upper-half-lift", *words)
    assert result.exit_code == 0
    assert result.stdout.startswith("Job qsn-1187: still in 4 x through-bolts M10")
    assert "the tail hook is slack from 56°" in result.stdout
    assert " -" not in result.stdout.split("raised")[1].split("Figures, not permission")[0]
