"""Spreadsheets in and out at the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from handling_db.files.folders import data_folder, read_collection
from tests.cli.conftest import Run

LIST = "Part no,Description,Qty,Weight (lb),Assembly\nP-1,Case,1,348,Box\nP-2,Bolt,14,?,Box\nP-3,Pin,,1,Box\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "list.csv"
    file.write_text(LIST)
    return file


def test_a_dry_run_says_what_becomes_of_every_row_and_writes_nothing(run: Run, file: Path) -> None:
    done = run("sheet", str(file))

    assert done.exit_code == 1
    assert "row 3: taken without a mass: nobody wrote a mass" in done.stdout
    assert "row 4: refused: quantity (cell C4): is missing; write how many there are" in done.stdout
    assert done.stdout.endswith("list.csv: parts: 1 taken, 1 taken without a mass, 1 refused\n")
    assert "# D: 'Weight (lb)' is taken for mass" in done.stderr
    assert sorted(file.parent.glob("*")) == [file]
    assert "row 2: taken" in run("sheet", str(file), "--all").stdout


def test_a_guess_has_to_be_confirmed_before_anything_is_written(run: Run, file: Path, tmp_path: Path) -> None:
    out = tmp_path / "records"

    refused = run("sheet", str(file), "--out", str(out))
    assert refused.exit_code == 2
    assert "the columns are a guess: confirm them with --yes" in refused.stderr
    assert not out.exists()

    done = run("sheet", str(file), "--out", str(out), "--yes")
    assert f"written: {out / 'components' / 'list.yml'}" in done.stdout
    assert read_collection([out]).collection.components["case"].masses[0].printed.text == "348 lb"
    assert "is there already; move it away" in run("sheet", str(file), "--out", str(out), "--yes").stderr


def test_a_mapping_file_confirms_too(run: Run, file: Path, tmp_path: Path) -> None:
    mapping = tmp_path / "columns.yml"
    mapping.write_text(run("sheet", str(file), "--show-mapping").stdout.replace("some", "all"))

    done = run("sheet", str(file), "--mapping", str(mapping), "--out", str(tmp_path / "records"))

    assert done.stderr == ""
    assert read_collection([tmp_path / "records"]).collection.components["box"].parts_listed == "all"
    mapping.write_text("table: parts\n")
    assert "columns: is missing; write 'columns:" in run("sheet", str(file), "--mapping", str(mapping)).stderr


def test_json_has_every_row_and_the_files(run: Run, file: Path) -> None:
    (found,) = json.loads(run("sheet", str(file), "--json").stdout)

    assert [row["fate"] for row in found["rows"]] == ["taken", "taken without a mass", "refused"]
    assert set(found["files"]) == {"components/list.yml", "sources/list.yml"}


def test_the_template_is_written_once_and_read_without_a_mapping(run: Run, tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    file = tmp_path / "t.xlsx"
    assert run("template", str(file)).exit_code == 0
    assert "is there already" in run("template", str(file)).stderr
    assert "a template ends in .xlsx" in run("template", str(tmp_path / "t.ods")).stderr
    book = openpyxl.load_workbook(file)
    book["Parts"].append(["Case", "case", "box", None, "1", "12.5", None, "kg"])
    book["Notes"].append(["case", "tie", "Look."])
    book.save(file)

    done = run("sheet", str(file), "--out", str(tmp_path / "records"))

    assert done.exit_code == 0, done.stdout
    collection = read_collection([tmp_path / "records"]).collection
    assert collection.components["case"].masses[0].printed.text == "12.5 kg"
    assert [note.text for note in collection.notes.values()] == ["Look."]


def test_export_of_one_component_and_of_everything(run: Run, tmp_path: Path) -> None:
    demo = str(data_folder() / "demo")
    for ending in ("csv", "xlsx", "html"):
        out = tmp_path / f"section.{ending}"
        done = run("export", demo, "--component", "differential-section", "-o", str(out))
        assert done.exit_code == 0, done.stderr
        assert out.stat().st_size > 1000
        assert "is there already" in run("export", demo, "--component", "gear-section", "-o", str(out)).stderr
    assert "447.2" in (tmp_path / "section.csv").read_text("utf-8-sig")

    tables = tmp_path / "tables"
    assert run("export", demo, "-o", str(tables)).stdout.startswith(f"{tables}: ")
    assert (tables / "datapackage.json").is_file()


def test_export_says_what_it_cannot_do(run: Run, tmp_path: Path) -> None:
    demo = str(data_folder() / "demo")

    assert (
        "a component is written as one of: .csv, .xlsx, .html"
        in run("export", demo, "--component", "gear-section", "-o", "x.pdf").stderr
    )
    assert (
        "there is no component 'x' here"
        in run("export", demo, "--component", "x", "-o", str(tmp_path / "x.csv")).stderr
    )
    (tmp_path / "bad.yml").write_text("component: a\n")
    bad = run("export", str(tmp_path / "bad.yml"), "-o", str(tmp_path / "out"))
    assert "the records have faults; put them right first" in bad.stderr
    assert not (tmp_path / "out").exists()
