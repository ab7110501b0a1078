"""Commands that write, killed at a random moment: all of it is there or none, and the next run goes through."""

from __future__ import annotations

import json
import os
import random
import shutil
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
# A process that has read the program and forks for every run, so that a kill falls into the work and not into imports.
_SERVER = """
import importlib, json, os, pkgutil, signal, sys, time
for name in ("cli", "database", "files", "sharing", "tables"):
    package = importlib.import_module(f"handling_db.{name}")
    for module in pkgutil.walk_packages(package.__path__, f"handling_db.{name}."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
import handling_db.cli
print("ready", flush=True)
for line in sys.stdin:
    words, told, kill_after = json.loads(line)
    pid = os.fork()
    if pid == 0:
        os.dup2(os.open(os.devnull, os.O_RDWR), 0)
        os.dup2(os.open(os.devnull, os.O_RDWR), 1)
        os.dup2(os.open(told, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 2)
        sys.argv = ["handling-db", *words]
        status = 70
        try:
            handling_db.cli.main()
            status = 0
        except SystemExit as end:
            status = end.code or 0
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(status)
    if kill_after is not None:
        time.sleep(kill_after)
        os.kill(pid, signal.SIGKILL)  # nobody has waited for it yet: its number is still its own
    print(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), flush=True)
"""


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


class Runs:
    """The command line, run again and again in processes of its own that can be killed."""

    def __init__(self, folder: Path) -> None:
        self._told = folder / "told.txt"
        env = {**os.environ, "PYTHONPATH": str(ROOT), "HANDLING_DB_HOME": str(folder / "home")}
        self._server = subprocess.Popen(
            [sys.executable, "-c", _SERVER], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=env, text=True
        )
        assert self._server.stdout is not None
        assert self._server.stdout.readline() == "ready\n"

    def __enter__(self) -> Runs:
        return self

    def __exit__(self, *_: object) -> None:
        self._server.communicate()  # the end of its input ends it

    def run(self, words: list[str], kill_after: float | None = None) -> tuple[int, str]:
        """Status (less than 0 for one that was killed) and what it said of faults.

        Parameters
        ----------
        words : list of str
        kill_after : float, optional
            Seconds [s] after which it is killed.
        """
        assert self._server.stdin is not None
        assert self._server.stdout is not None
        print(json.dumps([words, str(self._told), kill_after]), file=self._server.stdin, flush=True)
        status = int(self._server.stdout.readline())
        return status, self._told.read_text("utf-8", "replace") if self._told.exists() else ""


def run(rng: random.Random, count: int) -> Counts:
    """Kill so many runs."""
    seen: Counter[str] = Counter(
        {"half written": 0, "lost": 0, "tracebacks": 0, "nothing done": 0, "all done": 0}
    )
    with tempfile.TemporaryDirectory() as name, Runs(Path(name)) as runs:
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
                status, told = runs.run(command.words(folder))
                assert status == 0, (word, told)
                whole[word] = (before, command.state(folder), time.perf_counter() - began)
            before, after, lasted = whole[word]
            folder = work / f"run-{number}"
            shutil.copytree(start, folder)
            status, _ = runs.run(command.words(folder), rng.uniform(0, 1.1) * lasted)
            seen["killed while at work"] += status < 0
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
                status, told = runs.run(command.words(folder))
                if status or command.state(folder) != after:
                    seen["lost"] += 1
                    print(f"{word}: the run after it did not go through: {told[-300:]}")
            shutil.rmtree(folder)
    return seen
