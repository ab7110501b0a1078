"""Finding notes by words, beginnings of words, or fragments of their text.

What costs time is going along the lists of common words and pieces, and gathering the lists of all words that
begin alike; so it is looked up first which words there are, and how many notes hold each piece.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from handling_db.database.queries.words import (
    MARK_OFF,
    MARK_ON,
    around,
    every_word,
    fragments,
    kept_whole,
    one_line,
    quoted,
    words_of,
)
from handling_db.lookup.listings import Hit

_NOTES_LOOKED_AT = 8_000  # notes that hold the pieces; reading more takes as long as reading all
_PIECES = 5  # of a text that are looked for together
_READ = 60  # entries of a list are gone along in the time in which one note is read
_IN_ORDER = 200  # notes with the words that are put in order by how much the words tell
_SPELT = 8  # words that begin alike, at most, for them to be looked for one by one
_WHOLE = 220  # letters of a note that is shown whole
_LAST = "\U0010ffff"  # stands after every letter

_SHOWN = "n.id, n.code, n.kind, n.about_name, n.text"
# By way of the index of words, whatever is known of how large the tables are.
_JOINED = (
    f"select {_SHOWN} from note_words w cross join note n on n.id = w.rowid "
    "where w.note_words match ? and n.replaced_by is null order by {order} limit ?"
)

_Row = tuple[int, str, str, str, str]


class _Asked(NamedTuple):
    """Searches for notes that hold every word of a text, or words that begin so.

    Parameters
    ----------
    quick : str
        Finds them in the least time.
    ranked : str
        Finds the same, and puts them in order by how much the words tell.
    same : bool
        Whether no longer words begin with any of them.
    """

    quick: str
    ranked: str
    same: bool


@contextlib.contextmanager
def one_look(connection: sqlite3.Connection) -> Iterator[None]:
    """Answer several questions from one state of the file, without asking for it before each of them."""
    if connection.in_transaction:
        yield
        return
    connection.execute("begin")
    try:
        yield
    finally:
        connection.commit()


def note_hits(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    """Notes in force that hold every word of a text, then those that hold the text as a fragment.

    To put notes in order takes far longer than to find them. Where more than a few hundred hold the words no
    order tells much: those with the words themselves come before those with longer ones, each by id.
    """
    hits: dict[str, Hit] = {}
    found = _by_words(connection, text, limit)
    # notes with all the words stand first: where they are enough nobody sees what holds a fragment only
    for hit in (*found, *(_by_fragments(connection, text, limit) if len(found) < limit else ())):
        hits.setdefault(hit.id, hit)
    return list(hits.values())[:limit]


def _by_words(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    words = words_of(text)
    asked = _asked(connection, [word.casefold() for word in words])
    if asked is None:
        return []
    ids = _matching(connection, asked.quick)
    if not ids:
        return []
    if 1 < len(ids) <= _IN_ORDER:
        ranked = _joined(connection, asked.ranked, "rank, n.code", limit)
        return _as_hits(connection, words, asked.ranked, ranked)
    rows: dict[int, _Row] = {}
    if len(ids) > _IN_ORDER and not asked.same:
        whole = every_word(text, prefix=False) or ""
        rows.update((row[0], row) for row in _first(connection, whole, _matching(connection, whole), limit))
    if len(rows) < limit:
        for row in _first(connection, asked.quick, ids, limit):
            rows.setdefault(row[0], row)
    return _as_hits(connection, words, asked.quick, list(rows.values())[:limit])


def _asked(connection: sqlite3.Connection, words: Sequence[str]) -> _Asked | None:
    """How to look for notes with every one of some words; None where no note can have them."""
    quick, ranked, same = [], [], True
    for word in words:
        held = _begun(connection, word) if kept_whole(word) else None
        if held == []:
            return None
        if held is None or len(held) > _SPELT or not all(map(kept_whole, held)):
            quick.append(f'"{word}"*')
            ranked.append(f'"{word}"*')
            same = False
            continue
        either = " OR ".join(f'"{one}"' for one in held)
        quick.append(f"({either})")
        ranked.append(f'"{held[0]}"' if len(held) == 1 else f'"{word}"*')
        same = same and held == [word]
    return _Asked(" AND ".join(quick), " AND ".join(ranked), same) if quick else None


def _begun(connection: sqlite3.Connection, word: str) -> list[str]:
    """Words in notes that begin with one; one more than are looked for one by one stands for all above."""
    held = "select word from note_words_held where word >= ? and word < ? limit ?"
    return [row[0] for row in connection.execute(held, (word, word + _LAST, _SPELT + 1))]


def _matching(connection: sqlite3.Connection, query: str) -> list[int]:
    """The first notes that hold the words; one more than are put in order stands for all above."""
    found = "select rowid from note_words where note_words match ? limit ?"
    return [row[0] for row in connection.execute(found, (query, _IN_ORDER + 1))]


def _first(connection: sqlite3.Connection, query: str, ids: Sequence[int], limit: int) -> list[_Row]:
    """The first notes in force that a search finds, given the first of all that it finds."""
    some = ids[:limit]
    marks = ",".join("?" * (1 if len(some) < 2 else limit))
    rows = connection.execute(
        f"select {_SHOWN} from note n where n.id in ({marks}) and n.replaced_by is null order by n.id",
        [*some, *[None] * (marks.count("?") - len(some))],
    ).fetchall()
    if len(rows) == limit or len(some) == len(ids) <= _IN_ORDER:
        return rows
    return _joined(connection, query, "w.rowid", limit)


def _joined(connection: sqlite3.Connection, query: str, order: str, limit: int) -> list[_Row]:
    return connection.execute(_JOINED.format(order=order), (query, limit)).fetchall()


def _as_hits(
    connection: sqlite3.Connection, asked: Sequence[str], query: str, rows: Sequence[_Row]
) -> list[Hit]:
    """Notes with the words marked: short ones whole, of others the passage that holds most of the words."""
    words = [word.casefold() for word in asked]
    told: dict[int, str] = {}
    if all(kept_whole(word) and word[-1] not in "il" for word in words):  # found by just these letters
        for number, _, _, _, written in rows:
            if len(written) <= _WHOLE and written.isascii() and (shown := _marked(written, words)):
                told[number] = shown
    others = [row[0] for row in rows if row[0] not in told]
    if others:
        marks = ",".join("?" * len(others))
        told.update(
            connection.execute(
                # the sign keeps the search from being made anew for every one of them
                "select rowid, snippet(note_words, -1, ?, ?, '…', 24) from note_words "
                f"where note_words match ? and rowid <= ? and +rowid in ({marks})",
                (MARK_ON, MARK_OFF, query, max(others), *others),
            )
        )
    return [
        Hit("note", code, f"{kind}: {about}", one_line(told[number])) for number, code, kind, about, _ in rows
    ]


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
        end = at + 1
        while end < len(text) and text[end].isalnum():
            end += 1
        told += text[last:at], MARK_ON, text[at:end], MARK_OFF
        last = end
    return "".join([*told, text[last:]]) if told else ""


def _by_fragments(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    return [
        Hit("note", code, f"{kind}: {about}", around(one_line(words), text.strip()))
        for code, kind, about, words in _with_text(connection, text, limit)
    ]


def notes_with(connection: sqlite3.Connection, text: str, limit: int) -> list[str]:
    """Ids of notes in force whose text holds another text as it is, the first by id, whatever the case."""
    with one_look(connection):
        return [row[0] for row in _with_text(connection, text, limit)]


def _with_text(connection: sqlite3.Connection, text: str, limit: int) -> list[tuple[str, str, str, str]]:
    """Id, kind, what it is about and text of notes in force that hold another text; the first by id."""
    query = _holding(connection, text)
    if query is None:
        return []
    wanted = text.strip().casefold()
    rows = connection.execute(
        "select n.code, n.kind, n.about_name, n.text from note_fragments f "
        "cross join note n on n.id = f.rowid where f.note_fragments match ? and n.replaced_by is null "
        "order by f.rowid limit ?",
        (query, _NOTES_LOOKED_AT),
    )
    found = []
    for row in rows:
        if wanted in row[3].casefold():
            found.append(row)
            if len(found) == limit:
                break
    return found


def _holding(connection: sqlite3.Connection, text: str) -> str | None:
    """A search for notes that can hold a text, by the rarest of its pieces; None where none can.

    A further piece is worth its list where that is shorter than reading the notes that it may rule out.
    """
    pieces = fragments(text)
    if not pieces:
        return None
    known = [piece.lower() for piece in pieces if piece.isascii()]
    marks = ",".join("?" * len(known))
    held = dict(
        connection.execute(f"select piece, notes from note_fragments_held where piece in ({marks})", known)
    )
    if any(piece not in held for piece in known):
        return None
    if not known:
        return " AND ".join(map(quoted, pieces[:_PIECES]))
    rarest, *others = sorted(held, key=held.__getitem__)
    chosen, left = [rarest], float(held[rarest])
    for piece in others:
        if len(chosen) == _PIECES or held[piece] > left * _READ:
            break
        if not any(piece[:2] == one[1:] or piece[1:] == one[:2] for one in chosen):
            chosen.append(piece)
            left /= 10  # a guess: pieces of one word stand together
    return " AND ".join(map(quoted, chosen))
