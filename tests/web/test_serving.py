"""A view starts without a word: what stands on the terminal is for whoever runs it."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.database.build import build_database
from handling_db.web.serving import application

pytestmark = pytest.mark.anyio


async def test_nothing_is_said_where_an_index_cannot_be_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "pump.yml").write_text("{component: pump, name: Pump, kind: part}\n", encoding="utf-8")
    build_database([tmp_path / "pump.yml"], tmp_path / "shop.db")
    served = application(tmp_path / "shop.db")
    assert (await served.client.get("/component/pump")).status_code == 200
    assert (await served.client.get("/handling/component")).status_code == 200
    assert await served.get_database("handling").table_counts(limit=100)
    told = capsys.readouterr()
    assert told.err == told.out == ""
