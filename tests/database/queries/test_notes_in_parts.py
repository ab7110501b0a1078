"""A list of notes of which a part is read holds the notes that the whole list holds, in its order."""

from __future__ import annotations

from pathlib import Path

import pytest

from handling_db.database import queries
from handling_db.database.queries.notes import STORED_ENERGY

ASKED = (
    {},
    {"kind": "tie"},
    {"kind": STORED_ENERGY},
    {"shop": "quay-shed-nine"},
    {"text": "oil"},
    {"text": "the", "kind": "order"},
    {"code": "differential-section"},
    {"code": "transfer-box", "text": "bolt", "shop": "quay-shed-nine"},
    {"code": "parking-brake-caliper", "kind": "turn"},
)


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_parts_are_those_of_the_whole_list(demo_db: Path, asked: dict[str, str]) -> None:
    connection = queries.open_database(demo_db)
    whole = queries.notes_for(connection, **asked)

    found = queries.notes_found(connection, **asked)

    rest = [note for note in whole if note.kind != STORED_ENERGY]
    assert queries.notes_at(connection, found.rest, found.marked) == rest
    for start in range(0, len(rest), 3):
        assert (
            queries.notes_at(connection, found.rest[start : start + 3], found.marked)
            == rest[start : start + 3]
        )
    urgent = queries.notes_for(connection, code=asked.get("code"), kind=STORED_ENERGY)
    assert queries.notes_at(connection, found.urgent) == urgent


def test_a_list_without_notes_is_empty(demo_db: Path) -> None:
    connection = queries.open_database(demo_db)

    assert queries.notes_at(connection, queries.notes_found(connection, shop="no such shop").rest) == []
    assert queries.note_kinds(connection)[0] == STORED_ENERGY
