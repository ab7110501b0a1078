"""Work in processes that can be killed: each begins with the program already loaded, as a copy of one that did so."""

from __future__ import annotations

import datetime
import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerProcess
from pathlib import Path

from handling_db.database.build import build_database
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import take

_FORKS = multiprocessing.get_context("forkserver")
_FORKS.set_forkserver_preload(["tests.killing"])

Work = Callable[[Connection, str, str], None]  # says when it begins and when it is done


def taking(told: Connection, folder: str, parcel: str) -> None:
    """Take a parcel into a folder."""
    opened = open_parcel(Path(parcel)).parcel
    assert opened is not None
    told.send("ready")
    take(Path(folder), opened, datetime.date(2026, 11, 25))
    told.send("done")


def building(told: Connection, folder: str, target: str) -> None:
    """Build a database from a folder."""
    told.send("ready")
    build_database([Path(folder)], Path(target))
    told.send("done")


def begun(work: Work, *paths: Path) -> tuple[ForkServerProcess, Connection]:
    """A process that is about to begin, and what it says from now on."""
    said, told = _FORKS.Pipe(duplex=False)
    process = _FORKS.Process(target=work, args=(told, *map(str, paths)), daemon=True)
    process.start()
    told.close()
    assert said.recv() == "ready"
    return process, said


def is_done(said: Connection) -> bool:
    """Whether a process that has ended came to the end of its work."""
    try:
        return said.poll() and said.recv() == "done"
    except EOFError:
        return False
