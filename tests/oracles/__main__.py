"""`python -m tests.oracles --hours 1`: every oracle in turn, with new random cases, for as long as asked."""

from __future__ import annotations

import argparse
import importlib
import json
import pkgutil
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

import tests.oracles
from tests.oracles.count import Count

Run = Callable[[np.random.Generator, float], Count]
# Counts of the last long run that was kept: `docs/validation.md` prints them.
COUNTS = Path(__file__).with_name("counts.json")
# One turn of one oracle in a long run: short enough that all of them get many turns. [s]
TURN = 20.0


def oracles() -> dict[str, Run]:
    """Every oracle by the name of its module."""
    found = {}
    for info in pkgutil.iter_modules(tests.oracles.__path__):
        if info.name == "__main__" or info.name.startswith("test_"):
            continue
        run = getattr(importlib.import_module(f"tests.oracles.{info.name}"), "run", None)
        if run is not None:
            found[info.name] = run
    return found


def main() -> int:
    """Run them and print a table; 1 where one found something dangerous or fell over."""
    parser = argparse.ArgumentParser(prog="python -m tests.oracles")
    parser.add_argument("--hours", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=None, help="of the first turn; the next ones count up")
    parser.add_argument("--only", action="append", help="name of an oracle; repeat for more")
    parser.add_argument("--write", action="store_true", help="keep the counts for docs/validation.md")
    asked = parser.parse_args()
    chosen = {name: run for name, run in oracles().items() if not asked.only or name in asked.only}
    if not chosen:
        print(f"no such oracle; there are: {', '.join(oracles())}")
        return 2
    seed = int(time.time()) if asked.seed is None else asked.seed
    first = seed
    end = time.monotonic() + asked.hours * 3600.0
    counts = {name: Count() for name in chosen}
    turn = min(TURN, asked.hours * 3600.0 / len(chosen))
    while True:
        for name, run in chosen.items():
            found = run(np.random.default_rng(seed), turn)
            for words in found.examples:
                print(f"{name}, seed {seed}: {words}", flush=True)
            counts[name].add(found)
        seed += 1
        if time.monotonic() >= end:
            break
    print(f"seeds {first} to {seed - 1}")
    print(f"{'oracle':24} {'cases':>9} {'dangerous':>9} {'wide':>9} {'crashes':>9}")
    for name, count in counts.items():
        print(f"{name:24} {count.cases:9} {count.dangerous:9} {count.wide:9} {count.crashes:9}")
    if asked.write:
        kept = {
            "seeds": [first, seed - 1],
            "oracles": {
                name: [count.cases, count.dangerous, count.wide, count.crashes]
                for name, count in sorted(counts.items())
            },
        }
        COUNTS.write_text(json.dumps(kept) + "\n", encoding="utf-8")
    return 0 if all(count.clean for count in counts.values()) else 1


if __name__ == "__main__":
    sys.exit(main())
