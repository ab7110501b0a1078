"""Finding components by words, beginnings of words, or fragments of what they go by."""

from __future__ import annotations

import sqlite3

from handling_db.database.queries.hits.asked import Asked
from handling_db.database.queries.words import (
    MARK_OFF,
    MARK_ON,
    every_fragment,
    every_word,
    mark,
    one_line,
    squeezed,
    words_of,
)
from handling_db.lookup.listings import Hit

_CANDIDATES = 2_000  # rows that hold the fragments and are looked at for the whole text
_LOOKED_AT = 200  # hits among which the whole unit is put before its parts


def component_hits(connection: sqlite3.Connection, asked: Asked, text: str, limit: int) -> list[Hit]:
    """Components that go by exactly a text first, then by every word of it, then by it as a fragment."""
    hits: dict[str, Hit] = {}
    if asked.in_names:
        hits.update((hit.id, hit) for hit in _component_words(connection, text, limit))
    if asked.pieces_in_names:
        for hit in _component_fragments(connection, text, limit):
            hits.setdefault(hit.id, hit)
    return _whole_before_parts(connection, list(hits.values()), text)[:limit]


def _whole_before_parts(connection: sqlite3.Connection, hits: list[Hit], text: str) -> list[Hit]:
    """What goes by exactly the text first, then names that hold every word of it; a whole before its parts.

    A unit stands higher in the tree than what it is made of, so the longest way down to a part decides.
    """
    if not hits:
        return []
    wanted = one_line(text).casefold()
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
    return [Hit("component", code, name, one_line(snippet)) for code, name, snippet in rows]


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
            hits.append(Hit("component", code, name, mark(one_line(where), text.strip())))
        if len(hits) == limit:
            break
    return hits
