"""The one place where a new id is made from this machine's clock and chance."""

from __future__ import annotations

import os
import time

from handling_db.records.ids import RANDOM_BYTES, time_ordered_id


def new_id() -> str:
    """A time-ordered id that no other shop makes."""
    return time_ordered_id(time.time_ns() // 1_000_000, os.urandom(RANDOM_BYTES))
