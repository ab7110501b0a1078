"""How the time and the room of a whole build grow with a shop: each build in a process of its own.

``python -m tests.benchmarks.growth --components 100 1000 10000 30000`` draws shops of these sizes and prints for
each the processor time, the most memory, and by which power of the size the time grew.
"""

from __future__ import annotations

import argparse
import math
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.shop import write_shop

_BUILD = """
import resource, sys
from pathlib import Path
from handling_db.database.build import build_database
before = resource.getrusage(resource.RUSAGE_SELF)
build_database([Path(sys.argv[1])], Path(sys.argv[2]))
used = resource.getrusage(resource.RUSAGE_SELF)
spent = used.ru_utime + used.ru_stime - before.ru_utime - before.ru_stime
print(spent, used.ru_maxrss / (1024 * 1024 if sys.platform == "darwin" else 1024))
"""


@dataclass(frozen=True, slots=True)
class Grown:
    """One whole build.

    Parameters
    ----------
    components : int
    seconds : float
        Of processor time, without the start of the process. [s]
    peak : float
        The most memory the process held, all of Python in it. [MB]
    """

    components: int
    seconds: float
    peak: float


def grown(sizes: Iterable[int], seed: int, folder: Path) -> Iterator[Grown]:
    """Build shops of some sizes, each in a process of its own."""
    for size in sizes:
        shop = folder / f"shop-{size}"
        count = write_shop(shop, size, seed)
        told = subprocess.run(
            [sys.executable, "-c", _BUILD, str(shop), str(folder / "shop.db")],
            check=True,
            capture_output=True,
            text=True,
        ).stdout.split()
        yield Grown(count, float(told[0]), float(told[1]))


def power(one: Grown, other: Grown) -> float:
    """By which power of the number of components the time grew."""
    return math.log(other.seconds / one.seconds) / math.log(other.components / one.components)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--components", type=int, nargs="+", default=[100, 1_000, 3_000])
    parser.add_argument("--seed", type=int, default=20261130)
    asked = parser.parse_args()
    print(f"seed {asked.seed}\n")
    print("| components | processor time | for each | most memory | power of the size since the one before |")
    print("| ---: | ---: | ---: | ---: | ---: |")
    before: Grown | None = None
    with tempfile.TemporaryDirectory() as folder:
        for one in grown(asked.components, asked.seed, Path(folder)):
            since = "" if before is None else f"{power(before, one):.2f}"
            each = 1000 * one.seconds / one.components
            print(
                f"| {one.components:,} | {one.seconds:.1f} s | {each:.2g} ms | {one.peak:.0f} MB | {since} |",
                flush=True,
            )
            before = one


if __name__ == "__main__":
    main()
