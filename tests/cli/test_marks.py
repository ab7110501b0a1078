"""What came from elsewhere is marked in every answer at the terminal until somebody here has reviewed it."""

from __future__ import annotations

import datetime
import json
import random
import shutil
from pathlib import Path

import pytest

from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import take
from tests.attacks.parcels import LOCAL, SCALE, own_tree, parcel
from tests.cli.conftest import Run
from tests.sharing.received import received

NOTE_ON_OURS = {
    "note": "pump-note", "about": {"component": "pump"}, "kind": "stored energy", "text": "The pump holds pressure.",
    "told by": "shop", "author": "fitter", "on": "2026-11-20", "status": "draft",
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return received(tmp_path / "own", NOTE_ON_OURS)


@pytest.fixture
def database(folder: Path, run: Run) -> str:
    file = folder.parent / "own.db"
    assert run("build", str(folder), "-o", str(file)).exit_code == 0
    return str(file)


OURS = "! not yet reviewed: component their-unit, from far-shed (not signed)"


@pytest.mark.parametrize(
    "words",
    [("weight", "their-unit"), ("why", "their-unit"), ("bounds", "their-unit"), ("reconcile", "their-unit"),
     ("explain", "their-unit"), ("move", "their-unit"), ("hands", "their-unit"), ("fixtures", "their-unit"),
     ("stand", "their-unit"), ("notes", "their-unit"), ("heavier", "their-unit", "bolt")],
    ids=lambda words: words[0],
)  # fmt: skip
def test_every_answer_about_theirs_is_marked(words: tuple[str, ...], run: Run, database: str) -> None:
    """No answer at the terminal said it."""
    told = run(*words, "--db", database)
    assert OURS in told.stdout.splitlines(), told.output

    as_json = json.loads(run(*words, "--db", database, "--json").stdout)
    if isinstance(as_json, dict):
        assert OURS.removeprefix("! ") in as_json["not_reviewed"]


def test_a_figure_that_waits_is_in_no_sum_and_lifts_the_plan_marked(run: Run, folder: Path) -> None:
    """Their scale says half a tonne for a part of 310 kg: our figure stands, beside the plan is the one without."""
    before = run("weight", "rear-case", "--from", str(folder), "--json").stdout
    heavy = {
        "weighing": "their-weighing", "of": "rear-case", "gross": "520 kg", "tare": "none", "checked by": "fitter",
        "plus or minus": "1 kg", "state": "dry", "source": "their-scale", "on": "2026-11-20", "by": "fitter",
    }  # fmt: skip
    sent = parcel(folder.parent / "heavy.zip", [own_tree(random.Random(1))[0], heavy], sender="mill")
    take(folder, open_parcel(sent).parcel, datetime.date(2026, 11, 25))

    told = run("weight", "rear-case", "--from", str(folder)).stdout.splitlines()
    after = json.loads(run("weight", "rear-case", "--from", str(folder), "--json").stdout)

    line = "waits for review and is in no sum: weighing their-weighing, from mill (not signed): it says Rear case 520 kg"
    line += "; with it plan with 521 kg (1149 lb), without it 311 kg (685 lb)"
    assert told[0] == f"! {line}"
    assert after.pop("waiting") == [line]
    for one, two in zip(after["states"], json.loads(before)["states"], strict=True):
        assert {word: one[word] for word in ("best_kg", "low_kg", "high_kg")} == {
            word: two[word] for word in ("best_kg", "low_kg", "high_kg")
        }
        assert (one["plan_kg"], one["plan_without_kg"]) == (521, two["plan_kg"])
        assert one["plan_lifted_by"] == "Rear case 520 kg, from mill (not signed), waits for review"


def waiting_for(run: Run, folder: Path, code: str) -> str:
    told = json.loads(run("weight", code, "--from", str(folder), "--json").stdout)
    return " ".join(one for one in told.get("waiting", []) if "their-weighing" in one)


@pytest.mark.parametrize(
    ("kg", "lifts"),
    [(520, {"rear-case": "521 kg (1149 lb)", "rear-section": "569 kg (1253 lb)"}), (95, {}), (310, {})],
)
def test_a_figure_that_waits_lifts_only_its_own_piece_and_those_above(
    kg: int, lifts: dict[str, str], run: Run, folder: Path
) -> None:
    """Heavier: marked, for the piece and what holds it. Lighter or the same: nothing, and nothing beside it."""
    figure = {"printed": f"{kg} kg", "plus or minus": "1 kg", "source": "their-scale"}
    version = {"component": "rear-case", "name": "Rear case", "kind": "part", "masses": [figure]}
    weighing = {
        "weighing": "their-weighing", "of": "rear-case", "gross": f"{kg} kg", "tare": "none", "checked by": "fitter",
        "plus or minus": "1 kg", "state": "dry", "source": "their-scale", "on": "2026-11-20", "by": "fitter",
        "replaces": "whole-unit",
    }  # fmt: skip
    sent = parcel(
        folder.parent / "heavy.zip", [own_tree(random.Random(1))[0], weighing, version], sender="mill"
    )
    take(folder, open_parcel(sent).parcel, datetime.date(2026, 11, 25))

    for code in ("rear-case", "rear-section", "front-section", "carrier"):
        told = waiting_for(run, folder, code)
        if code in lifts:
            assert f"; with it plan with {lifts[code]}, without it " in told
        else:
            assert "with it plan with" not in told


def test_the_same_from_a_folder(run: Run, folder: Path) -> None:
    assert OURS in run("weight", "their-unit", "--from", str(folder)).stdout.splitlines()


@pytest.mark.parametrize(
    "words",
    [("lift", "rear-up"), ("move", "rear-section"), ("hands", "rear-up"), ("fixtures", "rear-section"),
     ("shop", "quay", "rear-up"), ("steps", "box-apart"), ("lighten", "rear-up")],
    ids=lambda words: words[0],
)  # fmt: skip
def test_a_figure_that_waits_is_told_alike_from_records_and_from_a_database(
    words: tuple[str, ...], run: Run, tmp_path: Path
) -> None:
    """Out of a database it lifted no plan but that of a look-up; hands, fixtures and jobs said no plan without it."""
    folder = tmp_path / "own"
    folder.mkdir()
    shutil.copy(LOCAL, folder / "local.yml")
    version = {"component": "carrier", "name": "Carrier", "kind": "part",
               "masses": [{"printed": "700 kg", "plus or minus": "0.1 kg", "source": "their-scale"}]}  # fmt: skip
    opened = open_parcel(parcel(tmp_path / "sent.zip", [SCALE, version])).parcel
    assert opened is not None
    take(folder, opened, datetime.date(2026, 11, 25))
    assert run("build", str(folder), "-o", str(tmp_path / "own.db")).exit_code == 0

    told = run(*words, "--db", str(tmp_path / "own.db")).stdout

    assert told == run(*words, "--from", str(folder)).stdout
    piece = "Carrier: with it plan with 701 kg" if words[0] == "steps" else "with it plan with 1011 kg"
    assert piece in told.splitlines()[0]
    assert ", without it " in told.splitlines()[0]


def test_what_lifts_a_plan_stands_before_whatever_else_was_sent(run: Run, tmp_path: Path) -> None:
    """Ten idle figures before it left the one that lifts the plan without its figure beside."""
    folder = tmp_path / "own"
    folder.mkdir()
    shutil.copy(LOCAL, folder / "local.yml")
    idle = [
        {"weighing": f"a-{number}", "of": "front-case", "gross": f"{number + 1} kg", "tare": "none",
         "checked by": "fitter", "plus or minus": "0.1 kg", "state": "dry", "source": "their-scale",
         "on": "2026-11-20", "by": "fitter"}
        for number in range(10)
    ]  # fmt: skip
    heavy = {**idle[0], "weighing": "z-heavy", "of": "carrier", "gross": "700 kg"}
    opened = open_parcel(parcel(tmp_path / "sent.zip", [SCALE, *idle, heavy])).parcel
    assert opened is not None
    take(folder, opened, datetime.date(2026, 11, 25))

    told = run("weight", "drive-box", "--from", str(folder)).stdout.splitlines()

    assert "weighing z-heavy" in told[0]
    assert "with it plan with" in told[0]
    assert len([line for line in told if "weighing a-" in line]) < 10


def test_an_answer_about_ours_says_what_waits_and_nothing_else(run: Run, database: str) -> None:
    told = run("weight", "front-section", "--db", database).stdout.splitlines()

    assert told[0] == "! waits for review and is in no sum: note pump-note, from far-shed (not signed)"
    assert not [line for line in told if "not yet reviewed" in line]
    assert "!" not in run("weight", "rear-section", "--db", database).stdout.splitlines()[0]


def test_what_is_found_says_where_it_came_from(run: Run, database: str) -> None:
    (line,) = [
        one
        for one in run("find", "their unit", "--db", database).stdout.splitlines()
        if " their-unit " in one
    ]
    assert line.endswith("from far-shed (not signed), not yet reviewed")


def test_after_review_nothing_is_marked(run: Run, folder: Path) -> None:
    (folder.parent / "d.yml").write_text(
        "- {decision: accept, from shop: far-shed, by: foreman, reason: Seen.}\n"
    )
    assert run("parcel", "review", str(folder), "--decisions", str(folder.parent / "d.yml")).exit_code == 0

    told = run("weight", "their-unit", "--from", str(folder)).stdout

    assert "reviewed" not in told


def test_what_is_too_much_is_counted() -> None:
    from handling_db.sharing.marked import Marks

    lines = Marks(tuple(f"s{i}" for i in range(11)), ("w",)).lines()

    assert lines[7:] == ("! s7", "! and 3 more: handling-db parcel review", "! w")
