"""Commands that write, killed at a random moment: all of it is there or none, and the next run goes through."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from handling_db.database.queries import open_database
from handling_db.files.folders import data_folder, read_collection
from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import own_collection
from tests.attacks import Counts
from tests.attacks.parcels import DAY, LOCAL

ROOT = Path(__file__).parents[2]
_RUN = "import handling_db.cli as c, sys; sys.argv[0] = 'handling-db'; c.main()"


@dataclass(frozen=True)
class Command:
    """A command that writes.

    Parameters
    ----------
    words : function of a folder
        Its words; the folder holds `records` and `sent.zip`.
    state : function of a folder
        What is there now, in one comparable value; raises where something is half there.
    """

    words: Callable[[Path], list[str]]
    state: Callable[[Path], object]


def _records(folder: Path) -> object:
    """Every record a reader sees, without a fault."""
    reading = read_collection([folder / "records"], settled=False)
    assert [str(one) for one in reading.findings] == []
    return len([*reading.collection.records()])


def _texts(folder: Path) -> object:
    return sorted((str(f.relative_to(folder)), f.read_bytes()) for f in (folder / "records").rglob("*.yml"))


def _file(name: str, good: Callable[[Path], object]) -> Callable[[Path], object]:
    def state(folder: Path) -> object:
        return good(folder / name) if (folder / name).exists() else None

    return state


def _database(file: Path) -> object:
    connection = open_database(file)
    try:
        assert connection.execute("pragma integrity_check").fetchone()[0] == "ok"
        return connection.execute("select count(*) from component").fetchone()[0]
    finally:
        connection.close()


def _parcel(file: Path) -> object:
    reading = open_parcel(file)
    assert reading.parcel is not None, [str(one) for one in reading.findings]
    return reading.parcel.manifest.id


def _weighing(folder: Path) -> list[str]:
    return [
        "add-weighing", str(folder / "records"), "--of", "pump", "--gross", "8.8 kg", "--tare", "none", "--state", "dry",
        "--source", "floor-scale", "--by", "fitter",
    ]  # fmt: skip


def _make(folder: Path) -> list[str]:
    return [
        "parcel", "make", str(folder / "records"), "-o", str(folder / "out.zip"), "--all", "--shop", "quay", "--by",
        "foreman", "--on", "2026-11-25",
    ]  # fmt: skip


COMMANDS: dict[str, Command] = {
    "take": Command(lambda f: ["parcel", "take", str(f / "records"), str(f / "sent.zip")], _records),
    "add-weighing": Command(_weighing, _records),
    "build": Command(
        lambda f: ["build", str(f / "records"), "-o", str(f / "x.db")], _file("x.db", _database)
    ),
    "make": Command(_make, _file("out.zip", _parcel)),
    "export": Command(
        lambda f: ["export", str(f / "records"), "-o", str(f / "tables")],
        _file("tables", lambda folder: sorted(one.name for one in folder.iterdir())),
    ),
    "tidy": Command(lambda f: ["tidy", str(f / "records")], _texts),
    "demo": Command(
        lambda f: ["demo", "--no-serve", str(f / "demo")],
        _file("demo/records", lambda folder: len([*read_collection([folder]).collection.records()])),
    ),
}


def _start(folder: Path, words: list[str]) -> subprocess.Popen[bytes]:
    env = {**os.environ, "PYTHONPATH": str(ROOT), "HANDLING_DB_HOME": str(folder / "home")}
    return subprocess.Popen(
        [sys.executable, "-c", _RUN, *words], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=env
    )


def run(rng: random.Random, count: int) -> Counts:
    """Kill so many runs."""
    seen: Counter[str] = Counter(
        {"half written": 0, "lost": 0, "tracebacks": 0, "nothing done": 0, "all done": 0}
    )
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        start = work / "start"
        (start / "records").mkdir(parents=True)
        shutil.copy(LOCAL, start / "records" / "local.yml")
        demo = own_collection(data_folder() / "demo", reference=False)
        keys, about = chosen_keys(demo)
        (start / "sent.zip").write_bytes(
            make_parcel(demo, keys, about=about, sender="far-shed", by="foreman", on=DAY)
        )
        whole: dict[str, tuple[object, object, float]] = {}
        for number in range(count):
            word = rng.choice(list(COMMANDS))
            command = COMMANDS[word]
            if word not in whole:  # once in peace: what it comes to, and how long that takes
                folder = work / f"{word}-whole"
                shutil.copytree(start, folder)
                before = command.state(folder)
                began = time.perf_counter()
                process = _start(folder, command.words(folder))
                told = process.communicate()[1]
                assert process.returncode == 0, (word, told)
                whole[word] = (before, command.state(folder), time.perf_counter() - began)
            before, after, lasted = whole[word]
            folder = work / f"run-{number}"
            shutil.copytree(start, folder)
            process = _start(folder, command.words(folder))
            time.sleep(rng.uniform(0.3, 1.1) * lasted)
            os.kill(process.pid, signal.SIGKILL)
            process.communicate()
            try:
                state = command.state(folder)
            except Exception as error:
                seen["half written"] += 1
                print(f"{word}: {type(error).__name__}: {error}"[:300])
                continue
            # tidy writes file after file, each whole
            if state not in (before, after) and word != "tidy":
                seen["half written"] += 1
                print(f"{word}: neither what was there before nor what it comes to")
            seen["all done" if state == after else "nothing done"] += 1
            if number % 5 == 0 and state != after:
                again = _start(folder, command.words(folder))
                told = again.communicate()[1]
                if again.returncode or command.state(folder) != after:
                    seen["lost"] += 1
                    print(f"{word}: the run after it did not go through: {told.decode()[-300:]}")
            shutil.rmtree(folder)
    return seen
