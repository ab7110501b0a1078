"""The long run: ``python -m tests.attacks [NAME[=COUNT] ...] [--seed N] [--share X] [--write]``.

Without names every module of this folder runs, each with its own count; ``--share 0.01`` makes a hundredth of each.
The status is 1 if anything was seen that must not be. ``--write`` keeps what was reached for ``docs/validation.md``.
"""

from __future__ import annotations

import argparse
import importlib
import json
import pkgutil
import random
import sys
import time
from pathlib import Path
from typing import Any

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
COUNTS = Path(__file__).with_name("counts.json")


def keep(name: str, reached: dict[str, Any]) -> None:
    """Keep what one run reached, in place of what was kept of it before."""
    kept = json.loads(COUNTS.read_text("utf-8")) if COUNTS.exists() else {}
    COUNTS.write_text(json.dumps({**kept, name: reached}, indent=1, sort_keys=True) + "\n", "utf-8")


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
    parser.add_argument("--write", action="store_true", help="keep what was reached in counts.json")
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
        if asked.write:
            keep(name, {"seed": asked.seed, "attacks": count, "seen": dict(counts)})
    sys.exit(status)


if __name__ == "__main__":
    main()
