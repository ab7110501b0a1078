"""Rows of the benchmarks about a shop's records: building them all, and one corrected figure."""

from __future__ import annotations

import asyncio
import re
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from handling_db.checker import check
from handling_db.database.build import build_database
from handling_db.database.edited.build import build_over
from handling_db.files.folders import read_collection
from handling_db.web.plain.asking import ask_view
from handling_db.web.service.copies import Copies
from handling_db.web.service.place import read_place
from handling_db.web.service.rebuilding import Rebuilding
from handling_db.web.service.run import front
from tests.benchmarks.clock import Line, side_by_side
from tests.benchmarks.shop import write_shop

TURNS = 5
PLACE: dict[str, Any] = {"lan": False, "port": 0, "base_url": "", "public_url": "", "cors": False}
BUILD_BEFORE = 11.0  # times reading, before figures were worked out once for all who ask


def rows_of_records(folder: Path, components: int, seed: int) -> Iterator[Line]:
    """Building a shop's records against reading them, and ten times as many against as many. CPU time."""
    large, small = folder / "shop", folder / "tenth"
    many, few = write_shop(large, components, seed), write_shop(small, components // 10, seed)
    out, other = folder / "shop.db", folder / "tenth.db"
    took, base = side_by_side(
        lambda: build_database([large], out), lambda: read_collection([large]), 3, time.process_time
    )
    yield Line(
        f"build of {many:,} components in records, checks and search, CPU", "reading the same files", took,
        base, BUILD_BEFORE / 2, f"{BUILD_BEFORE:g} before, when reading took twice as long",
    )  # fmt: skip
    edited, unit = folder / "edited.db", large / f"u{many // 200:04d}" / "components" / "lock-clutch-pack.yml"
    build_over([large], edited)
    turn = iter(range(1, 100))

    def corrected() -> None:
        text = re.sub(r"printed: \d+\.", f"printed: {next(turn)}.", unit.read_text(encoding="utf-8"), count=1)
        unit.write_text(text, encoding="utf-8")
        assert build_over([large], edited).records

    def checked_and_built() -> None:
        check(read_collection([large]).collection)
        build_database([large], out)

    took, base = side_by_side(corrected, checked_and_built, 3, time.process_time)
    yield Line(
        f"one corrected figure among {many:,} components, build over the file, CPU", "check and whole build",
        took, base, 1 / 30,
    )  # fmt: skip
    yield _save_shown(folder, large, many)
    took, base = side_by_side(
        lambda: build_database([large], out), lambda: build_database([small], other), 3, time.process_time
    )
    yield Line(
        f"build of {many:,} components, for each of them, CPU", f"of {few:,} components", took / many,
        base / few, 1.26,
    )  # fmt: skip


def _save_shown(folder: Path, shop: Path, many: int) -> Line:
    """A corrected figure until a service shows it: found, built, taken over, and its page written. CPU time."""
    out, unit = folder / "watched.db", f"u{many // 200:04d}"
    file = shop / unit / "components" / "lock-clutch-pack.yml"
    watching, copies = Rebuilding([shop], out, lambda _: None), Copies(folder)
    loop, took = asyncio.new_event_loop(), []
    try:
        watching.look()
        served = front({"": out}, read_place((), **PLACE), copies, lambda _: None)
        for turn in range(TURNS + 1):
            text = re.sub(
                r"printed: [\d.]+ kg", f"printed: 2{turn}.50 kg", file.read_text(encoding="utf-8"), count=1
            )
            file.write_text(text, encoding="utf-8")
            start = time.process_time()
            assert watching.look()
            page = loop.run_until_complete(ask_view(served, f"/component/{unit}-lock-clutch-pack"))
            took.append(time.process_time() - start)
            assert f"2{turn}.50 kg".encode() in page.body
            time.sleep(3)  # what a former file leaves is put away meanwhile
    finally:
        loop.close()
        copies.close()
    what = f"a corrected figure among {many:,} components, from the save to its page in a service, CPU"
    return Line(what, "one second", statistics.median(took[1:]), 1.0, 1)
