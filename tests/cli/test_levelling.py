"""`level` and `tilt`, as a person runs them."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.conftest import Run


def test_level(run: Run, demo_folder: Path) -> None:
    result = run("level", "upper-half-lift", "--from", str(demo_folder))
    assert result.exit_code == 0
    assert "make it 900 mm" in result.output
    assert "Figures, not permission." in result.output
    low = run("level", "upper-half-lift", "--hook", "800 mm", "--from", str(demo_folder), "--json")
    assert json.loads(low.output)["hook_over_centre_m"] == 0.8


def test_tilt(run: Run, demo_folder: Path) -> None:
    result = run("tilt", "upper-half-with-brake", "3.5 deg", "--low", "left", "--from", str(demo_folder))
    assert result.exit_code == 0
    assert "the centre of gravity is plumb under the hook: on the line through" in result.output
    assert "inside the doubt of both" in result.output
    wrong = run("tilt", "upper-half-with-brake", "3.5 kg", "--low", "left", "--from", str(demo_folder))
    assert wrong.exit_code != 0
    assert "kg" in wrong.output
    steep = run("tilt", "upper-half-with-brake", "95 deg", "--low", "left", "--from", str(demo_folder))
    assert steep.exit_code == 2
    assert "write one of: mm" not in steep.output


def test_one_point_twice_is_refused(run: Run, demo_folder: Path) -> None:
    twice = ("--point", "cover-ear-90", "--point", "cover-ear-90=900 mm")
    result = run("legs", "upper-half-lift", *twice, "--from", str(demo_folder))

    assert result.exit_code == 2
    assert "'cover-ear-90' is given twice" in result.output
