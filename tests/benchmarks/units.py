"""Rows of the benchmarks about one unit of a shop: questions, their pages, and parcels, against the demo's."""

from __future__ import annotations

import asyncio
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from handling_db.cli import main
from handling_db.database.cache import let_go
from handling_db.database.edited.build import build_over
from handling_db.database.queries import open_database, stamp
from handling_db.database.queries.records import record_of
from handling_db.files.folders import data_folder
from tests.benchmarks.clock import Line, side_by_side
from tests.benchmarks.shop import write_shop

QUESTIONS = (
    ("lift", "upper-half-lift"),
    ("turn", "turn-onto-front-face"),
    ("move", "upper-half-lift", "--shop", "quay-shed-nine"),
    ("joint", "section-joint"),
    ("legs", "upper-half-with-brake"),
    ("hands", "parking-brake-caliper"),
    ("why", "differential-section"),
    ("bounds", "differential-section"),
    ("explain", "differential-section"),
)
PAGES = (
    "/component/{}differential-section",
    "/lift/{}upper-half-lift",
    "/turn/{}turn-onto-front-face",
    "/move/{}upper-half-lift",
    "/joint/{}section-joint",
    "/level/{}upper-half-with-brake",
    "/hands/{}parking-brake-caliper",
)
TURNS = 7


@dataclass(frozen=True, slots=True)
class Asked:
    """Where the questions go: a folder, the database built from it, and what the ids of the unit begin with."""

    folder: Path
    database: Path
    unit: str


def rows_of_units(folder: Path, components: int, seed: int) -> Iterator[Line]:
    """Questions about one unit in a shop's records against the same in the demo's. CPU time."""
    shop, demo = _drawn(folder, components, seed), Asked(folder / "demo", folder / "demo-asked.db", "")
    if not demo.folder.exists():
        shutil.copytree(data_folder() / "demo", demo.folder)
    many = _built(shop)
    _built(demo)
    yield from _questions(shop, demo, many)
    yield from _pages(shop, demo, many)
    yield from _parcels(folder, shop, demo, many)


def _drawn(folder: Path, components: int, seed: int) -> Asked:
    large = folder / f"asked-{components}"
    if not large.exists():  # of an earlier run with the same folder
        write_shop(large, components, seed)
    return Asked(large, folder / f"asked-{components}.db", f"u{components // 200:04d}-")


def _built(asked: Asked) -> int:
    build_over([asked.folder], asked.database)
    connection = open_database(asked.database)
    return int(connection.execute("select count(*) from component").fetchone()[0])


def _questions(shop: Asked, demo: Asked, many: int) -> Iterator[Line]:
    stamps = {one.unit: stamp(open_database(one.database)).stamp for one in (shop, demo)}

    def ask(words: tuple[str, ...], asked: Asked) -> Callable[[], None]:
        command, name, *more = words

        def run() -> None:
            record_of.cache_clear()
            for _ in range(2):  # collections that nobody asked for while two files were let go are forgotten
                let_go(stamps[asked.unit])
            told = CliRunner().invoke(main, [command, asked.unit + name, *more, "--db", str(asked.database)])
            assert told.exit_code in (0, 1, 3, 4), told.output

        run()
        return run

    for words in QUESTIONS:
        took, base = side_by_side(ask(words, shop), ask(words, demo), TURNS, time.process_time)
        yield Line(f"{words[0]} of one unit among {many:,} components, CPU", "of the demo", took, base, 1.3)


def _pages(shop: Asked, demo: Asked, many: int) -> Iterator[Line]:
    from handling_db.web.serving import application

    loop = asyncio.new_event_loop()
    served: dict[str, Any] = {one.unit: application(one.database) for one in (shop, demo)}
    asked_for = iter(range(1_000_000))

    def page(path: str, asked: Asked) -> Callable[[], None]:
        def get() -> None:
            address = f"{path.format(asked.unit)}?n={next(asked_for)}"
            response = loop.run_until_complete(served[asked.unit].client.get(address))
            assert response.status_code == 200, response.text[:200]

        get()
        return get

    for path in PAGES:
        took, base = side_by_side(page(path, shop), page(path, demo), TURNS, time.process_time)
        what = f"page {path.format('')} of a unit among {many:,} components, written anew, CPU"
        yield Line(what, "of the demo", took, base, 1.3)
    loop.close()


def _parcels(folder: Path, shop: Asked, demo: Asked, many: int) -> Iterator[Line]:
    """Whole processes: a unit made and looked at where it is known, one of another shop looked at and taken."""
    far = _far_unit(folder, shop)
    took: dict[str, dict[str, list[float]]] = {}
    for _ in range(3):
        for one in (shop, demo):
            out, there = folder / f"{one.unit}sent.zip", str(one.folder)
            out.unlink(missing_ok=True)
            about = ["--component", f"{one.unit}transfer-box", "--shop", "quay", "--by", "foreman"]
            for what, words in (
                ("make", ["make", there, "-o", str(out), *about]),
                ("look", ["look", there, str(out)]),
                ("look at another shop's", ["look", there, str(far)]),
                ("take another shop's", ["take", there, str(far)]),
            ):
                # the demo's is made of its records, as before; a shop's database is asked in their place
                db = ["--db", str(one.database)] if one.unit else []
                took.setdefault(what, {}).setdefault(one.unit, []).append(_run(["parcel", *words, *db]))
            shutil.rmtree(one.folder / "taken")  # so that the folder is again as the database was built of it
    for what, by_unit in took.items():
        ours, base = (sorted(by_unit[one.unit])[1] for one in (shop, demo))
        name = f"parcel of one unit among {many:,} components, {what}, whole process, CPU"
        yield Line(name, "in the demo, from its records", ours, base, 3)


def _far_unit(folder: Path, shop: Asked) -> Path:
    """A parcel of a unit that stands nowhere here, though its names do."""
    records, out = folder / "far", folder / "far.zip"
    if not out.exists():
        for file in [*shop.folder.rglob("*.yml")]:
            if file.relative_to(shop.folder).parts[0] in ("shop", shop.unit.removesuffix("-")):
                there = records / file.relative_to(shop.folder)
                there.parent.mkdir(parents=True, exist_ok=True)
                text = file.read_text(encoding="utf-8").replace(shop.unit, "w0001-")
                there.write_text(text, encoding="utf-8")
        about = ["--component", "w0001-transfer-box", "--shop", "far", "--by", "foreman"]
        _run(["parcel", "make", str(records), "-o", str(out), *about])
    return out


def _run(words: list[str]) -> float:
    """Time of processors that a command took. [s]"""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    ask = [sys.executable, "-c", "from handling_db.cli import main; main()", *words]
    done = subprocess.run(ask, check=False, capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stderr
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
