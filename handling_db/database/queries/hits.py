"""Finding components and notes by words, beginnings of words, or fragments of ids and part numbers."""

from __future__ import annotations

import itertools
import sqlite3
from collections.abc import Iterator

from handling_db.database.queries.words import (
    MARK_OFF,
    MARK_ON,
    every_fragment,
    every_word,
    likely_rare,
    squeezed,
    words_of,
)
from handling_db.lookup.listings import Hit

_CANDIDATES = 2_000  # rows that hold the fragments and are looked at for the whole text
_NOTES_LOOKED_AT = 3_000  # notes that hold the fragments; reading more takes as long as reading all
_FEW = 300  # notes with the pieces that cover a text; where there are more, rarer pieces are looked for
_RARE = 300  # notes that hold a piece of three letters, at most, for it to be called rare
_ENOUGH = 2  # rare pieces
_PROBED = 6  # pieces that are tried for it
_IN_ORDER = 200  # notes with the words that are put in order by how much the words tell
_LOOKED_AT = 200  # hits among which the whole unit is put before its parts


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
    hits: dict[tuple[str, str], Hit] = {}
    for hit in (*_component_words(connection, text, limit), *_component_fragments(connection, text, limit)):
        hits.setdefault((hit.kind, hit.id), hit)
    components = _whole_before_parts(connection, list(hits.values()), text)[:limit]
    components += _lifts(connection, text, limit)
    hits.clear()
    words = _note_words(connection, text, limit)
    # notes with all the words stand first: where they are enough nobody sees what holds a fragment only
    for hit in (*words, *(_note_fragments(connection, text, limit) if len(words) < limit else ())):
        hits.setdefault((hit.kind, hit.id), hit)
    return [*components, *list(hits.values())[:limit]]


def _whole_before_parts(connection: sqlite3.Connection, hits: list[Hit], text: str) -> list[Hit]:
    """What goes by exactly the text first, then names that hold every word of it; a whole before its parts.

    A unit stands higher in the tree than what it is made of, so the longest way down to a part decides.
    """
    wanted = " ".join(text.split()).casefold()
    bare = squeezed(text.strip())
    words = {word.casefold() for word in words_of(text)}
    places = {hit.id: place for place, hit in enumerate(hits)}
    marks = ",".join("?" * len(places))
    rows = connection.execute(
        f"select code, name, part_number, also_called, height from component where code in ({marks})",
        [*places],
    ).fetchall()
    keys: dict[str, tuple[int, int, int]] = {}
    for code, name, part_number, also_called, height in rows:
        goes_by = [code, name, part_number or "", *(also_called or "").split("\n")]
        named = [set(map(str.casefold, words_of(one))) for one in (name, *(also_called or "").split("\n"))]
        if any(one.casefold() == wanted or (bare and squeezed(one) == bare) for one in goes_by):
            fit = 0
        else:
            fit = 1 if any(words <= one for one in named) else 2
        keys[code] = (fit, -(height or 0), places[code])
    return sorted(hits, key=lambda hit: keys[hit.id])


def _component_words(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    query = every_word(text)
    if query is None:
        return []
    rows = connection.execute(
        "select c.code, c.name, snippet(component_words, -1, ?, ?, '…', 12) from component_words "
        "join component c on c.id = component_words.rowid where component_words match ? "
        "order by rank, c.code limit ?",
        (MARK_ON, MARK_OFF, query, max(limit, _LOOKED_AT)),
    )
    return [Hit("component", code, name, _one_line(snippet)) for code, name, snippet in rows]


def _component_fragments(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    hits = []
    wanted, bare = text.strip().casefold(), squeezed(text)
    queries = [query for query in map(every_fragment, (text, bare)) if query is not None]
    if not queries:
        return []
    rows = connection.execute(
        "select c.code, c.name, c.part_number, c.also_called, c.fits from component c where c.id in "
        "(select rowid from component_fragments where component_fragments match ? limit ?) order by c.code",
        (" OR ".join(f"({query})" for query in queries), _CANDIDATES),
    )
    for code, name, part_number, also_called, fits in rows:
        texts = [one for one in (part_number, code, name, also_called, fits) if one]
        where = next((one for one in texts if wanted in one.casefold()), None)
        if where is None and len(bare) > 2:
            where = next((one for one in texts if bare in squeezed(one)), None)
        if where is not None:
            hits.append(Hit("component", code, name, mark(_one_line(where), text.strip())))
        if len(hits) == limit:
            break
    return hits


def _lifts(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    """Lift groups whose name or id has a word that begins like each word of a text; few beside components."""
    words = [word.casefold() for word in words_of(text)]
    if not words:
        return []
    hits = []
    for code, name in connection.execute("select code, name from lift order by code"):
        own = [word.casefold() for word in words_of(f"{name} {code}")]
        if all(any(one.startswith(word) for one in own) for word in words):
            hits.append(Hit("lift group", code, name, mark(name, text.strip())))
    return hits[:limit]


def _note_words(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    """Notes in force that hold every word, or words that begin so; the most telling first, or by id.

    To put notes in order takes far longer than to find them. Where more than a few hundred hold the words no
    order tells much: those with the words themselves come before those with longer ones, each by id.
    """
    query = every_word(text)
    if query is None:
        return []
    many = _matching(connection, query)
    if many < 2:  # nothing to put in order, for which every word would be counted over all notes
        return _notes_of(connection, query, "note_words.rowid", limit) if many else []
    if many <= _IN_ORDER:
        return _notes_of(connection, query, "rank, n.code", limit)
    hits: dict[str, Hit] = {}
    for one in (every_word(text, prefix=False), query):
        if one is not None and len(hits) < limit:
            for hit in _notes_of(connection, one, "note_words.rowid", limit):
                hits.setdefault(hit.id, hit)
    return list(hits.values())[:limit]


def _matching(connection: sqlite3.Connection, query: str) -> int:
    """How many notes hold the words; one more than are put in order stands for all above."""
    found = "select rowid from note_words where note_words match ? limit ?"
    return len(connection.execute(found, (query, _IN_ORDER + 1)).fetchall())


def _notes_of(connection: sqlite3.Connection, query: str, order: str, limit: int) -> list[Hit]:
    rows = connection.execute(
        "select n.code, n.kind, n.about_name, snippet(note_words, -1, ?, ?, '…', 24) from note_words "
        "join note n on n.id = note_words.rowid where note_words match ? and n.replaced_by is null "
        f"order by {order} limit ?",
        (MARK_ON, MARK_OFF, query, limit),
    )
    return [Hit("note", code, f"{kind}: {about}", _one_line(snippet)) for code, kind, about, snippet in rows]


def _note_fragments(connection: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    return [
        Hit("note", code, f"{kind}: {about}", around(_one_line(words), text.strip()))
        for code, kind, about, words in _with_text(connection, text, limit)
    ]


def notes_with(connection: sqlite3.Connection, text: str, limit: int) -> list[str]:
    """Ids of notes in force whose text holds another text as it is, the first by id, whatever the case."""
    return [row[0] for row in _with_text(connection, text, limit)]


def _with_text(connection: sqlite3.Connection, text: str, limit: int) -> list[tuple[str, str, str, str]]:
    """Id, kind, what it is about and text of notes in force that hold another text; the first by id."""
    cover = every_fragment(text)
    if cover is None:
        return []
    wanted = text.strip().casefold()
    found, looked_at = [], 0
    for row in _with_pieces(connection, cover, _FEW):
        looked_at += 1
        if wanted in row[3].casefold():
            found.append(row)
            if len(found) == limit:
                return found
    if looked_at < _FEW:
        return found
    rows = _with_pieces(connection, _holding(connection, text, cover), _NOTES_LOOKED_AT)
    return list(itertools.islice((row for row in rows if wanted in row[3].casefold()), limit))


def _with_pieces(
    connection: sqlite3.Connection, query: str, most: int
) -> Iterator[tuple[str, str, str, str]]:
    """Notes in force that hold pieces of a text, by their rows: these stand in the order of the ids."""
    return connection.execute(
        "select n.code, n.kind, n.about_name, n.text from note_fragments f join note n on n.id = f.rowid "
        "where f.note_fragments match ? and n.replaced_by is null order by f.rowid limit ?",
        (query, most),
    )


def _holding(connection: sqlite3.Connection, text: str, cover: str) -> str:
    """A search for notes that can hold a text: by two pieces that few hold, or by those that cover it.

    To intersect long lists takes longer than to read the notes of a short one.
    """
    rare: list[str] = []
    for piece in likely_rare(text)[:_PROBED]:
        probe = "select rowid from note_fragments where note_fragments match ? limit 1 offset ?"
        if connection.execute(probe, (f'"{piece}"', _RARE)).fetchone() is None:
            rare.append(f'"{piece}"')
        if len(rare) == _ENOUGH:
            return " AND ".join(rare)
    return " AND ".join([*rare, cover])


def mark(text: str, part: str) -> str:
    """A text with the first place where a part stands marked, whatever the case."""
    start = text.lower().find(part.lower())
    if start < 0 or not part or len(text.lower()) != len(text):
        return text
    end = start + len(part)
    return f"{text[:start]}{MARK_ON}{text[start:end]}{MARK_OFF}{text[end:]}"


def around(text: str, part: str, room: int = 70) -> str:
    """The piece of a text around a part, marked, with the rest cut off."""
    start = max(text.lower().find(part.lower()), 0)
    first, last = max(start - room, 0), start + len(part) + room
    cut = mark(text[first:last], part)
    return f"{'…' if first else ''}{cut}{'…' if last < len(text) else ''}"


def _one_line(text: str) -> str:
    return " ".join(text.split())
