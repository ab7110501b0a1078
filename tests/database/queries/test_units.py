"""A question about one unit reads that unit's records and gives what all records give."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from handling_db.cli import main
from handling_db.database import queries
from handling_db.database.build import build_database
from handling_db.database.cache import LastAnswers, let_go
from handling_db.loading import Reach, from_database
from tests.benchmarks.shop import write_shop

UNIT = "u0001-"
QUESTIONS = (
    ["lift", f"{UNIT}upper-half-lift"],
    ["lift", f"{UNIT}whole-unit-lift"],
    ["turn", f"{UNIT}turn-onto-front-face"],
    ["move", f"{UNIT}upper-half-lift", "--shop", "quay-shed-nine"],
    ["joint", f"{UNIT}section-joint"],
    ["why", f"{UNIT}differential-section"],
    ["bounds", f"{UNIT}gear-section"],
    ["explain", f"{UNIT}transfer-box"],
    ["weight", f"{UNIT}gear-section", "--without", f"{UNIT}gear-case-cover"],
    ["hands", f"{UNIT}parking-brake-caliper"],
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    assert write_shop(folder / "records", 184, 7) == 184
    build_database([folder / "records"], folder / "shop.db")
    return folder / "shop.db"


def test_a_unit_is_read_and_no_other(shop: Path) -> None:
    connection = queries.open_database(shop)
    found = from_database(connection, f"{UNIT}upper-half-lift", ("lift group",), "handled").records
    own = ("component", "joint", "lift group", "weighing", "choice", "job plan")
    ids = [code for kind in own for code in found.of_kind(kind)]
    assert len(ids) > 60
    assert all(code.startswith(UNIT) for code in ids)
    # notes about gear and fixtures belong to every unit, those of another unit do not
    notes = [note.about for code, note in found.notes.items() if not code.startswith(UNIT)]
    assert notes
    assert {about.kind for about in notes} == {"fixture"}
    assert len(found.fixtures) == 12


@pytest.mark.slow
@pytest.mark.parametrize("question", QUESTIONS, ids=lambda words: " ".join(words[:2]))
def test_the_answer_is_that_of_all_records(
    shop: Path, question: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ask = [*question, "--db", str(shop)]
    alone = CliRunner().invoke(main, ask)
    assert alone.exit_code in (0, 1, 3, 4), alone.output
    rows = queries.open_database(shop).execute("select distinct unit from record").fetchall()
    every = tuple(row[0] for row in rows)
    assert len(every) > 2
    for name in ("handling", "another_build", "collection"):
        module = sys.modules[f"handling_db.database.queries.{name}"]
        monkeypatch.setattr(module, "units_of", lambda *_: every)
    for name, kept in (("collection", "_around"), ("handling", "_handled"), ("another_build", "_about")):
        monkeypatch.setattr(sys.modules[f"handling_db.database.queries.{name}"], kept, LastAnswers(4))
    together = CliRunner().invoke(main, ask)
    assert (alone.output, alone.exit_code) == (together.output, together.exit_code)


ASKED: tuple[tuple[str, str, Reach], ...] = (
    ("upper-half-lift", "lift group", "handled"),
    ("section-joint", "joint", "handled"),
    ("parking-brake-caliper", "component", "handled"),
    ("differential-section", "component", "below"),
    ("gear-section", "component", "around"),
)


@pytest.mark.parametrize(("name", "kind", "reach"), ASKED)
def test_no_table_that_grows_with_the_shop_is_gone_through(
    shop: Path, name: str, kind: str, reach: Reach
) -> None:
    connection = queries.open_database(shop)
    for _ in range(2):
        let_go(queries.stamp(connection).stamp)
    asked: list[str] = []
    connection.set_trace_callback(asked.append)
    found = from_database(connection, f"{UNIT}{name}", (kind,), reach)
    connection.set_trace_callback(None)
    assert found.code == f"{UNIT}{name}"
    assert len(asked) > 3
    for statement in asked:
        for row in connection.execute(f"explain query plan {statement}"):
            # a filter for a join is made by going through all of the table that is joined
            through = re.match(r"SCAN (record|component|usage|statement|total|note|finding)\b|BLOOM", row[3])
            assert through is None, (statement, row[3])
