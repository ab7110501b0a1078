"""The page of flat tables: its columns are those that are read, and its tables are read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from handling_db.findings import Verdict
from handling_db.tables.columns import COLUMNS
from handling_db.tables.records import table_records
from tests.docs.pages import DOCS, blocks
from tests.reading import read_table

PAGE = (DOCS / "tables.md").read_text(encoding="utf-8")
TABLES = [block.body for block in blocks(PAGE) if block.info == "csv"]


def test_columns_are_listed_in_their_order() -> None:
    assert re.findall(r"^\| `([\w ]+)` \|", PAGE, re.MULTILINE) == list(COLUMNS)


def test_there_are_tables_on_the_page() -> None:
    assert len(TABLES) == 2


@pytest.mark.parametrize("table", TABLES)
def test_tables_on_the_page_are_read(table: str, tmp_path: Path) -> None:
    file = tmp_path / "table.csv"
    file.write_text(table, encoding="utf-8")
    reading = read_table(file)

    assert [str(f) for f in reading.findings if f.verdict is not Verdict.REMARK] == []
    assert reading.table is not None
    assert reading.table.left_out == 0
    assert table_records(reading.table).collection.components


def test_first_table_shows_every_column() -> None:
    heading = TABLES[0].splitlines()[0].split(",")

    assert sorted(re.sub(r" deg$", "", name) for name in heading) == sorted(COLUMNS)
