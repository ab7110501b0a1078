"""A made-up fleet of any size as its tables, and its roll-up against our own arrays, in one run.

``python -m tests.benchmarks.fleet --lines 10000000 [--shops 10] [--threads 2] [--memory 2GB] [--turns 3]``

Both sides read the same Parquet files. Ours takes them into arrays and adds up in one thread, all of it in memory.
The roll-up looks at the folders first, and is then measured alone and as all of ``fleet total``: with the comparison
of every total with the shop's own, and the file that is written.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from handling_db.fleet.disagree import disagreements
from handling_db.fleet.engine import Bounds, opened
from handling_db.fleet.exact import Exact
from handling_db.fleet.folders import lay_out
from handling_db.fleet.missing import missing
from handling_db.fleet.roll_up import add_up, climb
from handling_db.fleet.tables import COLUMNS, file_of
from handling_db.fleet.total import FleetTotal, fleet_total
from handling_db.fleet.where_used import where_used
from handling_db.weights.graph.level_arrays import ArraySums, add_up_arrays, sort_by_level
from tests.benchmarks.clock import HEAD, Line, side_by_side


def shop_graph(lines: int, chance: np.random.Generator) -> tuple[Any, ...]:
    """A tree of assemblies, eight to each, a tenth of the lines; parts, a quarter as many, 3 % of them not weighed."""
    assemblies, parts = max(lines // 10, 2), max(lines // 4, 1)
    numbers = np.arange(1, assemblies)
    many = lines - numbers.size
    parent = np.concatenate([(numbers - 1) // 8, chance.integers(0, assemblies, many)])
    child = np.concatenate([numbers, assemblies + chance.integers(0, parts, many)])
    quantity = np.concatenate([np.ones(numbers.size), chance.integers(1, 9, many).astype(float)])
    best = np.round(chance.lognormal(0, 1.5, parts) + 0.01, 2)
    known = chance.random(parts) > 0.03
    return assemblies, parts, parent.astype(np.int64), child.astype(np.int64), quantity, best, known


def totals_of(shop: tuple[Any, ...]) -> ArraySums:
    """A shop's totals by our own arrays."""
    assemblies, parts, parent, child, quantity, best, known = shop
    figures = np.zeros((3, assemblies + parts))
    figures[:, assemblies:] = best, best - 0.005, best + 0.005
    there = np.concatenate([np.zeros(assemblies, dtype=np.bool_), known])
    levels = sort_by_level(assemblies + parts, parent.astype(np.int32), child.astype(np.int32), quantity)
    return add_up_arrays(levels, *figures, there)


def write_shop(connection: Any, folder: Path, name: str, shop: tuple[Any, ...]) -> None:
    """A shop's tables straight out of arrays, its own totals with them."""
    assemblies, parts, parent, child, quantity, best, known = shop
    sums = totals_of(shop)
    nodes = {"node": np.arange(assemblies + parts), "parted": sums.height > 0}
    lines = {"parent": parent, "child": child, "position": np.arange(parent.size), "quantity": quantity}
    masses = {"node": assemblies + np.flatnonzero(known), "best": best[known]}
    totals = {
        "node": nodes["node"], "best": sums.best, "low": sums.low, "high": sums.high, "complete": sums.complete,
        "known": sums.complete | (sums.high > 0), "height": sums.height, "whole": sums.height > 0,
    }  # fmt: skip
    own = f"'{name}', 'made-up'"
    questions = {
        "names": f"""select {own}, node, case when parted then 'A' else 'P' end || node, '', true, 'Piece ' || node,
          case when parted then 'assembly' else 'part' end, 'Maker', node::varchar, parted, false, 0, null, null
          from nodes""",
        "lines": f"select {own}, parent, child, position, quantity, quantity::bigint::varchar from lines",
        "masses": f"""select {own}, node, 'every', best, best - 0.005, best + 0.005, null, null, null, 'statement',
          'scale', 'weighed', best::varchar || ' kg', null, null from masses""",
        "statements": f"select {own}, {', '.join('null' for _ in COLUMNS['statements'][2:])} limit 0",
        "totals": f"""select {own}, node, 'every', case when known then best end, case when known then low end,
          case when known then high end, null, null, null, complete,
          case when whole then 'sum of parts' when complete then 'statement' else 'nobody knows' end, height, null,
          null, null from totals""",
        "findings": f"select {own}, {', '.join('null' for _ in COLUMNS['findings'][2:])} limit 0",
    }
    folder.mkdir()
    for table, question in questions.items():
        columns = ", ".join(
            f"cast(column_{i} as {kind}) as {column}" for i, (column, kind) in enumerate(COLUMNS[table])
        )
        named = ", ".join(f"column_{i}" for i in range(len(COLUMNS[table])))
        made = f"select {columns} from ({question}) as made({named})"
        connection.execute(f"copy ({made}) to '{folder / file_of(table)}' (format parquet)")
    del nodes, lines, masses, totals


def write_fleet(folder: Path, lines: int, shops: int, seed: int) -> list[Path]:
    """Folders of so many shops with so many part lines together."""
    import duckdb

    chance = np.random.default_rng(seed)
    made = []
    with duckdb.connect() as connection:
        for number in range(shops):
            made.append(folder / f"shop-{number}")
            write_shop(connection, made[-1], f"shop-{number}", shop_graph(lines // shops, chance))
    return made


def by_arrays(folders: list[Path]) -> Callable[[], object]:
    """The same files into arrays, and each shop added up."""
    import duckdb

    def run() -> None:
        with duckdb.connect(config={"threads": 1}) as connection:
            for folder in folders:
                read = f"from read_parquet('{folder}/"
                lines = connection.execute(
                    f"select parent, child, quantity {read}lines.parquet')"
                ).fetchnumpy()
                masses = connection.execute(
                    f"select node, best_kg, low_kg, high_kg {read}masses.parquet')"
                ).fetchnumpy()
                (count,) = connection.execute(f"select count(*) {read}names.parquet')").fetchone() or (0,)
                figures, known = np.zeros((3, count)), np.zeros(count, dtype=np.bool_)
                known[masses["node"]] = True
                for kept, name in zip(figures, ("best_kg", "low_kg", "high_kg"), strict=True):
                    kept[masses["node"]] = masses[name]
                levels = sort_by_level(
                    count,
                    lines["parent"].astype(np.int32),
                    lines["child"].astype(np.int32),
                    np.asarray(lines["quantity"]),
                )
                add_up_arrays(levels, *figures, known)

    return run


def rolled_up(folders: list[Path], out: Path, bounds: Bounds) -> FleetTotal:
    """All of ``fleet total``."""
    out.unlink(missing_ok=True)
    found = fleet_total(folders, out, bounds)
    assert found.apart == (), found.apart[:5]
    return found


def roll_up_alone(folders: list[Path], bounds: Bounds) -> None:
    """Ids, heights and totals, and nothing written or compared."""
    with opened(bounds) as engine:
        lay_out(engine, folders, sums=True)
        add_up(engine, climb(engine), Exact(engine).stands)


def rows(folder: Path, lines: int, seed: int, *, shops: int, bounds: Bounds, turns: int) -> Iterator[Line]:
    """The rows of the table."""
    room = folder / f"fleet-{lines}"
    room.mkdir()
    folders = write_fleet(room, lines, shops, seed)
    what = f"{shops} shops, {lines:,} lines, {bounds.threads} threads, {bounds.memory}"
    alone, arrays = lambda: roll_up_alone(folders, bounds), by_arrays(folders)
    took, base = side_by_side(alone, arrays, turns)
    yield Line(f"roll-up of {what}", "the same files into our arrays, one thread", took, base, 0.5)
    took, base = side_by_side(alone, arrays, turns, time.process_time)
    yield Line("the same, time of processors", "the arrays, time of processors", took, base, 1)
    took, base = side_by_side(lambda: rolled_up(folders, room / "totals.parquet", bounds), alone, turns)
    yield Line("compared with the shops' own totals and written", "the roll-up alone", took, base, 3)
    # What is to be reached here only shows when something grew slow; in this fleet all part numbers disagree.
    questions: dict[str, tuple[float, Callable[[], object]]] = {
        "missing: parts without a mass, and who has them": (3, lambda: missing(folders, bounds)),
        "disagree: all part numbers, each with the figures of all shops": (
            15,
            lambda: disagreements(folders, bounds),
        ),
        "where-used: one part in all shops": (
            3,
            lambda: where_used(f"shop-0:P{lines // shops // 10 + 1}", folders, bounds),
        ),
    }
    for called, (reach, ask) in questions.items():
        took, base = side_by_side(ask, alone, turns, time.process_time)
        yield Line(called, "the roll-up alone, time of processors", took, base, reach)
    shutil.rmtree(room)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--lines", type=int, default=1_000_000)
    parser.add_argument("--shops", type=int, default=10)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--memory", default="1GB")
    parser.add_argument("--turns", type=int, default=3)
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--alone", action="store_true", help="the roll-up only, once: for its memory")
    asked = parser.parse_args()
    bounds = Bounds(asked.memory, asked.threads)
    with tempfile.TemporaryDirectory() as name:
        if asked.alone:
            folders = write_fleet(Path(name), asked.lines, asked.shops, asked.seed)
            before, start = resource.getrusage(resource.RUSAGE_SELF), time.perf_counter()
            found = rolled_up(folders, Path(name) / "totals.parquet", bounds)
            after, took = resource.getrusage(resource.RUSAGE_SELF), time.perf_counter() - start
            print(f"{asked.lines:,} lines, {found.levels} levels: {took:.1f} s, "
                  f"{after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime:.1f} s of processors, "
                  f"largest {after.ru_maxrss / 1024:.0f} MB (with the writing of the tables, {before.ru_maxrss / 1024:.0f} MB)")  # fmt: skip
            return
        print(HEAD)
        for line in rows(
            Path(name), asked.lines, asked.seed, shops=asked.shops, bounds=bounds, turns=asked.turns
        ):
            print(line, flush=True)


if __name__ == "__main__":
    main()
