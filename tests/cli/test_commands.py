"""check, build, find, notes, schema, demo and serve, as a person runs them."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import textwrap
import time
import urllib.request
from pathlib import Path

import pytest

from tests.cli.conftest import Run


def test_check_demo_disagrees_with_words_at_the_end(run: Run, demo_folder: Path) -> None:
    result = run("check", str(demo_folder), "--as-of", "2026-11-25")
    assert result.exit_code == 1
    (about,) = [
        line
        for line in result.stdout.splitlines()
        if "disagrees" in line and "differential-section.yml" in line
    ][:1]
    assert "415.0 to 419.6 kg" in about
    assert result.stdout.splitlines()[-1].strip()
    assert "safe" not in result.stdout.lower()


def test_check_reports_ten_faults_in_three_files_in_one_run(run: Run, tmp_path: Path) -> None:
    """Ten faults in three files, each with its line."""
    (tmp_path / "one.yml").write_text(
        textwrap.dedent(
            """\
            component: case
            name: case
            kind: part
            masses:
              - {printed: 12 1/2 ton, source: scale}
              - {printed: "840#", source: scale}
              - {printed: 1 000 kg, source: scale}
            colour: red
            """
        )
    )
    (tmp_path / "two.yml").write_text(
        textwrap.dedent(
            """\
            - component: unit
              name: unit
              kind: assembly
              parts:
                - {component: case}
                - {component: case, quantity: 0}
            - source: scale
              name: scale
              kind: weighed
              name: twice
            """
        )
    )
    (tmp_path / "three.yml").write_text(
        textwrap.dedent(
            """\
            - {note: n1, about: {component: case}, kind: tie, text: x, told by: shop, author: fitter,
               on: 1/2/2026, status: draft}
            - {weighing: w1, of: case, gross: 5 kg, source: scale, on: 2026-01-01, by: fitter}
            - {widget: w}
            """
        )
    )
    result = run("check", str(tmp_path))
    assert result.exit_code == 2
    faults = [line for line in result.stdout.splitlines() if line.startswith(str(tmp_path))]
    places = [line.split(": ")[0].removeprefix(f"{tmp_path}{os.sep}") for line in faults]
    assert [p for p in places if p.startswith("one")] == ["one.yml:5", "one.yml:6", "one.yml:7", "one.yml:8"]
    assert [p for p in places if p.startswith("two")] == ["two.yml:5", "two.yml:6", "two.yml:10"]
    assert [p for p in places if p.startswith("three")] == ["three.yml:2", "three.yml:3", "three.yml:4"]


def test_check_json(run: Run, demo_folder: Path) -> None:
    result = run("check", str(demo_folder), "--json")
    told = json.loads(result.stdout)
    assert told["exit_status"] == result.exit_code == 1
    assert {"rule", "verdict", "about", "sentence", "remedy", "file", "line"} <= set(told["findings"][0])


def test_check_status_when_something_cannot_be_checked(run: Run, tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_text("component: pump\nname: pump\nkind: part\n")
    assert run("check", str(tmp_path)).exit_code == 3


def test_check_status_when_nothing_is_to_be_said(run: Run, tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_text(
        "- {source: s, name: s, kind: weighed, instrument: {name: s, step: 0.5 kg}}\n"
        "- component: pump\n  name: pump\n  kind: part\n  masses: [{printed: 5.0 kg, step: 0.5 kg, source: s}]\n"
    )
    result = run("check", str(tmp_path))
    assert result.exit_code == 0, result.stdout


def test_check_wrong_date(run: Run, tmp_path: Path) -> None:
    result = run("check", str(tmp_path), "--as-of", "today")
    assert result.exit_code == 2
    assert "write year-month-day" in result.stderr


def test_check_nothing_there(run: Run, tmp_path: Path) -> None:
    result = run("check", str(tmp_path / "none"))
    assert result.exit_code == 2
    assert "no such file or folder" in result.stderr


def test_build_refuses_faults_and_leaves_the_old_file(run: Run, tmp_path: Path, home: Path) -> None:
    good = tmp_path / "good.yml"
    good.write_text("component: pump\nname: pump\nkind: part\n")
    assert run("build", str(good)).exit_code == 0
    before = (home / "handling.db").read_bytes()
    bad = tmp_path / "bad.yml"
    bad.write_text("component: pump\nname: pump\nkind: thing\n")
    result = run("build", str(bad))
    assert result.exit_code == 2
    assert f"{bad}:3: kind:" in result.stderr
    assert (home / "handling.db").read_bytes() == before


def test_build_from_a_table(run: Run, tmp_path: Path) -> None:
    table = tmp_path / "parts.csv"
    table.write_text("parent,child,quantity,mass,unit\n,unit,,,\nunit,case,1,100.0,kg\nunit,pin,5,1.5,kg\n")
    assert run("build", str(table)).exit_code == 0
    result = run("weight", "unit")
    assert result.exit_code == 0
    assert "107.5" in result.stdout


def test_find(run: Run, demo_db: Path) -> None:
    result = run("find", "rear half", "--db", str(demo_db))
    assert result.exit_code == 0
    assert "differential-section" in result.stdout
    assert not [sign for sign in result.stdout if not sign.isprintable() and sign != "\n"]
    assert run("find", "zzzz", "--db", str(demo_db)).exit_code == 1


@pytest.mark.parametrize(
    "text", ['"', "NEAR(", "x:y", "*", "'; drop table", "“curly”", "🙂", "a" * 500, "-", " "]
)
def test_find_never_fails(run: Run, demo_db: Path, text: str) -> None:
    assert run("find", "--db", str(demo_db), "--", text).exit_code in (0, 1)


def test_notes_stored_energy_first(run: Run, demo_db: Path) -> None:
    result = run("notes", "transfer-box", "--db", str(demo_db))
    assert result.exit_code == 0
    told = [line for line in result.stdout.splitlines() if not line.startswith("job ")]  # units in hand first
    assert told[0].startswith("STORED ENERGY")


def test_notes_json(run: Run, demo_db: Path) -> None:
    notes = json.loads(run("notes", "--kind", "tie", "--json", "--db", str(demo_db)).stdout)["notes"]
    assert notes
    assert {"id", "kind", "text", "status", "author"} <= set(notes[0])


@pytest.mark.slow
def test_schema(run: Run) -> None:
    assert "component" in json.loads(run("schema").stdout)
    one = json.loads(run("schema", "weighing").stdout)
    assert "of" in one["properties"]
    assert run("schema", "widget").exit_code == 2


@pytest.mark.slow
def test_demo_without_serving(run: Run, tmp_path: Path) -> None:
    result = run("demo", str(tmp_path / "try"), "--no-serve")
    assert result.exit_code == 0, result.stderr
    assert "Plan with 452 kg (995 lb)" in result.stdout
    assert "The checker:" in result.stdout
    assert (tmp_path / "try" / "handling.db").exists()


@pytest.mark.slow
def test_look_ups_use_the_demo_and_say_so(run: Run) -> None:
    assert run("demo", "--no-serve").exit_code == 0
    result = run("weight", "transfer-box")
    assert result.exit_code == 0
    assert "invented" in result.stderr


@pytest.mark.slow
def test_serve_says_the_address_answers_and_stops(demo_db: Path) -> None:
    code = "from handling_db.cli import main; main()"
    server = subprocess.Popen(
        [sys.executable, "-c", code, "serve", "--db", str(demo_db), "--port", "0"],
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert server.stderr is not None
        told = server.stderr.readline()
        assert told.startswith("Read it at http://127.0.0.1:")
        address = told.split()[3]
        for _ in range(100):
            try:
                with urllib.request.urlopen(address, timeout=5) as answer:
                    assert b"Figures, not permission" in answer.read()
                break
            except OSError:
                time.sleep(0.1)
        else:
            pytest.fail("the server did not answer")
    finally:
        server.send_signal(signal.SIGINT)
        assert server.wait(timeout=15) in (0, 130, -2)


def test_pipe_that_closes_early_is_no_error(demo_db: Path) -> None:
    code = "from handling_db.cli import main; main()"
    command = f'{sys.executable} -c "{code}" notes --db {demo_db} | head -n 1'
    done = subprocess.run(["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True)
    assert "Traceback" not in done.stderr


def test_a_component_in_a_record_and_in_a_table_is_told_and_not_lost(run: Run, tmp_path: Path) -> None:
    (tmp_path / "housing.yml").write_text("component: housing\nname: Housing\nkind: part\n")
    (tmp_path / "parts.csv").write_text("parent,child,quantity,mass,unit\n,housing,,50,kg\n")
    result = run("check", str(tmp_path / "housing.yml"), str(tmp_path / "parts.csv"))
    assert result.exit_code in (1, 2)
    assert [line for line in result.stdout.splitlines() if "housing" in line and "parts.csv:2" in line]
