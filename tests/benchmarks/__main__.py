"""The table of docs/performance.md: ``python -m tests.benchmarks [--lines N] [--seed N] [--only WORD]``.

Every row measures both sides in one run. Absolute times belong to the machine; the ratios are what counts.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import os
import platform
import random
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from handling_db.database import queries
from handling_db.database.build import build_database
from handling_db.database.cache import let_go
from handling_db.database.queries.hits.texts import notes_with
from handling_db.files.folders import data_folder
from handling_db.web.pages.piece import component as piece_page
from handling_db.web.pages.piece import facts as piece_facts
from handling_db.web.pages.piece import what_if
from handling_db.weights.graph.level_arrays import add_up_arrays, sort_by_level
from handling_db.weights.graph.levels import PartLines, add_up, heights
from tests.benchmarks import data
from tests.benchmarks.clock import HEAD, Line, as_ratio, both_clocks, side_by_side
from tests.benchmarks.records import rows_of_records
from tests.benchmarks.units import rows_of_units
from tests.benchmarks.user_questions import drawn
from tests.benchmarks.view import rows_of_the_view

# What pages of a piece keep for its other addresses, beside what is worked out of its numbers.
WRITTEN_OF_A_PIECE = (
    piece_page._strips,
    piece_facts._facts,
    piece_facts._answers,
    what_if._told,
)


class Work:
    """The files the rows share, made when first asked for."""

    def __init__(self, folder: Path, lines: int, seed: int, components: int) -> None:
        self.folder, self.lines, self.seed, self.components = folder, lines, seed, components
        self._made: set[Path] = set()

    def made(self, name: str, make: Callable[[Path], object]) -> Path:
        path = self.folder / name
        if path not in self._made:
            make(path)
            self._made.add(path)
        return path

    def table(self, lines: int) -> Path:
        return self.made(f"{lines}.csv", lambda path: data.shop_table(path, lines, self.seed))

    def demo(self) -> Path:
        return self.made("demo.db", lambda path: build_database([data_folder() / "demo"], path))

    def database(self, lines: int) -> Path:
        table = self.table(lines)
        return self.made(f"{lines}.db", lambda path: build_database([], path, tables=[table]))


def scan(file: Path) -> Callable[[], object]:
    connection = sqlite3.connect(f"file:{file}?mode=ro", uri=True)
    return lambda: connection.execute("select sum(quantity), sum(child), sum(parent) from usage").fetchone()


def graph(file: Path) -> tuple[Any, ...]:
    with contextlib.closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as connection:
        return data.graph(connection)


def totals(count: int, parent: Any, child: Any, quantity: Any, figures: Any, known: Any) -> object:
    return add_up_arrays(sort_by_level(count, parent, child, quantity), *figures, known)


def rows_totals(work: Work) -> Iterator[Line]:
    file = work.database(work.lines)
    arrays = graph(file)
    took, base = side_by_side(lambda: totals(*arrays), scan(file), 7)
    yield Line(
        f"totals of {work.lines:,} lines, best, low, high, heights and sort included", "scan", took, base, 0.8
    )
    took, base = side_by_side(lambda: totals(*graph(file)), scan(file), 3)
    yield Line(f"read {work.lines:,} lines and total them", "scan", took, base, 5)


def rows_build(work: Work) -> Iterator[Line]:
    table, out, bare = work.table(work.lines), work.folder / "built.db", work.folder / "bare.db"
    shell = bool(subprocess.run(["sh", "-c", "command -v sqlite3"], capture_output=True, check=False).stdout)
    create = "create table t (parent text, child text, quantity text, mass text, unit text)"
    with_python = (
        "import csv, sqlite3, sys; c = sqlite3.connect(sys.argv[1]); c.execute(sys.argv[3]); "
        "rows = csv.reader(open(sys.argv[2], newline='', encoding='utf-8')); next(rows); "
        "c.executemany('insert into t values (?, ?, ?, ?, ?)', rows); c.commit()"
    )

    def imported() -> None:
        bare.unlink(missing_ok=True)
        given = [str(bare), "-cmd", ".mode csv", create, f".import --skip 1 {table} t"]
        plain = [sys.executable, "-c", with_python, str(bare), str(table), create]
        subprocess.run(["sqlite3", *given] if shell else plain, check=True)

    keeping = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    keeping["PYTHONPYCACHEPREFIX"] = str(work.folder / "bytecode")  # kept, as where it is installed

    def built() -> None:
        start = "from handling_db.cli import main; main()"
        command = [sys.executable, "-c", start, "build", str(table), "--out", str(out), "--whole"]
        subprocess.run(command, check=True, capture_output=True, env=keeping)

    by_clock, by_processor = both_clocks(built, imported, 7)
    what = "bare .import of the same rows" if shell else "csv and executemany of the same rows"
    told = f"build of the whole file from {work.lines:,} rows, totals, checks and search, whole process"
    yield Line(told, what, *by_clock, 6, "by the clock")
    yield Line(told, what, *by_processor, 6, "processor time")
    small = work.table(work.lines // 10)
    took, base = side_by_side(
        lambda: build_database([], out, tables=[table]), lambda: build_database([], out, tables=[small]), 2
    )
    yield Line(f"build from {work.lines:,} rows", f"from {work.lines // 10:,} rows", took, base, 15)


def rows_shared(_work: Work) -> Iterator[Line]:
    wide, deep = 50, 5  # 10,000 lines and 50^5 = 312 million paths
    parent, child = data.layers(wide, deep)
    other_parent, other_child = data.tree(len(parent))

    def run(over: list[int], under: list[int]) -> Callable[[], object]:
        count = max(under) + 1
        ones, known = [1.0] * count, [False] * count
        height = heights(count, over, under)
        for node, level in enumerate(height):
            known[node] = level == 0
        lines = PartLines(over, under, [1.0] * len(over))
        return lambda: add_up(lines, (ones, ones, ones), known, 0.0)

    took, base = side_by_side(run(parent, child), run(other_parent, other_child), 9)
    yield Line(f"totals of a shared graph, {len(parent):,} lines, 312 million paths", "a tree of as many lines",
               took, base, 2)  # fmt: skip


def rows_look_up(work: Work) -> Iterator[Line]:
    file = work.database(work.lines)
    ask = [
        sys.executable,
        "-c",
        "from handling_db.cli import main; main()",
        "weight",
        "A0000123",
        "--db",
        str(file),
    ]
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}

    def run(*words: str) -> None:
        subprocess.run([sys.executable, *words], check=True, capture_output=True, env=kept)

    run(*ask[1:])  # bytecode is kept from here on
    lines = f"look-up of one component, whole process, {work.lines:,} lines"
    for what, words in ((lines, ask[1:]), ("click and sqlite3 alone", ["-c", "import click, sqlite3"])):
        clock, worked = both_clocks(lambda words=words: run(*words), lambda: run("-c", "pass"), 21)  # type: ignore[misc]
        yield Line(f"{what}, CPU", "python -c pass", *worked, 4)
        yield Line(f"{what}, by the clock", "python -c pass", *clock, 4)


def rows_page(work: Work) -> Iterator[Line]:
    from datasette.plugins import pm

    from handling_db.web.serving import application
    from tests.benchmarks.served import plugged_in

    demo = work.demo()
    plugged_in()
    served = application(demo)
    loop = asyncio.new_event_loop()

    def page(path: str) -> Callable[[], object]:
        def get() -> None:
            response = loop.run_until_complete(served.client.get(path))
            assert response.status_code == 200, response.text[:200]

        get()
        return get

    asked = iter(range(1_000_000))

    def anew(path: str) -> Callable[[], object]:
        """The page at an address nobody asked for yet, so that nothing kept answers."""

        def get() -> None:
            assert loop.run_until_complete(served.client.get(f"{path}?n={next(asked)}")).status_code == 200

        get()
        return get

    def measured(one: Callable[[], object], other: Callable[[], object], turns: int) -> tuple[float, float]:
        return side_by_side(one, other, turns, time.process_time)  # all of it happens in this process

    nothing = "plugin route that does nothing"
    stamp = queries.stamp(queries.open_database(demo)).stamp
    for what, code in (("component page", "differential-section"), ("single part", "parking-brake-caliper")):
        path = f"/component/{code}"
        took, base = measured(page(path), page("/nothing"), 41)
        yield Line(f"{what} of the demo, asked before, CPU", nothing, took, base, 2)
        again = anew(path)
        took, base = measured(again, page("/nothing"), 41)
        yield Line(f"{what} of the demo, at another address, CPU", nothing, took, base, 5)

        def unwritten(again: Callable[[], object] = again) -> None:
            for kept in (piece_page._written[served], *WRITTEN_OF_A_PIECE):
                kept.let_go(stamp)
            again()

        took, base = measured(unwritten, page("/nothing"), 41)
        yield Line("the same, nothing written of the piece yet, CPU", nothing, took, base, 5)
    lift, component = "/lift/upper-half-lift", "/component/differential-section"
    page(lift)
    told = "component page at another address"
    took, base = measured(anew(lift), anew(component), 41)
    yield Line("lift page of the demo, at another address, CPU", told, took, base, 3)
    again = anew(lift)

    def first() -> None:
        for _ in range(2):  # what is good for the next file too ends with the one after it
            let_go(stamp)
        again()

    took, _ = measured(first, lambda: None, 9)
    yield Line("the same, nothing of it worked out yet, CPU", told, took, base, 3)
    loop.close()
    pm.unregister(name="nothing")


def rows_view(work: Work) -> Iterator[Line]:
    yield from rows_of_the_view(work.demo(), work.seed)


def rows_what_if(work: Work) -> Iterator[Line]:
    lines = 5_000
    table = work.made("one.csv", lambda path: data.one_assembly(path, lines, work.seed))
    file = work.made("one.db", lambda path: build_database([], path, tables=[table]))
    connection = queries.open_database(file)
    (key,) = connection.execute("select id from component where code = 'TOP'").fetchone()
    below = (
        "with recursive below(id) as (select ? union select u.child from usage u join below b on u.parent = b.id) "
        "select u.parent, u.child, u.quantity, t.best_kg, t.low_kg, t.high_kg from below b "
        "join usage u on u.parent = b.id join total t on t.component = u.child"
    )

    def plain() -> None:
        queries.stored_answer(connection, "TOP")
        assert len(connection.execute(below, (key,)).fetchall()) == lines

    took, base = side_by_side(lambda: queries.what_if(connection, "TOP", without=["Q77"]), plain, 15)
    yield Line(
        f"what-if on an assembly of {lines:,} lines", "stored look-up and reading its lines", took, base, 3
    )


def rows_search(work: Work) -> Iterator[Line]:
    count, asked = 100_000, 100
    folder = work.made("notes", lambda path: (path.mkdir(), data.notes(path, count, work.seed)))
    file = work.made("notes.db", lambda path: build_database([folder], path))
    connection, other = queries.open_database(file), queries.open_database(file)
    texts = [row[0] for row in other.execute("select text from note where id % 97 = 0")]
    chance = random.Random(work.seed)
    common = {word for word, _ in Counter(" ".join(texts).split()).most_common(100)}
    for left_out, called in ((common, "without"), ((), "and with")):
        questions = list(dict.fromkeys(drawn(chance, texts, left_out) for _ in range(asked)))
        yield _search_line(
            other, f"search for one to four words, the last begun, {called} the hundred commonest, {count:,} notes",
            questions, lambda text: queries.search(connection, text, 40),
        )  # fmt: skip
    pieces = [chance.choice(texts)[31:45].strip() for _ in range(asked)]
    yield _search_line(
        other, f"fragment of 14 letters in {count:,} notes", pieces,
        lambda text: notes_with(connection, text, 500),
    )  # fmt: skip


def _search_line(
    other: sqlite3.Connection, what: str, questions: Sequence[str], search: Callable[[str], object]
) -> Line:
    """The question whose ratio is the median of them all, with the worst beside it; processor time.

    Each side has a connection of its own, or reading all notes would drive out of the cache what searches use;
    and all other questions are asked before one is asked again.
    """
    like = "select code from note where text like ?"
    took: dict[str, list[tuple[float, float]]] = {text: [] for text in questions}
    for _ in range(3):
        for text, measured in took.items():
            measured.append(
                side_by_side(
                    lambda text=text: search(text),
                    lambda text=text: other.execute(like, (f"%{text}%",)).fetchall(),
                    1,
                    time.process_time,
                )
            )
    found = []
    for text, measured in took.items():
        ours, base = (statistics.median(times) for times in zip(*measured, strict=True))
        found.append((ours / base, ours, base, text))
    found.sort()
    _, ours, base, _ = found[len(found) // 2]
    worst, _, _, text = found[-1]
    told = f"median of {len(found)} questions; the worst, {text!r}: {as_ratio(worst)}"
    return Line(what, "LIKE over all of them", ours, base, 0.01, told)


def rows_records(work: Work) -> Iterator[Line]:
    yield from rows_of_records(work.folder, work.components, work.seed)


def rows_fleet(work: Work) -> Iterator[Line]:
    from handling_db.fleet.engine import Bounds
    from tests.benchmarks import fleet

    yield from fleet.rows(work.folder, work.lines, work.seed, shops=10, bounds=Bounds("2GB", 2), turns=3)


def rows_units(work: Work) -> Iterator[Line]:
    yield from rows_of_units(work.folder, work.components, work.seed)


ROWS = {
    "totals": rows_totals,
    "build": rows_build,
    "shared": rows_shared,
    "look-up": rows_look_up,
    "page": rows_page,
    "view": rows_view,
    "what-if": rows_what_if,
    "search": rows_search,
    "fleet": rows_fleet,
    "records": rows_records,
    "units": rows_units,
}


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--lines", type=int, default=1_000_000, help="of the large table")
    parser.add_argument("--components", type=int, default=10_000, help="of the shop's records")
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--only", choices=ROWS, action="append", help="rows to measure; all unless given")
    parser.add_argument(
        "--folder", type=Path, help="keep what is made here, and use what an earlier run made"
    )
    asked = parser.parse_args()
    print(f"seed {asked.seed}, Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}, "
          f"numpy {np.__version__}\n\n{HEAD}", flush=True)  # fmt: skip
    with tempfile.TemporaryDirectory() as name:
        work = Work(asked.folder or Path(name), asked.lines, asked.seed, asked.components)
        for key in asked.only or ROWS:
            for line in ROWS[key](work):
                print(line, flush=True)


if __name__ == "__main__":
    main()
