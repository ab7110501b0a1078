"""Finding components, lifts and notes by words, beginnings of words, or fragments of ids and part numbers."""

from __future__ import annotations

import sqlite3

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.hits.asked import Asked, asked_of, one_look
from handling_db.database.queries.hits.components import component_hits
from handling_db.database.queries.hits.notes import note_hits
from handling_db.database.queries.words import mark, words_of
from handling_db.lookup.listings import Hit

_lifts: LastAnswers[list[tuple[str, str, list[str]]]] = LastAnswers(4)


def search(connection: sqlite3.Connection, text: str, limit: int = 20) -> list[Hit]:
    """Components, lifts and notes that hold every word of a text, or the text itself as a fragment.

    Never fails, whatever the text.

    Parameters
    ----------
    connection : sqlite3.Connection
    text : str
    limit : int
        Of components and of notes each.

    Returns
    -------
    list of Hit
        Components first: what goes by exactly that, then names that hold every word, a whole before its
        parts; then what only holds the text as a fragment.
    """
    with one_look(connection):
        asked = asked_of(connection, text)
        components = component_hits(connection, asked, text, limit)
        return [*components, *_lift_hits(connection, asked, limit), *note_hits(connection, asked, limit)]


def _lift_hits(connection: sqlite3.Connection, asked: Asked, limit: int) -> list[Hit]:
    """Lift groups whose name or id has a word that begins like each word of a text; kept by the stamp."""

    def read() -> list[tuple[str, str, list[str]]]:
        lifts = connection.execute("select code, name from lift order by code")
        return [
            (code, name, [word.casefold() for word in words_of(f"{name} {code}")]) for code, name in lifts
        ]

    return [
        Hit("lift group", code, name, mark(name, asked.text))
        for code, name, own in _lifts.get(asked.stamp, read)
        if asked.words and all(any(one.startswith(word) for one in own) for word in asked.words)
    ][:limit]
