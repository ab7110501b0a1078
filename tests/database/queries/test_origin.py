"""What lies beside an answer about one unit is what all records say of it."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from handling_db.database.edited.build import build_over
from handling_db.database.queries import open_database
from handling_db.database.queries.collection import whole_collection
from handling_db.database.queries.origin import _records_beside, marks_beside, marks_of
from handling_db.records.versions import came_from
from handling_db.sharing.marks import marks_about
from handling_db.sharing.take_in import take
from tests.database.edited.test_random_edits import Shop
from tests.database.parcels.test_own_records import DAY, Sender, sent


@pytest.mark.slow
@pytest.mark.parametrize("seed", [3, 4])
def test_marks_beside_an_answer_are_those_of_all_records(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    shop = Shop(tmp_path / "records", chance)
    shop.files["shop.yml"] = [one for one in shop.files["shop.yml"] if "fixture" not in one]
    shop.write()
    for number in range(3):
        parcel = sent(Sender(shop, chance), tmp_path / f"sent{number}")
        if parcel is not None:
            take(shop.folder, parcel, DAY)
    build_over([shop.folder], tmp_path / "shop.db")
    connection = open_database(tmp_path / "shop.db")
    every = whole_collection(connection)
    said, parts = 0, []
    for kind in ("component", "joint", "lift group", "gear"):
        for code in every.of_kind(kind):
            marks = marks_beside(connection, kind, code)
            assert marks == marks_about(every, kind, code), (kind, code)
            said += len(marks.sentences())
            parts.append(len(_records_beside(connection, kind, code).components))
    assert said
    assert min(parts) < len(every.components)
    assert marks_beside(connection, None, None) == marks_about(every, None, None)
    assert marks_of(connection) == came_from(every)
    assert marks_of(connection)
