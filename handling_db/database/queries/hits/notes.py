"""Finding notes by words and beginnings of words, then by fragments of their text.

Which notes hold a word is read from its list. The index of words is asked only for what the lists do not
tell: beginnings of very many words, and words that it reads otherwise than they are spelled.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from itertools import islice

from handling_db.database.queries.hits.asked import LAST, Asked, AskedWord, words_in_notes
from handling_db.database.queries.hits.note_list import NoteList, spelled
from handling_db.database.queries.hits.shown import SHOWN, Row, as_hits
from handling_db.database.queries.hits.texts import notes_holding
from handling_db.database.queries.words import around, every_word, one_line, telling
from handling_db.lookup.listings import Hit

_IN_ORDER = 200  # notes with the words that are put in order by how much the words tell
_READ = 20  # notes are read in the time in which the index is asked

# By way of the index of words, whatever is known of how large the tables are.
_JOINED = (
    f"select {SHOWN} from note_words w cross join note n on n.id = w.rowid "
    "where w.note_words match ? and n.replaced_by is null order by {order} limit ?"
)
_ONE = f"select {SHOWN}, n.hazard, n.gear_used, n.replaced_by from note n where n.id = ?"
# Words that end like the first without being it, and such as begin like the last and are none of its forms.
_OTHERS = (
    "select exists (select 1 from note_words_spelled where beside = 0 and backwards > ? and backwards < ?) "
    "or exists (select 1 from note_words_spelled where beside = 0 and word >= ? and word < ? "
    "and (term < ? or term >= ?))"
)


def note_hits(connection: sqlite3.Connection, asked: Asked, limit: int) -> list[Hit]:
    """Notes in force that hold every word of a text, then those that hold the text as a fragment.

    To put notes in order takes far longer than to find them. Where more than a few hundred hold the words no
    order tells much: those with the words themselves come before those with longer ones, each by id.
    """
    words = words_in_notes(connection, asked)
    rows, query = _by_words(connection, asked, words, limit) if words else ([], "")
    hits = as_hits(connection, words, query, rows) if rows else []
    # notes with all words stand first: where they are enough nobody sees what holds a fragment only
    if len(rows) < limit and not _only_words(connection, asked, words):
        seen = {row[0] for row in rows}
        for _, code, kind, about, told in notes_holding(connection, asked.text, limit - len(rows), seen):
            hits.append(Hit("note", code, f"{kind}: {about}", around(one_line(told), asked.text)))
    return hits


def _only_words(connection: sqlite3.Connection, asked: Asked, words: Sequence[AskedWord]) -> bool:
    """Whether each note that holds a text of several words as a fragment is known to have these words."""
    if len(words) < 2 or not asked.text.isascii() or not all(word.held for word in words):
        return False
    back, last = words[0].begun[::-1], words[-1]
    others = connection.execute(
        _OTHERS, (back, back + LAST, last.begun, last.begun + LAST, last.term, last.term + LAST)
    )
    return not others.fetchone()[0]


def _by_words(
    connection: sqlite3.Connection, asked: Asked, words: Sequence[AskedWord], limit: int
) -> tuple[list[Row], str]:
    """Notes with all the words, and the search by which they are marked."""
    quick, ranked = (" AND ".join(forms) for forms in zip(*((w.quick, w.ranked) for w in words), strict=True))
    lists = [word.held for word in words if word.held]
    if len(lists) == len(words):
        ids = [*islice(NoteList.all_of(lists), _IN_ORDER + 1)]
        if len(ids) <= _IN_ORDER:
            return (_in_order(connection, asked, words, ids) or [])[:limit], ranked
        return _words_before_longer(connection, asked, words, limit, NoteList.all_of(lists)), quick
    if lists and all(word.held or (word.whole and word.told_by_letters) for word in words):
        ids = [*islice(NoteList.all_of(lists), _READ + 1)]
        if len(ids) <= _READ:
            rows = _in_order(connection, asked, words, ids)
            if rows is not None:
                return rows[:limit], ranked
    ids = _matching(connection, quick)
    if not ids:
        return [], ""
    if 1 < len(ids) <= _IN_ORDER:
        return _joined(connection, ranked, "rank, n.code", limit), ranked
    return _words_before_longer(connection, asked, words, limit, ids), quick


def _in_order(
    connection: sqlite3.Connection, asked: Asked, words: Sequence[AskedWord], ids: Sequence[int]
) -> list[Row] | None:
    """Those of some notes that hold all words, in order; None where their letters do not tell."""
    listed = all(word.held for word in words)
    if listed and len(ids) == 1:
        return [*_first(connection, ids, 1).values()]
    found: list[tuple[list[int], int, Row, str | None]] = []
    for number in ids:
        *row, hazard, gear, replaced = connection.execute(_ONE, (number,)).fetchone()
        read = spelled("\n".join(filter(None, (row[4], hazard, gear, row[3]))))
        times = [word.times(read) for word in words]
        known = [count for count in times if count is not None]
        if len(known) < len(times):
            return None
        if all(known):
            found.append((known, len(read), tuple(row), replaced))
    if len(found) > 1:
        if not listed:  # how many notes hold one of the words is not known
            return None
        held_by, usual = [word.held.notes for word in words if word.held], asked.long / asked.notes
        weights = {row[0]: telling(times, held_by, long, asked.notes, usual) for times, long, row, _ in found}
        found.sort(key=lambda one: (weights[one[2][0]], one[2][1]))
    return [row for _, _, row, replaced in found if replaced is None]


def _matching(connection: sqlite3.Connection, query: str) -> list[int]:
    """The first notes that hold the words; one more than are put in order stands for all above."""
    found = "select rowid from note_words where note_words match ? limit ?"
    return [row[0] for row in connection.execute(found, (query, _IN_ORDER + 1))]


def _words_before_longer(
    connection: sqlite3.Connection, asked: Asked, words: Sequence[AskedWord], limit: int, ids: Iterable[int]
) -> list[Row]:
    """The first notes in force with the words themselves, then the first of all; some at least are given."""
    found: dict[int, Row] = {}
    whole = [word.whole for word in words if word.whole]
    if len(whole) < len(words):
        alone = every_word(asked.text, prefix=False) or ""
        found.update((row[0], row) for row in _joined(connection, alone, "w.rowid", limit))
    elif any(word.whole is not word.held for word in words):
        found.update(_first(connection, NoteList.all_of(whole), limit))
    if len(found) < limit:
        begun = _first(connection, ids, limit)
        if len(begun) < limit and isinstance(ids, list):  # they are the first of more than were looked for
            quick = " AND ".join(word.quick for word in words)
            begun = {row[0]: row for row in _joined(connection, quick, "w.rowid", limit)}
        found = {**found, **begun}
    return [*found.values()][:limit]


def _first(connection: sqlite3.Connection, ids: Iterable[int], limit: int) -> dict[int, Row]:
    """The first of some notes that are in force."""
    found: dict[int, Row] = {}
    left = iter(ids)
    while len(found) < limit and (some := [*islice(left, limit)]):
        marks = ",".join("?" * (1 if len(some) == 1 else limit))
        rows = connection.execute(
            f"select {SHOWN} from note n where n.id in ({marks}) and n.replaced_by is null order by n.id",
            [*some, *[None] * (limit - len(some) if len(some) > 1 else 0)],
        )
        found.update((row[0], row) for row in rows)
    return dict(islice(found.items(), limit))


def _joined(connection: sqlite3.Connection, query: str, order: str, limit: int) -> list[Row]:
    return connection.execute(_JOINED.format(order=order), (query, limit)).fetchall()
