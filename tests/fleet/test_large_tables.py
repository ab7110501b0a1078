"""Tables too large for records: written from the database file, and rolled up to what their records say."""

from __future__ import annotations

from pathlib import Path

import duckdb
import pytest

from handling_db.database import build as database
from handling_db.fleet.engine import Bounds
from handling_db.fleet.total import fleet_total
from handling_db.fleet.write import write_tables
from handling_db.weights.compare import Judge
from tests.database.test_build_large import random_table, records_of
from tests.fleet.engines import close
from tests.fleet.shops import STATES


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 2, 3])
def test_rows_roll_up_to_what_their_records_say(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, seed: int
) -> None:
    monkeypatch.setattr(
        database, "RECORD_ROWS", 5
    )  # so that a table of a few rows takes the way of a large one
    file = tmp_path / "t.csv"
    file.write_text(random_table(seed))
    judge = Judge(records_of(file))
    database.build_database([], tmp_path / "x.db", tables=[file])
    written = write_tables(tmp_path / "x.db", tmp_path / "shop", "quay", Bounds())
    assert written.rows["lines"] == sum(len(uses) for uses in judge.tree.uses)
    found = fleet_total([tmp_path / "shop"], tmp_path / "out.parquet", Bounds())

    assert found.apart == ()
    rows = duckdb.sql(
        "select component, state, best_kg, low_kg, high_kg, what, height, unknown_pieces "
        f"from read_parquet('{tmp_path}/out.parquet')"
    ).fetchall()
    figures = {(row[0], row[1]): row[2:] for row in rows}
    for state in STATES:
        totals = judge.totals(state)
        for node, (code, _) in enumerate(judge.tree.nodes):
            best, low, high, what, height, unknown = figures.get((code, state)) or figures[code, "every"]
            total = totals.of(node)
            where = (code, state, figures.get((code, state)), total.mass)
            assert (what == "complete") is total.mass.complete, where
            assert height == judge.tree.height[node], where
            assert unknown == sum(pieces for _, pieces in total.unknown), where
            if what == "nobody knows":
                assert total.mass.high == 0, where
                continue
            assert close(best, total.mass.best), where
            assert low <= total.mass.low, where
            assert high is None or high >= total.mass.high, where


@pytest.mark.slow
def test_a_table_beside_records_keeps_both(
    tmp_path: Path, demo_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "RECORD_ROWS", 5)
    file = tmp_path / "t.csv"
    file.write_text(
        "parent,child,quantity,mass,unit\n" + "".join(f"U,Q{i},2,{i + 1}.5,kg\n" for i in range(8))
    )
    database.build_database([demo_folder], tmp_path / "x.db", tables=[file])
    write_tables(tmp_path / "x.db", tmp_path / "shop", "quay", Bounds())
    found = fleet_total([tmp_path / "shop"], tmp_path / "out.parquet", Bounds())

    assert found.apart == ()
    assert {"quay:U", "quay:transfer-box"} <= {top.id for top in found.tops}
    (best,) = duckdb.sql(
        f"select best_kg from read_parquet('{tmp_path}/out.parquet') where component = 'U'"
    ).fetchall()[0]
    assert best == 80
