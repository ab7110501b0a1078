"""The index: every name from A to Z, part numbers, and the words of notes."""

from __future__ import annotations

import sqlite3
from typing import Any

from datasette.utils import tilde_encode

from handling_db.database.queries.index import letters, named, numbered, words_of_notes
from handling_db.errors import HandlingError
from handling_db.lookup.listings import IndexEntry
from handling_db.web.pages.sending import Visit, shown

LONGEST = 2_000  # lines on one page; a longer index has a page a letter

_PATHS = {"component": "/component/", "lift group": "/lift/", "joint": "/joint/"}
_KINDS = {"component": "", "lift group": "lift", "joint": "joint"}


@shown("a-z.html")
def a_to_z(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Every piece, lift and joint by its names, and every part number."""
    letter = visit.text("letter", 3).upper()

    def shown(entry: IndexEntry) -> dict[str, str]:
        path = str(visit.path(_PATHS[entry.kind] + tilde_encode(entry.code)))
        told = entry.goes_by or _KINDS[entry.kind]
        return {"name": entry.name, "told": told, "path": path, "kind": entry.kind, "id": entry.code}

    groups = letters(named(connection))
    if letter and letter not in groups:
        raise HandlingError(f"nothing here begins with {letter!r}; there are: {', '.join(groups)}")
    split = sum(map(len, groups.values())) > LONGEST
    wanted = {one: group for one, group in groups.items() if one == letter or not (split or letter)}
    numbers = [] if split or letter else numbered(connection)
    listed = {one: [shown(entry) for entry in group] for one, group in wanted.items()}
    by_number = [shown(entry) for entry in numbers]
    return {
        "listed": listed,
        "letters": list(groups),
        "split": split,
        "letter": letter,
        "numbers": by_number,
        "json": {"names": listed, "part_numbers": by_number, "letters": list(groups)},
    }


@shown("words.html")
def words(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """The words that notes hold, each with the notes it stands in."""
    found = words_of_notes(connection)
    groups: dict[str, list[Any]] = {}
    for word, notes in found.items():
        groups.setdefault(word[0].upper(), []).append((word, notes))
    return {
        "groups": groups,
        "json": {"words": {word: [note.id for note in notes] for word, notes in found.items()}},
    }
