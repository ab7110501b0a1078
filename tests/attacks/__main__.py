"""The long run: ``python -m tests.attacks [NAME[=COUNT] ...] [--seed N] [--share X]``.

Without names every module of this folder runs, each with its own count; ``--share 0.01`` makes a hundredth of each.
The status is 1 if anything was seen that must not be.
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
import random
import sys
import time

import tests.attacks as here
from tests.attacks import bad

# How many of each make the long run; a module without a line here runs this many.
LONG = {
    "records": 100_000,
    "tables": 100_000,
    "kills": 500,
    "requests": 25_000,
    "parcels": 5_000,
    "sheets": 5_000,
}
OTHERWISE = 5_000


def main() -> None:
    """Run, print one line a module, exit with 1 if anything bad was seen."""
    found = sorted(
        m.name for m in pkgutil.iter_modules(here.__path__) if not m.name.startswith(("_", "test_"))
    )
    attacks = [name for name in found if hasattr(importlib.import_module(f"tests.attacks.{name}"), "run")]
    parser = argparse.ArgumentParser(prog="python -m tests.attacks", description=__doc__)
    parser.add_argument("names", nargs="*", help=f"of: {', '.join(attacks)}; NAME=COUNT for another number")
    parser.add_argument("--seed", type=int, default=20261130)
    parser.add_argument("--share", type=float, default=1.0, help="of each long run")
    asked = parser.parse_args()
    wanted = dict(one.partition("=")[::2] for one in asked.names) or dict.fromkeys(attacks, "")
    status = 0
    for name, number in wanted.items():
        module = importlib.import_module(f"tests.attacks.{name}")
        count = int(number) if number else max(1, round(LONG.get(name, OTHERWISE) * asked.share))
        began = time.perf_counter()
        counts = module.run(random.Random(f"{asked.seed} {name}"), count)
        took = time.perf_counter() - began
        told = ", ".join(f"{what} {seen}" for what, seen in counts.items())
        wrong = bad(counts)
        print(f"{name}: {count} attacks in {took:.0f} s: {told}{'  <-- BAD' if wrong else ''}", flush=True)
        status |= bool(wrong)
    sys.exit(status)


if __name__ == "__main__":
    main()
