"""Of a table with more components than one answer looks at, a small piece is bounded and explained by itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.database import queries
from handling_db.database.build import build_database
from handling_db.database.queries import collection as reading
from handling_db.errors import HandlingError
from handling_db.loading import from_database


@pytest.fixture
def built(tmp_path: Path) -> Path:
    rows = ["parent,child,quantity,mass kg,step kg", ",unit,,,"]
    rows += ["unit,box,1,,", *(f"box,p{i},1,{10 + i},1" for i in range(5))]
    rows += [f"unit,x{i},1,{5 + i},1" for i in range(30)]
    (tmp_path / "t.csv").write_text("\n".join(rows) + "\n")
    build_database([], tmp_path / "x.db", tables=[tmp_path / "t.csv"])
    return tmp_path / "x.db"


def test_what_is_around_is_left_out_and_said(built: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import handling_db as hd

    few = 20
    whole = reading.collection_around
    monkeypatch.setattr(reading, "collection_around", lambda connection, code: whole(connection, code, few))
    found = from_database(queries.open_database(built), "box", reach="around")
    assert found.left_out.startswith(f"more than {few} components stand around box: only what is in it")
    answer = hd.bounds(found.records, found.code, state="dry")
    box = next(line for line in answer.figures.bounds if line.id == "box")
    assert (float(box.low), float(box.high)) == pytest.approx((60 - 2.5, 60 + 2.5))
    assert "0 figures recorded" in hd.explain(found.records, found.id).words()


def test_with_everything_around_nothing_is_said(built: Path) -> None:
    assert from_database(queries.open_database(built), "box", reach="around").left_out == ""


def test_the_whole_of_it_is_still_refused(built: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise reading.TooManyRecordsError("36 components are too many for this answer")

    monkeypatch.setattr(reading, "whole_collection", refuse)
    with pytest.raises(HandlingError, match="too many"):
        from_database(queries.open_database(built), None, reach="around")
