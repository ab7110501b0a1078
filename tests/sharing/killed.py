"""Taking a parcel while the process is killed: what a killed run may leave, and how the runs are made."""

from __future__ import annotations

import datetime
import random
import shutil
import time
from pathlib import Path

from handling_db.files.folders import read_collection
from handling_db.records.written import version
from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import TAKEN, own_collection, take
from tests.killing import begun, taking

DAY = datetime.date(2026, 11, 25)


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
    child, said = begun(taking, whole, parcel)
    began = time.perf_counter()
    assert said.recv() == "done"
    writing = time.perf_counter() - began
    child.join()
    after = inventory(whole)
    assert before.items() < after.items()
    seen = {"nothing": 0, "everything": 0}
    for number in range(times):
        folder = work / f"run-{number}"
        shutil.copytree(start, folder)
        child, said = begun(taking, folder, parcel)
        time.sleep(chance.uniform(0, writing * 1.1))
        child.kill()
        child.join(timeout=writing + 60)
        said.close()
        found = inventory(folder)
        assert found in (before, after), "half taken"
        seen["everything" if found == after else "nothing"] += 1
        # The next run clears what was left behind and takes everything.
        take(folder, opened, DAY)
        assert inventory(folder) == after
        assert not [file for file in (folder / TAKEN).iterdir() if file.name.startswith(".")]
        if number == 0:
            assert own_collection(folder).origins
        shutil.rmtree(folder)
    return seen
