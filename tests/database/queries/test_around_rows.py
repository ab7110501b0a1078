"""What is asked of a piece of a large table: what it goes into counts with all its parts, or says less."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.database import build as database
from handling_db.database import queries
from handling_db.database.queries import large
from handling_db.database.queries.another_build import collection_for
from handling_db.lookup.weight import answer
from tests.database.test_build_large import records_of
from tests.tables.bulk.test_inferred import KNOWN, Tree

pytestmark = pytest.mark.slow

HEAD = "parent,child,quantity,mass,unit,plus_minus,boundary\n"


@pytest.fixture(autouse=True)
def small_is_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "RECORD_ROWS", 1)


def built(folder: Path, rows: str) -> object:
    (folder / "t.csv").write_text(HEAD + rows)
    database.build_database([], folder / "x.db", tables=[folder / "t.csv"])
    return queries.open_database(folder / "x.db")


def test_what_lies_beside_a_piece_is_taken_off_the_whole(tmp_path: Path) -> None:
    """100 kg of which 60 are the other part: not 100 kg for the one that nobody weighed."""
    connection = built(tmp_path, f",unit,1,100,kg,1,{KNOWN}\nunit,pump,1,,,,\nunit,case,1,60,kg,1,\n")
    pump = answer(collection_for(connection, "pump"), "pump").headline

    assert (float(pump.low), float(pump.high)) == pytest.approx((38, 42))


def test_of_a_whole_with_too_many_parts_only_the_most_is_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(large, "_MOST_AROUND", 1)
    connection = built(tmp_path, f",unit,1,100,kg,1,{KNOWN}\nunit,pump,1,,,,\nunit,case,1,60,kg,1,\n")
    collection = collection_for(connection, "pump")
    pump = answer(collection, "pump").headline

    assert collection.components["unit"].parts_listed == "some"
    assert not float(pump.low)
    assert pump.planning is None or float(pump.planning) == pytest.approx(101)


@pytest.mark.parametrize("most", [0, 6, 2_000])
@pytest.mark.parametrize("seed", range(4))
def test_limits_hold_the_truth_however_much_is_looked_at(
    seed: int, most: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With all of it there the answer is that of the records."""
    monkeypatch.setattr(large, "_MOST_AROUND", most)
    tree = Tree(seed)
    tree.write(tmp_path / "t.csv")
    database.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    connection = queries.open_database(tmp_path / "x.db")
    records = records_of(tmp_path / "t.csv")

    for code, grams in tree.true.items():
        found = answer(collection_for(connection, code), code).states[0]
        worked = answer(records, code).states[0]
        if found.planning is not None:
            assert float(found.planning) >= grams / 1000 - 1e-6
        if found.complete:
            assert float(found.low) - 1e-6 <= grams / 1000 <= float(found.high) + 1e-6
        if most == 2_000:
            assert (found.low, found.high, found.planning) == (worked.low, worked.high, worked.planning)
