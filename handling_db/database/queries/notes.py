"""Handling notes: stored energy first, whatever was asked for."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any

from handling_db.classes import dataclass, replace
from handling_db.database.cache import LastAnswers
from handling_db.database.queries.hits.texts import notes_with
from handling_db.database.queries.names import need_key
from handling_db.database.queries.words import MARK_OFF, MARK_ON, every_word, mark
from handling_db.errors import UnknownNameError
from handling_db.lookup.listings import ListedNote

STORED_ENERGY = "stored energy"

# In the order of the acts: what can hurt, what holds, how it comes off, how it is set down, what to know.
_ORDER = (
    STORED_ENERGY,
    "pick point",
    "tie",
    "temporary tie",
    "order",
    "turn",
    "stick",
    "fluid",
    "set-down",
    "access",
    "balance",
    "hand",
    "match",
    "guide",
    "protect",
    "ship or store",
    "difference",
)

_in_order: LastAnswers[tuple[tuple[int, str, str, str], ...]] = LastAnswers(4)

_FIELDS = """
  n.code, n.kind, n.about_kind, n.about, n.about_name, n.text, n.hazard, n.exposed, n.attitude, n.state,
  n.fits, n.reading, n.gear_used, n.rated, n.told_by, s.code, n.author, p.code, p.name, n.day, n.seen,
  n.status, n.reason, n.checked_by, n.review_by, n.replaced_by
"""
_FROM = "from note n left join source s on s.id = n.source left join shop p on p.id = n.shop"
_COLUMNS = f"{_FIELDS} {_FROM}"

_BELOW = """
  with recursive below(id) as (
    select ? union select u.child from usage u join below b on u.parent = b.id where u.quantity > 0)
"""


# About a component, anything in it, and fixtures that it needs.
_OF_COMPONENT = (
    "(n.component in (select id from below) or (n.about_kind = 'fixture' and n.about in "
    "(select f.code from fixture f join fixture_need d on d.fixture = f.id where d.component in "
    "(select id from below))))"
)


def notes_for(
    connection: sqlite3.Connection,
    code: str | None = None,
    kind: str | None = None,
    shop: str | None = None,
    text: str | None = None,
) -> list[ListedNote]:
    """Notes in force; those on stored energy and pressure first and whatever else is asked for.

    Parameters
    ----------
    connection : sqlite3.Connection
    code : str, optional
        Notes about this component, about anything it contains, and about fixtures it needs.
    kind, shop : str, optional
        Only notes of this kind, or written by this shop.
    text : str, optional
        Only notes that hold these words; they are marked.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    where, values, head = ["n.replaced_by is null"], [], ""
    if code is not None:
        head = _BELOW
        values.append(need_key(connection, code))
        where.append(_OF_COMPONENT)
    rows = connection.execute(f"{head} select {_COLUMNS} where {' and '.join(where)}", values)
    found = [_note(row) for row in rows]
    marked = _marked(connection, text) if text and text.strip() else None
    shown = []
    for note in found:
        fits = (not kind or note.kind == kind) and (not shop or note.shop == shop)
        if marked is not None:
            fits = fits and note.id in marked
            note = replace(note, marked=marked.get(note.id, ""))
        if fits or note.kind == STORED_ENERGY:
            shown.append(note)
    return sorted(shown, key=_place)


@dataclass(frozen=True, slots=True)
class NotesFound:
    """Which notes are asked for, by their keys and in the order of `notes_for`, without their texts.

    Parameters
    ----------
    urgent : tuple of int
        Those on stored energy and pressure, whatever else is asked for.
    rest : tuple of int
    marked : dict of note id to str
        Texts with the words that were looked for between the two signs of a search.
    """

    urgent: tuple[int, ...]
    rest: tuple[int, ...]
    marked: Mapping[str, str]


def notes_found(
    connection: sqlite3.Connection,
    code: str | None = None,
    kind: str | None = None,
    shop: str | None = None,
    text: str | None = None,
) -> NotesFound:
    """Find notes as `notes_for` does, for a list of which only a part is read.

    Parameters are those of `notes_for`.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    heads = _heads(connection)
    if code is not None:
        rows = connection.execute(
            f"{_BELOW} select n.id from note n where {_OF_COMPONENT}", (need_key(connection, code),)
        )
        own = {row[0] for row in rows}
        heads = tuple(head for head in heads if head[0] in own)
    marked = _marked(connection, text) if text and text.strip() else None
    rest = tuple(
        key
        for key, note_id, of_kind, of_shop in heads
        if of_kind != STORED_ENERGY
        and (not kind or of_kind == kind)
        and (not shop or of_shop == shop)
        and (marked is None or note_id in marked)
    )
    return NotesFound(tuple(head[0] for head in heads if head[2] == STORED_ENERGY), rest, marked or {})


def notes_at(
    connection: sqlite3.Connection, keys: Sequence[int], marked: Mapping[str, str] | None = None
) -> list[ListedNote]:
    """The notes with some keys, in that order; a few hundred at most.

    Parameters
    ----------
    connection : sqlite3.Connection
    keys : sequence of int
    marked : mapping of note id to str, optional
        As in `NotesFound`.
    """
    rows = connection.execute(
        f"select {_FIELDS}, n.id {_FROM} where n.id in ({','.join('?' * len(keys))})",
        tuple(keys),
    )
    found = {row[-1]: _note(row[:-1]) for row in rows}
    read = [found[key] for key in keys]
    if not marked:
        return read
    return [replace(one, marked=marked[one.id]) if one.id in marked else one for one in read]


def _heads(connection: sqlite3.Connection) -> tuple[tuple[int, str, str, str], ...]:
    """Key, id, kind and shop of every note in force, in the order they are shown in; kept by the stamp."""

    def read() -> tuple[tuple[int, str, str, str], ...]:
        rows = connection.execute(
            "select n.id, n.code, n.kind, coalesce(p.code, ''), n.status, n.day from note n "
            "left join shop p on p.id = n.shop where n.replaced_by is null"
        ).fetchall()
        rows.sort(key=lambda row: _place_of(row[2], row[4] or "", row[5] or "", row[1]))
        return tuple((key, code, kind, shop) for key, code, kind, shop, _, _ in rows)

    (stamp,) = connection.execute("select stamp from built").fetchone()
    return _in_order.get(stamp, read)


def note(connection: sqlite3.Connection, code: str) -> ListedNote:
    """One note, replaced or not.

    Raises
    ------
    UnknownNameError
        There is no such note.
    """
    row = connection.execute(f"select {_COLUMNS} where n.code = ?", (code,)).fetchone()
    if row is None:
        raise UnknownNameError(f"there is no note {code!r}; look for a word of it with 'find'")
    return _note(row)


def note_kinds(connection: sqlite3.Connection) -> list[str]:
    """The kinds of note that there are here, stored energy first."""
    return list(dict.fromkeys(kind for _, _, kind, _ in _heads(connection)))


def _note(row: Sequence[Any]) -> ListedNote:
    texts: list[Any] = [value or "" for value in row]
    return ListedNote(*texts)


def _marked(connection: sqlite3.Connection, text: str) -> dict[str, str]:
    """The notes that hold the words or the text as it stands, by id, with these marked."""
    found: dict[str, str] = {}
    query = every_word(text)
    if query is not None:
        found.update(
            connection.execute(
                "select n.code, highlight(note_words, 0, ?, ?) from note_words join note n "
                "on n.id = note_words.rowid where note_words match ?",
                (MARK_ON, MARK_OFF, query),
            ).fetchall()
        )
    for code in notes_with(connection, text, 500):
        if code not in found:
            row = connection.execute("select text from note where code = ?", (code,)).fetchone()
            found[code] = mark(row[0], text.strip())
    return found


def _place(note: ListedNote) -> tuple[int, bool, str, str]:
    """By kind, those still standing before those withdrawn, the newest first, then by id."""
    return _place_of(note.kind, note.status, note.on, note.id)


def _place_of(kind: str, status: str, on: str, code: str) -> tuple[int, bool, str, str]:
    newest_first = "".join(chr(0x7F - ord(sign)) for sign in on)
    return (_kind_place(kind), status == "withdrawn", newest_first, code)


def _kind_place(kind: str) -> int:
    return _ORDER.index(kind) if kind in _ORDER else len(_ORDER)
