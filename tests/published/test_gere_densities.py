"""J. M. Gere, Mechanics of Materials, 5th ed., Brooks/Cole, 2001, appendix H, table H-1, page 991.

Verified: two reproductions of the table were read and agree; the book itself was not. The rows of
other sources in the same data file carry their own marks and are only checked between their two columns.
"""

from fractions import Fraction
from pathlib import Path

import pytest
import yaml

from handling_db.formulas.formula import parse

FOLDER = Path(__file__).parents[2] / "data" / "reference"
FILE = yaml.safe_load((FOLDER / "densities.yml").read_text(encoding="utf-8"))
ROWS = FILE["densities"]

# As printed in table H-1: material, lb/ft³, kg/m³.
TABLE_H1 = [
    ("steel", (490,), (7850,)),
    ("cast-iron", (435, 460), (7000, 7400)),
    ("aluminium-2014-7075", (175,), (2800,)),
    ("aluminium-6061", (170,), (2700,)),
    ("brass", (520, 540), (8400, 8600)),
    ("bronze", (510, 550), (8200, 8800)),
    ("copper", (556,), (8900,)),
    ("rubber", (60, 80), (960, 1300)),
    ("nylon", (55, 70), (880, 1100)),
    ("concrete-reinforced", (150,), (2400,)),
    ("water-fresh", (62.4,), (1000,)),
    ("water-sea", (63.8,), (1020,)),
]


@pytest.mark.parametrize(("material", "pounds", "kilograms"), TABLE_H1, ids=[row[0] for row in TABLE_H1])
def test_data_file_is_the_printed_table(material, pounds, kilograms):
    row = next(row for row in ROWS if row["id"] == material)

    assert row["source"] == "gere-5"
    assert tuple(row["kg per m3"].values()) == kilograms
    assert tuple(row["lb per ft3"].values()) == pounds


def test_every_row_that_names_the_book_is_in_its_table():
    assert {row["id"] for row in ROWS if row["source"] == "gere-5"} == {row[0] for row in TABLE_H1}


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_both_columns_of_a_row_agree(row):
    """Within 2 %, which is what the rounding of the printed columns to two digits leaves."""
    assert row["kg per m3"].keys() == row["lb per ft3"].keys()
    for end, pounds in row["lb per ft3"].items():
        ours = parse(f"{pounds}*lb/ft**3").evaluate({}).magnitude
        assert isinstance(ours, Fraction)
        assert float(ours) == pytest.approx(row["kg per m3"][end], rel=0.02)


def test_every_row_names_a_source_that_says_how_far_it_was_verified():
    sources = {source["source"]: source for source in FILE["sources"]}

    assert all(source["reference"] and source["verified"] for source in sources.values())
    assert {row["source"] for row in ROWS} == set(sources)
    assert len({row["id"] for row in ROWS}) == len(ROWS)


def test_ranges_are_in_order():
    for row in ROWS:
        figures = row["kg per m3"]
        assert set(figures) in ({"best"}, {"low", "high"})
        if "low" in figures:
            assert figures["low"] < figures["high"]
