"""What a large build keeps of freed memory is given back when it is done."""

from __future__ import annotations

import ctypes
import subprocess
import sys

import pytest

from handling_db.tables.bulk.room import room_kept

HELD = """
import resource
import numpy as np
from handling_db.tables.bulk.room import room_kept

def held():
    with open("/proc/self/statm") as told:
        return int(told.read().split()[1]) * resource.getpagesize() >> 20

before = held()
with room_kept():
    columns = [np.ones(1 << 21) for _ in range(12)]  # 16 MB each
    del columns
    kept = held() - before
print(kept, held() - before)
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="asks Linux what is held")
def test_freed_room_is_kept_and_then_given_back() -> None:
    ran = subprocess.run([sys.executable, "-c", HELD], capture_output=True, text=True, check=True)
    kept, left = map(int, ran.stdout.split())
    assert kept > 150
    assert left < 20


def test_another_c_library_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ctypes, "CDLL", lambda _: object())
    with room_kept():
        pass
    with pytest.raises(KeyError), room_kept():
        raise KeyError
