"""A shop of its own with the tree of another shop in force, and what else came along waiting for review."""

from __future__ import annotations

import datetime
import random
import shutil
from pathlib import Path
from typing import Any

from handling_db.sharing.read import open_parcel
from handling_db.sharing.take_in import take
from tests.attacks.parcels import LOCAL, own_tree, parcel

# For a part of ours: it waits.
HEAVY = {
    "weighing": "their-weighing", "of": "rear-case", "gross": "520 kg", "tare": "none", "checked by": "fitter",
    "plus or minus": "1 kg", "state": "dry", "source": "their-scale", "on": "2026-11-20", "by": "fitter",
}  # fmt: skip


def received(folder: Path, *more: dict[str, Any]) -> Path:
    """Make the folder of that shop, with more records in the parcel that it took in."""
    folder.mkdir()
    shutil.copy(LOCAL, folder / "local.yml")
    opened = open_parcel(parcel(folder.parent / "sent.zip", [*own_tree(random.Random(1)), *more])).parcel
    assert opened is not None
    take(folder, opened, datetime.date(2026, 11, 25))
    return folder
