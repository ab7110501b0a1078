"""Exports: what is not known is never a zero, texts stay texts, and the page needs nothing else."""

from __future__ import annotations

import csv
import importlib
import io
import json
import re
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path

import pytest

from handling_db.errors import UnknownNameError
from handling_db.files.folders import read_collection
from handling_db.files.reading import read_texts
from handling_db.lookup.listing import listing
from handling_db.lookup.weight import answer
from handling_db.tables.exports.package_out import package_files
from handling_db.tables.exports.sheet_out import (
    HEADS,
    csv_of,
    html_of,
    rows_of,
    xlsx_of,
)
from handling_db.tables.text.quiet import quiet

DEMO = Path(__file__).parents[3] / "data" / "demo"


def table(demo, code="transfer-box", state="dry"):
    rows = rows_of(listing(demo, code, state))
    return [dict(zip(HEADS, row, strict=True)) for row in rows]


def test_every_line_once_parents_first(demo):
    rows = table(demo)

    assert len(rows) == 59
    assert [row["id"] for row in rows[:3]] == ["transfer-box", "gear-section", "gear-case"]
    seen = {""}
    for row in rows:
        assert row["goes into"] in seen
        seen.add(row["id"])
    planet = next(row for row in rows if row["id"] == "planet-gear")
    assert (planet["quantity"], planet["pieces in all"], planet["one weighs kg"]) == ("5", "5", "2.40")


def test_what_nobody_knows_is_an_empty_cell_and_makes_its_wholes_at_least(demo):
    rows = {row["id"]: row for row in table(demo)}

    drive = rows["auxiliary-drive"]
    assert [drive[head] for head in HEADS[8:12]] == ["", "", "", ""]
    assert drive["what the figure is"] == "not known"
    whole = rows["transfer-box"]
    assert (whole["one weighs kg"], whole["lowest kg"], whole["highest kg"]) == ("819.5", "812.3", "")
    assert whole["what the figure is"] == "at least"


def test_limits_are_rounded_to_the_careful_side(demo):
    for line, row in zip(
        listing(demo, "transfer-box", "dry"), rows_of(listing(demo, "transfer-box", "dry")), strict=True
    ):
        if line.known and line.complete:
            assert Fraction(row[9]) <= line.low
            assert Fraction(row[10]) >= line.high


def test_the_lines_of_one_level_sum_to_their_whole(demo):
    """An independent sum over the exported exact figures, level by level."""
    lines = listing(demo, "differential-section", "dry")
    total = sum(
        (line.best * line.quantity for line in lines if line.goes_into == "differential-section"),
        start=Fraction(0),
    )

    assert total == lines[0].best


def test_csv_reads_back_and_holds_no_formula(demo):
    data = csv_of(("a", "b"), [["=1+1", "x"], ["+a", "@y"], ["-3", "-b"], ["'=c", "plain"]])

    assert data.startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    assert rows == [["a", "b"], ["'=1+1", "x"], ["'+a", "'@y"], ["-3", "'-b"], ["''=c", "plain"]]
    assert quiet("gear-case") == "gear-case"


def test_xlsx_has_numbers_as_numbers_and_texts_as_texts():
    openpyxl = importlib.import_module("openpyxl")
    text = "- {source: s, name: S, kind: weighed}\n- {component: a, name: '=cmd()', kind: part, masses: [{printed: 12.50 kg, plus or minus: 0.02 kg, source: s}]}\n"
    collection = read_texts(
        [("a.yml", text), ("k.yml", (DEMO.parent / "reference" / "source-kinds.yml").read_text())]
    ).collection

    book = openpyxl.load_workbook(
        io.BytesIO(xlsx_of(collection, answer(collection, "a"), listing(collection, "a", "dry"), "dry"))
    )

    cells = {head: book["List"].cell(2, column) for column, head in enumerate(HEADS, 1)}
    assert (cells["name"].value, cells["name"].data_type) == ("=cmd()", "s")
    assert (cells["one weighs kg"].value, cells["one weighs kg"].number_format) == (12.5, "0.00")
    assert any("not permission" in str(cell.value) for cell in book["Answer"]["A"])


class _Links(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))


def test_the_page_loads_and_runs_nothing_and_escapes_what_is_written(demo):
    drive = demo.components["auxiliary-drive"].model_copy(update={"name": "<script>alert(1)</script>"})
    from handling_db.records.collection import collect

    collection = collect([("component", drive), *demo.records()])
    told = answer(collection, "gear-section")

    page = html_of(told, listing(collection, "gear-section", "dry"), "dry", "Written today.").decode()

    links = _Links()
    links.feed(page)
    assert {tag for tag, _ in links.tags} <= {
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "p",
        "table",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
    }
    assert not any({"src", "href"} & set(attrs) for _, attrs in links.tags)
    assert "url(" not in page
    assert "&lt;script&gt;" in page
    assert "398 kg" in page.upper().replace("KG", "kg")
    assert not re.search(r"\b(safe|OK)\b", re.sub(r"<[^>]+>", " ", page))


def test_no_such_component(demo):
    with pytest.raises(UnknownNameError, match="there is no component 'x' here"):
        listing(demo, "x", "dry")


def test_the_package_describes_every_table_and_every_column(demo):
    files = package_files(demo, name="demo")
    descriptor = json.loads(files["datapackage.json"])

    assert {resource["path"] for resource in descriptor["resources"]} == set(files) - {"datapackage.json"}
    for resource in descriptor["resources"]:
        rows = list(csv.reader(io.StringIO(files[resource["path"]].decode(), newline="")))
        assert rows[0] == [field["name"] for field in resource["schema"]["fields"]]
        assert {len(row) for row in rows} == {len(rows[0])}
    notes = list(csv.DictReader(io.StringIO(files["notes.csv"].decode(), newline="")))
    assert {row["note"]: row["text"] for row in notes} == {
        code: note.text for code, note in demo.notes.items()
    }
    totals = list(csv.DictReader(io.StringIO(files["totals.csv"].decode(), newline="")))
    whole = next(row for row in totals if (row["component"], row["state"]) == ("transfer-box", "dry"))
    assert (whole["complete"], whole["high_kg"]) == ("false", "")
    drive = next(row for row in totals if (row["component"], row["state"]) == ("auxiliary-drive", "dry"))
    assert (drive["best_kg"], drive["low_kg"], drive["high_kg"]) == ("", "", "")


@pytest.mark.slow
def test_the_same_records_give_the_same_package(demo):
    assert package_files(demo, name="demo") == package_files(read_collection([DEMO]).collection, name="demo")
