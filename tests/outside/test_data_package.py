"""The exported package against the frictionless library, which reads descriptor and tables by its own rules."""

from __future__ import annotations

from pathlib import Path

import frictionless

from handling_db.files.folders import read_collection
from handling_db.tables.exports.package_out import package_files

DEMO = Path(__file__).parents[2] / "data" / "demo"


def write(tmp_path, **changed):
    files = {**package_files(read_collection([DEMO]).collection, name="demo"), **changed}
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    return frictionless.Package(str(tmp_path / "datapackage.json"))


def test_the_descriptor_and_every_table_are_valid(tmp_path):
    write(tmp_path)

    report = frictionless.validate(str(tmp_path / "datapackage.json"))

    assert report.flatten(["type", "message"]) == []
    assert report.stats["tasks"] > 10


def test_a_broken_table_would_be_found(tmp_path):
    write(tmp_path)
    totals = (tmp_path / "totals.csv").read_bytes().replace(b"true", b"perhaps", 1)
    (tmp_path / "totals.csv").write_bytes(totals)

    report = frictionless.validate(str(tmp_path / "datapackage.json"))

    assert "type-error" in {row[0] for row in report.flatten(["type"])}


def test_the_figures_read_back_as_numbers(tmp_path):
    package = write(tmp_path)

    rows = {(row["component"], row["state"]): row for row in package.get_resource("totals").read_rows()}

    section = rows["differential-section", "dry"]
    assert section["complete"] is True
    assert round(float(section["best_kg"]), 1) == 447.2
    assert rows["transfer-box", "dry"]["high_kg"] is None
