"""Answers about components of large tables: what is not known counted to the last, centres, parts taken off."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from handling_db.database import build, queries
from handling_db.database.queries.another_build import what_if
from handling_db.lookup.weight import answer
from handling_db.tables.sources import read_paths

pytestmark = pytest.mark.slow


def test_unknown_parts_are_counted_beyond_20_000_lines(tmp_path: Path) -> None:
    """23,000 parts that nobody weighed, a few of them listed twice, in two levels."""
    rows = ["parent,child,quantity,mass kg", ",unit,,"]
    rows += [f"unit,box-{n},2," for n in range(40)]
    rows += [f"box-{n % 40},p{n},{1 + n % 3}," for n in range(23_000)]
    rows += [f"unit,p{n},5," for n in range(0, 23_000, 1000)]
    rows += ["unit,plate,1,12.0"]
    (tmp_path / "t.csv").write_text("\n".join(rows) + "\n")
    build.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    found = what_if(queries.open_database(tmp_path / "x.db"), "unit").headline

    assert len(found.unknown) == 23_000
    assert found.why_none == "23000 parts have no mass"
    pieces = {named.id: named.pieces for named in found.unknown}
    assert pieces == {f"p{n}": 2 * (1 + n % 3) + (5 if n % 1000 == 0 else 0) for n in range(23_000)}


@pytest.mark.parametrize("seed", range(3))
def test_centres_from_rows_and_from_records_are_the_same(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, seed: int
) -> None:
    """Places, turns, own centres, missing masses and places; with everything there and with parts off."""
    chance = random.Random(seed)
    rows = ["parent,child,quantity,mass kg,step,x mm,y mm,z mm,roll deg,yaw deg,cg_x mm,cg_y mm,cg_z mm"]
    rows.append(",n0,,,,,,,,,,,")
    centre = {n: ",".join(str(chance.randrange(-50, 50)) for _ in range(3)) for n in range(0, 40, 7)}
    for n in range(1, 40):
        for parent in {chance.randrange(n), chance.randrange(n)}:
            quantity = chance.choice([1, 1, 3])
            mass = f"{10 + n % 9},1" if n > 12 and n % 11 else ","
            place = ",".join(str(chance.randrange(-900, 900)) for _ in range(3))
            if chance.random() < 0.02:
                place = ",,"
            turn = (
                f"{chance.randrange(-90, 90)},{chance.randrange(360)}"
                if quantity == 1 and place != ",,"
                else ","
            )
            rows.append(f"n{parent},n{n},{quantity},{mass},{place},{turn},{centre.get(n, ',,')}")
    file = tmp_path / "t.csv"
    file.write_text("\n".join(rows) + "\n")
    collection = read_paths([file]).collection
    monkeypatch.setattr(build, "RECORD_ROWS", 5)
    build.build_database([], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")
    known = 0
    for code in collection.components:
        inside = sorted(below(collection, code))
        for without in ([], [chance.choice(inside)] if inside else []):
            ours = what_if(connection, code, without=without).headline
            theirs = answer(collection, code, without=without).states[-1]
            assert (ours.centre is None) is (theirs.centre is None), (code, without)
            if ours.centre is not None:
                known += 1
                assert ours.centre == pytest.approx(theirs.centre, abs=1e-9)
    assert known > 20


def below(collection, code):
    """Ids of everything below a component."""
    found = set()
    stack = [code]
    while stack:
        for line in collection.components[stack.pop()].parts:
            if line.component not in found:
                found.add(line.component)
                stack.append(line.component)
    return found
