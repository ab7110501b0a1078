"""Spreadsheets in and out at the command line."""

from __future__ import annotations

import importlib
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

    assert done.exit_code == 2, "a row was refused"
    assert "row 3: taken without a mass: nobody wrote a mass" in done.stdout
    assert (
        "row 4: refused: quantity (cell C4): is missing; write how many there are; nothing is assumed for it"
        in done.stdout
    )
    assert done.stdout.endswith("list.csv: parts: 1 taken, 1 taken without a mass, 1 refused\n")
    assert "# D: 'Weight (lb)' is taken for mass" in done.stderr
    assert sorted(file.parent.glob("*")) == [file]
    assert "row 2: taken" in run("sheet", str(file), "--all").stdout


def test_nothing_is_written_of_a_sheet_of_which_a_row_was_refused(
    run: Run, file: Path, tmp_path: Path
) -> None:
    done = run("sheet", str(file), "--out", str(tmp_path / "records"), "--yes")

    assert done.exit_code == 2
    assert "rows of the sheet were refused, so nothing was written" in done.stderr
    assert not (tmp_path / "records").exists()


def test_a_mass_that_is_dropped_makes_the_status_2(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    for cell, status in (("?", 0), ("about 12", 2), ("12 ton", 2), ("0", 2), ("1.250", 2), ("12.5", 0)):
        file.write_text(f"Description,Qty,Weight each (kg),Assembly\nCase,1,{cell},Box\n")
        assert run("sheet", str(file)).exit_code == status, cell
        assert (run("check", str(file)).exit_code == 2) == (status == 2), cell
        assert (run("build", str(file), "-o", str(tmp_path / "x.db")).exit_code == 0) == (status == 0), cell


def test_the_decimal_sign_is_stated_once(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "liste.csv"
    file.write_text(
        "Benennung;Stück;Gewicht je Stück kg;Baugruppe\nGehäuse;1;1.250;Getriebe\nWelle;2;12,5;Getriebe\n"
    )
    told = "the decimal sign of this sheet is not stated, and '1.250' may be 1250 or 1.25; no figure of it was taken"

    for command in (("sheet",), ("check",), ("build", "-o", str(tmp_path / "x.db"))):
        done = run(command[0], str(file), *command[1:])
        assert done.exit_code == 2
        assert told in " ".join((done.stdout + done.stderr).split())

    out = tmp_path / "records"
    mapping = tmp_path / "columns.yml"
    mapping.write_text(run("sheet", str(file), "--decimal", "comma", "--show-mapping").stdout)
    assert "decimal: comma" in mapping.read_text(), "remembered in the mapping"
    assert run("sheet", str(file), "--mapping", str(mapping), "--out", str(out)).exit_code == 0
    components = read_collection([out]).collection.components
    assert components["gehäuse"].masses[0].printed.text == "1250 kg"
    assert components["welle"].masses[0].printed.text == "12.5 kg"
    file.write_text("Dezimalzeichen;Komma\n\n" + file.read_text())
    assert run("build", str(file), "-o", str(tmp_path / "x.db")).exit_code == 0, "stated in a cell"


def test_a_guess_has_to_be_confirmed_before_anything_is_written(run: Run, file: Path, tmp_path: Path) -> None:
    out = tmp_path / "records"
    file.write_text(LIST[: LIST.index("P-3")])

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
    file.write_text(LIST[: LIST.index("P-3")])
    mapping.write_text(run("sheet", str(file), "--show-mapping").stdout.replace("some", "all"))

    done = run("sheet", str(file), "--mapping", str(mapping), "--out", str(tmp_path / "records"))

    assert done.stderr == ""
    assert read_collection([tmp_path / "records"]).collection.components["box"].parts_listed == "all"
    mapping.write_text("table: parts\n")
    assert "columns: is missing; write 'columns:" in run("sheet", str(file), "--mapping", str(mapping)).stderr


def test_json_has_every_row_and_the_files(run: Run, file: Path) -> None:
    (found,) = json.loads(run("sheet", str(file), "--json").stdout)["sheets"]

    assert [row["fate"] for row in found["rows"]] == ["taken", "taken without a mass", "refused"]
    assert set(found["files"]) == {"components/list.yml", "sources/list.yml"}


@pytest.mark.slow
def test_the_template_is_written_once_and_read_without_a_mapping(run: Run, tmp_path: Path) -> None:
    openpyxl = importlib.import_module("openpyxl")
    file = tmp_path / "t.xlsx"
    assert run("template", str(file)).exit_code == 0
    assert "is there already" in run("template", str(file)).stderr
    assert "a template ends in .xlsx" in run("template", str(tmp_path / "t.ods")).stderr
    book = openpyxl.load_workbook(file)
    book["Parts"].append(["Case", "case", "box", None, "1", "12.5", None, "kg", None, None, None, None])
    book["Notes"].append(["case", "tie", "Look."])
    book.save(file)

    done = run("sheet", str(file), "--out", str(tmp_path / "records"))

    assert done.exit_code == 0, done.stdout
    collection = read_collection([tmp_path / "records"]).collection
    assert collection.components["case"].masses[0].printed.text == "12.5 kg"
    assert [note.text for note in collection.notes.values()] == ["Look."]


@pytest.mark.slow
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
    again = tmp_path / "again"
    assert run("export", str(tables), "-o", str(again)).exit_code == 0
    for file in tables.iterdir():
        assert (again / file.name).read_bytes() == file.read_bytes().replace(b'"tables"', b'"again"'), (
            file.name
        )
    assert run("build", str(tables), "-o", str(tmp_path / "t.db")).exit_code == 0


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
