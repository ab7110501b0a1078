"""Taking a parcel while the process is killed: what a killed run may leave, and how the runs are made."""

from __future__ import annotations

import datetime
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

from handling_db.files.folders import read_collection
from handling_db.records.written import version
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import TAKEN, own_collection, take

DAY = datetime.date(2026, 11, 25)

_CHILD = """
import datetime, sys
from pathlib import Path
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import take
parcel = open_parcel(Path(sys.argv[2])).parcel
print("ready", flush=True)
take(Path(sys.argv[1]), parcel, datetime.date(2026, 11, 25))
print("done", flush=True)
"""


def inventory(folder: Path) -> dict[tuple[str, str], str]:
    """Version of every record that a reader sees; it must see no fault."""
    reading = read_collection([folder], reference=False, settled=False)
    assert [str(finding) for finding in reading.findings] == []
    return {(kind, record.id): version(kind, record) for kind, record in reading.collection.records()}


def kill_while_taking(start: Path, parcel: Path, work: Path, times: int, seed: int) -> dict[str, int]:
    """Take a parcel into copies of a folder and kill each run at a random moment.

    Returns
    -------
    dict of str to int
        How many runs had taken nothing, how many everything. Any other state is an AssertionError.
    """
    chance = random.Random(seed)
    opened = open_parcel(parcel).parcel
    assert opened is not None
    before = inventory(start)
    whole = work / "whole"
    shutil.copytree(start, whole)
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", _CHILD, str(whole), str(parcel)], check=True, capture_output=True)
    longest = time.perf_counter() - began
    after = inventory(whole)
    assert before.items() < after.items()
    seen = {"nothing": 0, "everything": 0}
    writing = _time_from_ready(start, parcel, work)
    for number in range(times):
        folder = work / f"run-{number}"
        shutil.copytree(start, folder)
        child = subprocess.Popen(
            [sys.executable, "-c", _CHILD, str(folder), str(parcel)], stdout=subprocess.PIPE
        )
        assert child.stdout is not None
        child.stdout.readline()
        time.sleep(chance.uniform(0, writing * 1.1))
        os.kill(child.pid, signal.SIGKILL)
        child.wait(timeout=longest + 60)
        child.stdout.close()
        found = inventory(folder)
        assert found in (before, after), "half taken"
        seen["everything" if found == after else "nothing"] += 1
        # The next run clears what was left behind and takes everything.
        take(folder, opened, DAY)
        assert inventory(folder) == after
        assert not [file for file in (folder / TAKEN).iterdir() if file.name.startswith(".")]
        assert own_collection(folder).origins
        shutil.rmtree(folder)
    return seen


def _time_from_ready(start: Path, parcel: Path, work: Path) -> float:
    """How long a whole take lasts once the parcel is read. [s]"""
    folder = work / "timed"
    shutil.copytree(start, folder)
    child = subprocess.Popen([sys.executable, "-c", _CHILD, str(folder), str(parcel)], stdout=subprocess.PIPE)
    assert child.stdout is not None
    child.stdout.readline()
    began = time.perf_counter()
    child.stdout.readline()
    lasted = time.perf_counter() - began
    child.wait()
    child.stdout.close()
    return lasted
