"""Recorded choices at the terminal: `weight` says who chose, `check` who has an open question, and since when."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.from_text import SCALE
from tests.weights.test_choices import CHOICE, PUMP


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    found = tmp_path / "records"
    found.mkdir()
    return found


def fill(folder: Path, choice: str) -> Path:
    (folder / "pump.yml").write_text(f"{SCALE}{PUMP}{CHOICE % choice}\n")
    return folder


def test_weight_says_who_chose_when_and_why(run: Run, folder: Path, tmp_path: Path) -> None:
    db = tmp_path / "x.db"
    assert run("build", str(fill(folder, "statement: weighed")), "--out", str(db)).exit_code == 0
    result = run("weight", "pump", "--db", str(db))
    assert result.stdout.splitlines()[0] == "Plan with 40.5 kg (89.3 lb)"
    assert "40.0 kg chosen by foreman on 2026-11-01: Another pump was on the scale" in result.stdout
    told = json.loads(run("weight", "pump", "--state", "dry", "--json", "--db", str(db)).stdout)
    assert told["states"][0]["chosen"].startswith("40.0 kg chosen by foreman on 2026-11-01")


def test_an_open_question_plans_with_the_larger_figure(run: Run, folder: Path, tmp_path: Path) -> None:
    db = tmp_path / "x.db"
    fill(folder, "owner: fitter, settle by: 2026-11-30")
    assert run("build", str(folder), "--out", str(db)).exit_code == 0
    told = json.loads(run("weight", "pump", "--state", "dry", "--json", "--db", str(db)).stdout)
    assert (told["states"][0]["plan_kg"], told["states"][0]["chosen"]) == (47, None)


def test_check_names_who_has_it_and_is_overdue_by_the_day_only(run: Run, folder: Path) -> None:
    fill(folder, "owner: fitter, settle by: 2026-11-30")
    before = run("check", str(folder), "--as-of", "2026-11-30", "--all").stdout
    after = run("check", str(folder), "--as-of", "2026-12-01", "--all").stdout
    assert "It is with fitter until 2026-11-30." in before
    assert "were to be settled by 2026-11-30 by fitter" not in before
    assert "were to be settled by 2026-11-30 by fitter" in after


def test_a_choice_about_what_is_not_there_stops_the_build(run: Run, folder: Path, tmp_path: Path) -> None:
    (folder / "pump.yml").write_text(
        SCALE + PUMP + (CHOICE % "statement: weighed").replace("component: pump", "component: pmp")
    )
    result = run("build", str(folder), "--out", str(tmp_path / "x.db"))
    assert result.exit_code != 0
    assert "there is no component 'pmp'; correct the id, or take the choice out." in result.output
    assert not (tmp_path / "x.db").exists()
