"""Rows of the benchmarks about a shop's records: building them all, and one corrected figure."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path

from handling_db.checker import check
from handling_db.database.build import build_database
from handling_db.database.edited.build import build_over
from handling_db.files.folders import read_collection
from tests.benchmarks.clock import Line, side_by_side
from tests.benchmarks.shop import write_shop

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
    took, base = side_by_side(
        lambda: build_database([large], out), lambda: build_database([small], other), 3, time.process_time
    )
    yield Line(
        f"build of {many:,} components, for each of them, CPU", f"of {few:,} components", took / many,
        base / few, 1.26,
    )  # fmt: skip
