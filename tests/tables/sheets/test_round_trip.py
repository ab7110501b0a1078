"""A component out as CSV or XLSX and in again: every mass, doubt, source and place, and the second export as the first."""

from __future__ import annotations

import importlib
from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.files.folders import read_collection
from handling_db.files.reading import read_texts
from handling_db.lookup.listing import listing
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection
from handling_db.tables.exports.sheet_out import csv_of, table_of, xlsx_of
from handling_db.tables.sources import read_paths

DEMO = Path(__file__).parents[3] / "data" / "demo"
KINDS = DEMO.parent / "reference" / "source-kinds.yml"


@pytest.fixture(scope="module")
def demo() -> Collection:
    return read_collection([DEMO]).collection


def write(collection: Collection, code: str, file: Path) -> Path:
    lines = listing(collection, code, "dry")
    if file.suffix == ".csv":
        file.write_bytes(csv_of(*table_of(collection, lines)))
    else:
        file.write_bytes(xlsx_of(collection, answer(collection, code), lines, "dry"))
    return file


def figures(collection: Collection, code: str) -> list[tuple[object, ...]]:
    """Everything of a list but where its figures come from in words."""
    return [
        (one.id, one.goes_into, one.quantity, one.complete, one.best, one.low, one.high)
        for one in listing(collection, code, "dry")
    ]


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
@pytest.mark.parametrize("code", ["gear-section", "planet-differential", "output-gear-group", "joint-set"])
def test_a_section_of_the_demo_comes_back(demo: Collection, code: str, ending: str, tmp_path: Path) -> None:
    if ending == ".xlsx":
        importlib.import_module("openpyxl")
    first = write(demo, code, tmp_path / f"first{ending}")

    back = read_paths([first])

    assert [str(f) for f in back.findings if f.verdict == "fault"] == []
    for one, two in zip(figures(demo, code), figures(back.collection, code), strict=True):
        assert one[:4] == two[:4]
        assert [float(kg) for kg in two[4:]] == pytest.approx([float(kg) for kg in one[4:]], abs=1e-6)
    second = write(back.collection, code, tmp_path / "second.csv")
    again = read_paths([second])
    third = write(again.collection, code, tmp_path / "third.csv")
    assert second.read_bytes() == third.read_bytes(), "from then on byte for byte"


TEXT = """
- component: box
  name: "=cmd()"
  kind: assembly
  parts listed: all
  parts:
  - {component: case, quantity: 1, at: [10 mm, 0 mm, -180 mm], turned: {yaw: 90 deg}}
  - {component: pump, quantity: 2}
  - {component: left, quantity: 1}
  - {component: pin, quantity: 3}
  - {component: peg, quantity: 1}
  masses: [{printed: "1,830 lb", step: 10 lb, also printed: {printed: 830 kg}, counts: as listed, without: none, checked by: foreman, state: dry, source: book, where: page 4}]
- {component: case, name: -case, kind: part, part number: 4711, centre: [1 mm, 2 mm, 3 mm], masses: [{printed: 158.0 kg, plus or minus: 0.5 kg, state: dry, source: scale, on: 2026-01-31, by: fitter}, {printed: 12 1/2 lb, u: 0.2 lb, serials: {from: 1001, to: 1999}, source: book}]}
- {component: pump, name: "'+pump", kind: assembly, parts listed: some, parts: [{component: bolt, quantity: 4}]}
- {component: left, name: "@left", kind: assembly, parts listed: all, parts: [{component: pump, quantity: 1}]}
- {component: bolt, name: "[bolt]", kind: part, masses: [{printed: 0.35 kg, plus or minus: 5 %, source: guess}, {printed: 300 g, source: guess}]}
- {component: pin, name: "+pin", kind: part, masses: [{printed: 1 1/4 lb, source: scale}]}
- {component: peg, name: "=peg", kind: part, masses: [{printed: 27.5 lb, step: 0.5 lb, source: scale}]}
- {source: book, name: Book, kind: maker's manual}
- {source: scale, name: Scale, kind: weighed}
- {source: guess, name: Guess, kind: supplier's list}
"""


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_what_is_said_of_each_piece_comes_back(ending: str, tmp_path: Path) -> None:
    if ending == ".xlsx":
        importlib.import_module("openpyxl")
    read = read_texts([("a.yml", TEXT), ("k.yml", KINDS.read_text("utf-8"))])
    assert read.findings == ()
    collection = read.collection
    first = write(collection, "box", tmp_path / f"first{ending}")

    back = read_paths([first])

    assert [str(f) for f in back.findings if f.verdict == "fault"] == []
    for code, one in collection.components.items():
        two = back.collection.components[code]
        assert (two.name, two.part_number, two.parts_listed) == (one.name, one.part_number, one.parts_listed)
        assert [(p.component, p.quantity.number) for p in two.parts] == [
            (p.component, p.quantity.number) for p in one.parts
        ]
        said = {
            (m.printed.base, m.state, m.counts, m.without, str(m.serials), m.on, m.by, m.source)
            for m in one.masses
        }
        assert said == {
            (m.printed.base, m.state, m.counts, m.without, str(m.serials), m.on, m.by, m.source)
            for m in two.masses
        }
        assert {collection.sources[m.source].kind for m in one.masses} == {
            back.collection.sources[m.source].kind for m in two.masses
        }
    place = back.collection.components["box"].parts[0]
    assert [length.number for length in place.at] == [
        p.number for p in collection.components["box"].parts[0].at
    ]
    assert place.turned.yaw.quantity.base == 90
    centre = back.collection.components["case"].centre
    assert [length.quantity.base for length in centre] == [Fraction(n, 1000) for n in (1, 2, 3)]
    assert figures(back.collection, "box") == figures(collection, "box")
    if ending == ".csv":  # five parts of a hundred of 0.35 kg come back in kilograms
        again = write(back.collection, "box", tmp_path / "again.csv")
        assert first.read_bytes().replace(b",5 %,", b",0.0175 kg,") == again.read_bytes()
