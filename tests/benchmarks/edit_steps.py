"""One corrected figure among many, step by step, each beside the check and the whole build that it replaces.

``python -m tests.benchmarks.edit_steps --components 10000`` draws a shop, corrects one figure again and again and
prints for each step of building over the file the median of its processor time, and the ratio.
"""

from __future__ import annotations

import argparse
import importlib
import re
import statistics
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any
from unittest import mock

from handling_db.checker import check
from handling_db.database import file as published
from handling_db.database.build import build_database
from handling_db.database.edited import build as edited
from handling_db.files.folders import read_collection
from tests.benchmarks.clock import as_ratio
from tests.benchmarks.shop import write_shop

# Where each step begins: what is called for it, and in which module. A step is counted without those inside it.
STEPS = {
    "the findings that stand, taken out of the file": (edited.told, "findings_there"),
    "a look at all files, and those that changed": (edited, "changed"),
    "what rests on the change, read": (edited, "touched"),
    "its records checked": (edited, "check"),
    "its rows worked out": ("handling_db.database.component_rows", "component_rows"),
    "rows, findings and closing words written": (edited._Edit, "write"),
    "what is kept for the next time": (edited._Edit, "keep"),
    "the finished file looked over": (published, "check_file"),
    "on to the disk and in its place": (published, "force"),
    "the file copied, and the rest of putting it in place": (edited, "publish_changed"),
}


class Spent:
    """Processor time by step, each without the steps inside it."""

    def __init__(self) -> None:
        self.by_step: dict[str, float] = defaultdict(float)
        self._inside: list[float] = []

    def timed(self, step: str, function: Callable[..., Any]) -> Callable[..., Any]:
        """The same function, with its time written down."""

        def run(*given: Any, **named: Any) -> Any:
            self._inside.append(0.0)
            start = time.process_time()
            try:
                return function(*given, **named)
            finally:
                took = time.process_time() - start
                self.by_step[step] += took - self._inside.pop()
                if self._inside:
                    self._inside[-1] += took

        return run

    @contextmanager
    def watching(self) -> Iterator[None]:
        """While it lasts, the time of each step is written down."""
        with ExitStack() as stack:
            for step, (where, name) in STEPS.items():
                place = importlib.import_module(where) if isinstance(where, str) else where
                stack.enter_context(mock.patch.object(place, name, self.timed(step, getattr(place, name))))
            yield


def steps(folder: Path, components: int, seed: int, turns: int) -> tuple[int, float, list[dict[str, float]]]:
    """How many components there are, what check and whole build take, and the steps of each edit. [s]"""
    shop, out = folder / "shop", folder / "shop.db"
    many = write_shop(shop, components, seed)
    start = time.process_time()
    check(read_collection([shop]).collection)
    build_database([shop], folder / "whole.db")
    whole = time.process_time() - start
    edited.build_over([shop], out)
    unit = shop / f"u{many // 200:04d}" / "components" / "lock-clutch-pack.yml"
    found = []
    for turn in range(turns + 1):
        text = re.sub(r"printed: \d+\.", f"printed: {turn + 1}.", unit.read_text(encoding="utf-8"), count=1)
        unit.write_text(text, encoding="utf-8")
        spent = Spent()
        with spent.watching():
            run = spent.timed(_REST, edited.build_over)
            assert run([shop], out).records
        found.append(dict(spent.by_step))
    return many, whole, found


_REST = "the rest"


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--components", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=20261130)
    parser.add_argument("--turns", type=int, default=7)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        many, whole, found = steps(Path(folder), asked.components, asked.seed, asked.turns)
    print(f"seed {asked.seed}; {many:,} components, check and whole build {whole:.1f} s of processor time\n")
    print("| step | took | of check and whole build | the first in its process |")
    print("| --- | ---: | ---: | ---: |")
    first, later = found[0], found[1:]
    for step in (*STEPS, _REST):
        took = statistics.median(one.get(step, 0.0) for one in later)
        print(
            f"| {step} | {took * 1000:.0f} ms | {as_ratio(took / whole)} | {first.get(step, 0) * 1000:.0f} ms |"
        )
    took = statistics.median(sum(one.values()) for one in later)
    print(f"| all | {took * 1000:.0f} ms | {as_ratio(took / whole)} | {sum(first.values()) * 1000:.0f} ms |")


if __name__ == "__main__":
    main()
