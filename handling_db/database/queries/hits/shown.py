"""Notes as a search shows them, with the words marked that were asked for."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from handling_db.database.queries.hits.asked import AskedWord
from handling_db.database.queries.words import MARK_OFF, MARK_ON, one_line, word_end
from handling_db.lookup.listings import Hit

SHOWN = "n.id, n.code, n.kind, n.about_name, n.text"

Row = tuple[int, str, str, str, str]

_WHOLE = 220  # letters of a note that is shown whole


def as_hits(
    connection: sqlite3.Connection, asked: Sequence[AskedWord], query: str, rows: Sequence[Row]
) -> list[Hit]:
    """Notes with the words marked: short ones whole, of others the passage that holds most of the words."""
    words = [word.begun for word in asked]
    plain = all(word.told_by_letters for word in asked)  # found by just these letters
    told: dict[int, str] = {}
    for number, _, _, _, written in rows:
        if plain and len(written) <= _WHOLE and written.isascii():
            told[number] = _marked(one_line(written), words)
    others = [row[0] for row in rows if not told.get(row[0])]
    if others:
        marks = ",".join("?" * len(others))
        snippets = connection.execute(
            # the sign keeps the search from being made anew for every one of them
            "select rowid, snippet(note_words, -1, ?, ?, '…', 24) from note_words "
            f"where note_words match ? and rowid <= ? and +rowid in ({marks})",
            (MARK_ON, MARK_OFF, query, max(others), *others),
        )
        told.update((number, one_line(snippet)) for number, snippet in snippets)
    return [Hit("note", code, f"{kind}: {about}", told[number]) for number, code, kind, about, _ in rows]


def _marked(text: str, words: Sequence[str]) -> str:
    """A text in plain letters with all words marked that begin like one of some; empty where none does."""
    small = text.lower()
    starts = set()
    for word in words:
        at = small.find(word)
        while at >= 0:
            if not at or not small[at - 1].isalnum():
                starts.add(at)
            at = small.find(word, at + 1)
    told: list[str] = []
    last = 0
    for at in sorted(starts):
        end = word_end(small, at)
        told += text[last:at], MARK_ON, text[at:end], MARK_OFF
        last = end
    return "".join([*told, text[last:]]) if told else ""
