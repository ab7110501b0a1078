"""A save is built and served while the service runs; a faulty one is told and changes nothing."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from handling_db.database import queries
from handling_db.errors import HandlingError
from handling_db.web.service.rebuilding import Rebuilding

PART = "- {component: pump, name: Pump, kind: part, masses: [{printed: 5 kg, plus or minus: 1 kg, source: scale}]}\n"
SCALE = "- {source: scale, name: Scale, kind: weighed}\n"


def until(true: Callable[[], bool]) -> None:
    ends = time.monotonic() + 20
    while not true():
        assert time.monotonic() < ends
        time.sleep(0.02)


def best(out: Path) -> float | None:
    connection = queries.open_database(out)
    try:
        return queries.stored_answer(connection, "pump").states[0].best
    finally:
        connection.close()


@pytest.mark.slow
def test_a_save_is_built_and_a_fault_is_told(tmp_path: Path) -> None:
    folder, out = tmp_path / "records", tmp_path / "shop.db"
    folder.mkdir()
    (folder / "shop.yml").write_text(SCALE, encoding="utf-8")
    (folder / "pump.yml").write_text(PART, encoding="utf-8")
    said: list[str] = []
    watching = Rebuilding([folder], out, said.append)
    watching.start()
    try:
        assert best(out) == 5
        (folder / "pump.yml").write_text(PART.replace("5 kg", "7 kg"), encoding="utf-8")
        until(lambda: best(out) == 7)
        (folder / "pump.yml").write_text(PART.replace("scale", "scales"), encoding="utf-8")
        until(lambda: any("there is no source 'scales'" in one for one in said))
        assert best(out) == 7
        (folder / "pump.yml").write_text(PART.replace("5 kg", "8 kg"), encoding="utf-8")
        until(lambda: best(out) == 8)
    finally:
        watching.stop()
    assert all(thread.name != "rebuilding" for thread in threading.enumerate())


def test_nothing_to_serve_is_refused_at_once(tmp_path: Path) -> None:
    (tmp_path / "pump.yml").write_text(PART, encoding="utf-8")
    with pytest.raises(HandlingError, match="there is no source 'scale'"):
        Rebuilding([tmp_path], tmp_path / "shop.db", print).start()
