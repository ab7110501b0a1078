"""What the benchmarks read out of a file is what is in it."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from handling_db.database import build
from tests.benchmarks import data


def test_every_number_of_a_graph_comes_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(build, "RECORD_ROWS", 2)
    table, file = tmp_path / "t.csv", tmp_path / "t.db"
    quantities = ("1", "2.5", "0.1234567890123456789", "33333.3", "14", "999999999")
    rows = "".join(f"rig,part {at},{text},{at}.5,lb\n" for at, text in enumerate(quantities))
    table.write_text(f"parent,child,quantity,mass,unit\n,rig,,,\n{rows}")
    build.build_database([], file, tables=[table])
    connection = sqlite3.connect(file)

    count, parent, child, quantity, figures, known = data.graph(connection)

    order = "select parent - 1, child - 1, quantity from usage order by parent, child"
    assert [*zip(parent.tolist(), child.tolist(), quantity.tolist(), strict=True)] == connection.execute(
        order
    ).fetchall()
    assert sorted(quantity.tolist()) == sorted(float(text) for text in quantities)
    assert count == 1 + len(quantities)
    assert known.tolist() == [False] + [True] * len(quantities)
    stated = connection.execute(
        "select best_kg, low_kg, high_kg from statement order by component"
    ).fetchall()
    assert [tuple(figure) for figure in figures[:, 1:].T.tolist()] == stated
