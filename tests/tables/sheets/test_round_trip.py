"""A component out as CSV or XLSX and in again: every mass, doubt, source and place, and the second export as the first."""

from __future__ import annotations

import importlib
import random
from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import dump_text
from handling_db.lookup.listing import listing
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection
from handling_db.tables.exports.sheet_out import csv_of, table_of, xlsx_of
from handling_db.tables.sources import read_paths

DEMO = Path(__file__).parents[3] / "data" / "demo"
KINDS = DEMO.parent / "reference" / "source-kinds.yml"


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


@pytest.mark.slow
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


PRINTS = ("1/4", "27 3/16", "1,830", "473", "4300", "12.5", "813.351", "61.50", "4.78e0", "5.3e2")
STARTS = ("", "=", "+", "-", "@", "'", "'=", "[", "{", "#", "TOTAL ", "Sum ", "EXAMPLE ", "?", "n/a ")
WORDS = ("pin", "Bolt; M12", 'a,b "c"', "Gehäuse", "3-12", "2026-03-12", "1.23E+11", "true", "½")
KINDS_OF_SOURCE = ("weighed", "hook reading", "maker's manual", "supplier's list", "by eye", "not said")


def random_list(rng: random.Random) -> list[dict[str, object]]:
    """A whole with parts whose names and figures are of every kind that a spreadsheet may spoil."""
    records: list[dict[str, object]] = []
    for number, kind in enumerate(rng.sample(KINDS_OF_SOURCE, 2)):
        source: dict[str, object] = {
            "source": f"s{number}",
            "name": rng.choice(STARTS) + "book",
            "kind": kind,
        }
        if rng.randrange(4) == 0:
            source["instrument"] = {"name": "Scale", "step": rng.choice(["1 kg", "0.5 lb"])}
        records.append(source)
    codes = [f"c{number}" for number in range(rng.randrange(2, 6))]
    for place, code in enumerate(codes):
        record: dict[str, object] = {
            "component": code,
            "name": f"{rng.choice(STARTS)}{rng.choice(WORDS)} {code}",
        }
        parts = [{"component": other, "quantity": rng.choice("12")} for other in codes[place + 1 :]]
        record["kind"] = "assembly" if parts else "part"
        if parts:
            record |= {"parts listed": rng.choice(["all", "some"]), "parts": parts}
        if rng.randrange(2):
            record["part number"] = (
                rng.choice(["4711", "=12+3", "-7", "+5", "@x", "0012", "1E5", "3-12"]) + code
            )
        masses = []
        for source_id in ("s0", "s1")[: rng.randrange(3)]:
            unit = rng.choice(["kg", "lb", "g", "oz"])
            figure = {"printed": f"{rng.choice(PRINTS)} {unit}", "source": source_id}
            figure |= rng.choice(
                [{}, {}, {"plus or minus": "5 %"}, {"plus or minus": "1/8 lb"}, {"u": "0.25 kg"}, {"step": f"5 {unit}"},
                 {"pieces": "6", "plus or minus": "0.5 kg"}]
            )  # fmt: skip
            masses.append(figure)
        records.append(record | ({"masses": masses} if masses else {}))
    return records


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_any_list_comes_back_with_every_figure(ending: str, tmp_path: Path) -> None:
    """Before, 1/4 lb came back as 1 lb, six together as one, 98.125 kg alone was asked about, EXAMPLE was lost."""
    if ending == ".xlsx":
        importlib.import_module("openpyxl")
    for seed in range(5 if ending == ".xlsx" else 25):
        records = random_list(random.Random(seed))
        read = read_texts([("a.yml", dump_text(records)), ("k.yml", KINDS.read_text("utf-8"))])
        assert read.findings == ()
        collection = read.collection

        back = read_paths([write(collection, "c0", tmp_path / f"{seed}{ending}")])

        assert [str(f) for f in back.findings if f.verdict == "fault"] == [], seed
        for one, two in zip(figures(collection, "c0"), figures(back.collection, "c0"), strict=True):
            assert one[:4] == two[:4], (seed, records)
            kilograms = [[float(kg) for kg in line[4:]] for line in (one, two)]
            assert kilograms[1] == pytest.approx(kilograms[0], rel=1e-6, abs=1e-6), (seed, one[0], records)
        for code, component in collection.components.items():
            again = back.collection.components[code]
            assert (again.name, again.part_number) == (component.name, component.part_number), seed
