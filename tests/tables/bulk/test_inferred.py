"""What wholes of a large table leave for parts nobody weighed: truth inside, as records say it, and silence."""

from __future__ import annotations

import csv
import random
from pathlib import Path

import pytest

from handling_db.database import build as database
from handling_db.database import queries
from handling_db.lookup.weight import answer
from tests.database.test_build_large import records_of

KNOWN = "as listed without none checked by fitter"


class Tree:
    """A random tree with a hidden truth in grams; each figure holds it."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.count = 0
        self.rows: list[list[str]] = []
        self.true: dict[str, int] = {}
        self.true["unit"] = self._below("unit", 3)
        self.rows.insert(0, ["", "unit", "1", *self._figure(self.true["unit"], 0.8, KNOWN)])

    def _below(self, name: str, depth: int) -> int:
        total = 0
        for _ in range(self.rng.randint(2, 4)):
            self.count += 1
            child = f"n{self.count}"
            place = len(self.rows)
            self.rows.append([])
            if depth > 1 and self.rng.random() < 0.5:
                grams, often, boundary = self._below(child, depth - 1), 0.5, KNOWN
            else:
                grams, often, boundary = self.rng.randint(500, 90_000), 0.75, ""
            self.true[child] = grams
            many = self.rng.choice([1, 1, 2, 3])
            self.rows[place] = [name, child, str(many), *self._figure(grams, often, boundary)]
            total += many * grams
        return total

    def _figure(self, grams: int, often: float, boundary: str) -> list[str]:
        if self.rng.random() > often:
            return ["", "", "", ""]
        half = self.rng.choice([50, 500, 2000])
        read = max(1, grams + self.rng.choice([-half, half, self.rng.randint(-half, half)]))
        return [f"{read / 1000:.3f}", "kg", f"{half / 1000:.3f}", boundary]

    def write(self, file: Path) -> None:
        """As a table."""
        with file.open("w", newline="") as out:
            rows = csv.writer(out)
            rows.writerow(["parent", "child", "quantity", "mass", "unit", "plus_minus", "boundary"])
            rows.writerows(self.rows)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20))
def test_limits_hold_the_truth_and_are_as_wide_as_those_of_records(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Records are narrower where one figure bounds several ways; on these trees never by more than half."""
    monkeypatch.setattr(database, "RECORD_ROWS", 2)
    tree = Tree(seed)
    tree.write(tmp_path / "t.csv")
    database.build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    connection = queries.open_database(tmp_path / "x.db")
    records = records_of(tmp_path / "t.csv")

    for code, grams in tree.true.items():
        stored = queries.stored_answer(connection, code).states[0]
        worked = answer(records, code).states[0]
        if stored.complete:
            assert float(stored.low) - 1e-6 <= grams / 1000 <= float(stored.high) + 1e-6
            assert float(stored.planning or 0) >= float(stored.high) - 1e-6
        assert (stored.planning is None) == (worked.planning is None)
        if worked.planning is not None and stored.rests.inferred:
            assert float(worked.planning) - 1e-6 <= float(stored.planning or 0)


def test_a_whole_lighter_than_its_parts_says_nothing_of_the_unweighed_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "RECORD_ROWS", 2)
    rows = "".join(f"unit,part{i},1,10.0,kg,0.1,\n" for i in range(5))
    head = "parent,child,quantity,mass,unit,plus_minus,boundary\n"
    for whole, plan in (("49.0", None), ("55.0", 5.6)):
        file = tmp_path / f"{whole}.csv"
        file.write_text(f"{head},unit,1,{whole},kg,0.1,{KNOWN}\n{rows}unit,pump,1,,,,\n")
        database.build_database([], tmp_path / f"{whole}.db", tables=[file])
        pump = queries.stored_answer(queries.open_database(tmp_path / f"{whole}.db"), "pump").states[0]

        assert pump.planning == (None if plan is None else pytest.approx(plan))
        assert pump.rests.alone == (plan is not None)


@pytest.mark.parametrize("boundary", ["", "as listed"])
def test_a_whole_of_unknown_boundary_bounds_nothing(
    boundary: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "RECORD_ROWS", 2)
    file = tmp_path / "t.csv"
    file.write_text(
        "parent,child,quantity,mass,unit,plus_minus,boundary\n"
        f",unit,1,55.0,kg,0.1,{boundary}\nunit,case,1,10.0,kg,0.1,\nunit,lid,1,9.0,kg,0.1,\nunit,pump,1,,,,\n"
    )
    database.build_database([], tmp_path / "x.db", tables=[file])
    connection = queries.open_database(tmp_path / "x.db")

    assert queries.stored_answer(connection, "pump").states[0].planning is None
