"""Everything by its names, from A to Z, and the words of notes: to look up by eye."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable

from handling_db.database.queries.notes import notes_for
from handling_db.lookup.listings import IndexEntry, ListedNote

# What is everywhere and says nothing about a note.
_EVERYWHERE = frozenset((
    "about", "after", "all", "and", "any", "are", "before", "but", "can", "does", "for", "from", "has",
    "have", "into", "its", "may", "not", "off", "one", "only", "out", "over", "than", "that", "the",
    "then", "there", "these", "they", "this", "through", "two", "under", "until", "was", "were", "when",
    "where", "which", "while", "will", "with", "without", "you", "your",
))  # fmt: skip
_WORD = re.compile(r"[^\W\d_][\w-]+")
_SHORTEST = 3

_NAMED = """
  select 'component' as kind, code, name, '' as goes_by from component
  union all select 'component', c.code, a.name, c.name from alias a join component c on c.id = a.component
  union all select 'lift group', code, name, '' from lift
  union all select 'joint', code, name, '' from joint
"""


def named(connection: sqlite3.Connection, letter: str = "") -> list[IndexEntry]:
    """Pieces by name and other names, lifts and joints, in the order of the alphabet.

    Parameters
    ----------
    connection : sqlite3.Connection
    letter : str
        Only what begins with it; everything unless given.
    """
    found = [IndexEntry(*row) for row in connection.execute(_NAMED)]
    wanted = [entry for entry in found if not letter or first_letter(entry.name) == letter]
    return sorted(wanted, key=lambda entry: (entry.name.casefold(), entry.name, entry.kind, entry.code))


def numbered(connection: sqlite3.Connection) -> list[IndexEntry]:
    """Pieces by part number."""
    rows = connection.execute(
        "select 'component', code, part_number, name from component where part_number <> ''"
    )
    return sorted((IndexEntry(*row) for row in rows), key=lambda entry: (entry.name.casefold(), entry.code))


def first_letter(name: str) -> str:
    """The letter under which a name stands; ``0-9`` for figures and signs."""
    letter = name.strip()[:1].upper()
    return letter if letter.isalpha() else "0-9"


def letters(entries: Iterable[IndexEntry]) -> dict[str, list[IndexEntry]]:
    """Entries by the letter under which they stand; figures and signs last."""
    groups: dict[str, list[IndexEntry]] = {}
    for entry in entries:
        groups.setdefault(first_letter(entry.name), []).append(entry)
    return dict(sorted(groups.items(), key=lambda group: (group[0] == "0-9", group[0])))


def words_of_notes(connection: sqlite3.Connection) -> dict[str, list[ListedNote]]:
    """The notes in force that hold a word, by word; words that say nothing are left out."""
    found: dict[str, list[ListedNote]] = {}
    for note in notes_for(connection):
        told = f"{note.text} {note.hazard} {note.exposed} {note.gear_used}"
        for word in sorted({word.strip("-").casefold() for word in _WORD.findall(told)}):
            if len(word) >= _SHORTEST and word not in _EVERYWHERE:
                found.setdefault(word, []).append(note)
    return dict(sorted(found.items()))
