"""Finding notes by words, beginnings of words, or fragments of their text.

What costs time is going along the lists of common words and pieces, and gathering the lists of all words that
begin alike; so it is looked up first which words there are, and how many notes hold each piece.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence

from handling_db.database.queries.words import (
    MARK_OFF,
    MARK_ON,
    AskedWord,
    around,
    every_word,
    fragments,
    kept_whole,
    one_line,
    quoted,
    read_words,
    telling,
    words_of,
)
from handling_db.lookup.listings import Hit

_NOTES_LOOKED_AT = 8_000  # notes that hold the pieces; reading more takes as long as reading all
_PIECES = 5  # of a text that are looked for together
_READ = 60  # entries of a list are gone along in the time in which one note is read
_WEIGHED = 300  # in which one is read and the words in it are weighed
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
    words = _asked(connection, text)
    if not words:
        return []
    quick, ranked = (" AND ".join(forms) for forms in zip(*((w.quick, w.ranked) for w in words), strict=True))
    some = _looked_for(connection, words)
    ids = _matching(connection, some or quick)
    counted = sum(word.notes for word in words)
    if some or (1 < len(ids) <= _IN_ORDER and counted > len(ids) * _WEIGHED and all(w.spelt for w in words)):
        rows = _by_reading(connection, words, ids, limit)
        if rows is not None:
            return _as_hits(connection, words, ranked, rows)
        if some:
            ids = _matching(connection, quick)
    if not ids:
        return []
    if 1 < len(ids) <= _IN_ORDER:
        return _as_hits(connection, words, ranked, _joined(connection, ranked, "rank, n.code", limit))
    found: dict[int, _Row] = {}
    if len(ids) > _IN_ORDER and any(word.held != (word.begun,) for word in words):
        whole = every_word(text, prefix=False) or ""
        found.update((row[0], row) for row in _first(connection, whole, _matching(connection, whole), limit))
    if len(found) < limit:
        for row in _first(connection, quick, ids, limit):
            found.setdefault(row[0], row)
    return _as_hits(connection, words, quick, list(found.values())[:limit])


def _asked(connection: sqlite3.Connection, text: str) -> list[AskedWord]:
    """The words of a text as notes hold them; none where no note can have all of them."""
    found = []
    for word in map(str.casefold, words_of(text)):
        held = _begun(connection, word) if kept_whole(word) else None
        if held == []:
            return []
        if held is None or len(held) > _SPELT or not all(kept_whole(one) for one, _ in held):
            found.append(AskedWord(word, (), 0))
        else:
            found.append(AskedWord(word, tuple(one for one, _ in held), sum(notes for _, notes in held)))
    return found


def _begun(connection: sqlite3.Connection, word: str) -> list[tuple[str, int]]:
    """Words in notes that begin with one; one more than are looked for one by one stands for all above."""
    held = "select word, notes from note_words_held where word >= ? and word < ? limit ?"
    return connection.execute(held, (word, word + _LAST, _SPELT + 1)).fetchall()


def _looked_for(connection: sqlite3.Connection, words: Sequence[AskedWord]) -> str:
    """A search for the rarest words only, where reading what it finds is quicker than all the lists."""
    rarest, *others = sorted(words, key=lambda word: word.notes)
    if not others or not all(word.spelt for word in words):
        return ""
    looked_for, left = [rarest.quick], float(rarest.notes)
    for word in others:
        if word.notes > left * _READ:
            return " AND ".join(looked_for) if left < _IN_ORDER else ""
        looked_for.append(word.quick)
        left *= word.notes / _sizes(connection)[0]
    return ""


def _by_reading(
    connection: sqlite3.Connection, words: Sequence[AskedWord], ids: Sequence[int], limit: int
) -> list[_Row] | None:
    """Those of some notes that hold all words, in order; None where their letters do not tell."""
    if len(ids) > _IN_ORDER:
        return None
    rows, usual = _sizes(connection)
    found: list[tuple[float, _Row, str | None]] = []
    for *row, hazard, gear, replaced in connection.execute(
        f"select {_SHOWN}, n.hazard, n.gear_used, n.replaced_by from note n "
        f"where n.id in ({','.join('?' * len(ids))}) order by n.id",
        ids,
    ):
        written = "\n".join(filter(None, (row[4], hazard, gear, row[3])))
        if written.isascii() and not all(word.begun in written.lower() for word in words):
            continue
        read = read_words(written)
        if read is None:
            return None
        times = [word.times(read) for word in words]
        if None in times:
            return None
        if all(times):
            weight = telling([n or 0 for n in times], [word.notes for word in words], len(read), rows, usual)
            found.append((weight, tuple(row), replaced))
    if len(found) > 1:
        if any(len(word.held) > 1 for word in words):  # how many notes hold one of them is not known
            return None
        found.sort(key=lambda one: (one[0], one[1][1]))
    return [row for _, row, replaced in found if replaced is None][:limit]


def _sizes(connection: sqlite3.Connection) -> tuple[int, float]:
    """How many notes the index of words holds, and their words on average: its own record of it."""
    (kept,) = connection.execute("select block from note_words_data where id = 1").fetchone()
    numbers, number = [], 0
    for byte in kept:  # seven bits each, the last of a number without the eighth
        number = number << 7 | byte & 127
        if byte < 128:
            numbers.append(number)
            number = 0
    return numbers[0], sum(numbers[1:]) / numbers[0]


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
    connection: sqlite3.Connection, asked: Sequence[AskedWord], query: str, rows: Sequence[_Row]
) -> list[Hit]:
    """Notes with the words marked: short ones whole, of others the passage that holds most of the words."""
    words = [word.begun for word in asked]
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
    chosen, left, most = [rarest], float(held[rarest]), max(held.values())
    apart = {piece: number for number, part in enumerate(text.lower().split()) for piece in fragments(part)}
    seen = {apart.get(rarest)}
    for piece in others:
        if len(chosen) == _PIECES or held[piece] > left * _READ:
            break
        if apart.get(piece, -1) not in seen:  # pieces of one word stand together and rule out little
            seen.add(apart.get(piece, -1))
            chosen.append(piece)
            left *= held[piece] / most
    return " AND ".join(map(quoted, chosen))
