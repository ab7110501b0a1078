"""Figures as programs write them: what check and build accept, every later answer accepts."""

from __future__ import annotations

import random
from fractions import Fraction
from pathlib import Path

import pytest

from handling_db.cli import main
from handling_db.database import build
from handling_db.files.folders import record_text
from handling_db.files.reading import read_texts
from handling_db.quantities.quantity import parse_quantity
from handling_db.tables.numbers import Numbers, assumed_step
from handling_db.tables.records import quantity_of
from handling_db.tables.sources import read_paths

TABLE = """parent,child,quantity,mass kg,x m,y m,z m
,rig,,,,,
rig,a,1,13.741000000000001,0.30000000000000004,-0.1,0
rig,b,0.333333333333333,1.5e-1,1.5e-1,2E+0,-3.25e-02
rig,c,1.5e1,2,1,2,3
rig,d,2,.5,1.,+2,3
a,e,1,6.870500000000001,0,0,0
"""
ASKED = (
    ["why", "rig"],
    ["why", "b"],
    ["bounds", "rig"],
    ["reconcile", "rig"],
    ["explain", "rig"],
    ["weight", "rig"],
    ["weight", "rig", "--without", "a"],
    ["weight", "a", "--state", "dry"],
    ["heavier", "rig", "a"],
)


@pytest.mark.parametrize("rows", [5_000, 3])
@pytest.mark.parametrize("asked", ASKED, ids=" ".join)
def test_what_was_built_is_answered(
    rows: int,
    asked: list[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """From records and, as a table of more than so many rows, from columns."""
    if rows == 3 and asked[0] in ("bounds", "reconcile", "explain"):
        pytest.skip("asks for all records, which a large table does not keep")
    monkeypatch.setattr(build, "RECORD_ROWS", rows)
    (tmp_path / "t.csv").write_text(TABLE)
    build.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    with pytest.raises(SystemExit) as left:
        main([*asked, "--db", str(tmp_path / "x.db")])

    assert (left.value.code, capsys.readouterr().err) == (0, "")


def random_figure(chance: random.Random) -> str:
    """A number as some program writes it."""
    value = chance.choice(
        [chance.random(), chance.uniform(1, 900), chance.uniform(1e3, 1e6), chance.random() / 1e5]
    )
    return chance.choice(
        [
            repr(value),
            f"{value:.15g}",
            f"{value:e}",
            f"{value:.17f}",
            f"{value:.0f}",
            f"{value:G}",
            f"{value:.3f}",
        ]
    )


@pytest.mark.parametrize("seed", range(80))
def test_every_figure_of_a_table_reads_back_as_the_same_quantity(seed: int) -> None:
    text = random_figure(random.Random(seed))
    value, figure, _ = Numbers(";", "point").one(text)
    made = quantity_of(figure, "kg")
    again = parse_quantity(made.text, "mass")

    assert (again.number, again.step, again.text) == (made.number, made.step, made.text)
    assert again.step == assumed_step(figure)
    assert float(again.number) == value == float(Fraction(text))


@pytest.mark.parametrize("seed", range(10))
def test_records_of_random_tables_can_be_written_and_read(seed: int, tmp_path: Path) -> None:
    chance = random.Random(seed)
    rows = ["parent,child,quantity,mass kg,step,x mm,y mm,z mm", ",n0,,,,,,"]
    for n in range(1, 25):
        figures = [random_figure(chance) for _ in range(6)]
        if float(figures[0]) == 0 or float(figures[1]) == 0 or float(figures[2]) == 0:
            continue
        rows.append(f"n0,n{n},{','.join(figures)}")
    (tmp_path / "t.csv").write_text("\n".join(rows) + "\n")
    reading = read_paths([tmp_path / "t.csv"])
    components = reading.collection.components
    texts = [(code, record_text(component)) for code, component in components.items()]
    again = read_texts(texts)

    assert not again.findings
    assert again.collection.components == components
