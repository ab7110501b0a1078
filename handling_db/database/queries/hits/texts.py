"""Finding notes by fragments of their text: by the words that a fragment has whole, ends or begins with."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Collection, Iterable
from itertools import islice

from handling_db.database.queries.hits.asked import LAST, one_look
from handling_db.database.queries.hits.note_list import NoteList, held_by_many, small, words_in
from handling_db.database.queries.hits.shown import SHOWN, Row
from handling_db.database.queries.words import every_fragment

_FORMS = 16  # words that begin or end alike, at most, for their lists to be gone along one by one
_MANY_FORMS = 300  # the same where all other words of a text are in very many notes
_SHORTEST = 3  # letters or signs of a text that is looked for
_FEW = 3  # notes are read in the time in which a further word is looked up

_FOUND = f"select {SHOWN} from note n where n.id = ? and n.replaced_by is null"
_EVERY = f"select {SHOWN} from note n where n.replaced_by is null and instr(lower(n.text), ?) order by n.id"
_LISTS = "select id, notes, held from note_words_spelled where beside = 0 and"
_PAIR = "select notes, held from note_words_pairs where first = ? and second = ?"

_WITH_PIECES = "select rowid from note_words_fragments where note_words_fragments match ?"

_Form = tuple[int, int, bytes]  # a word by its number, and its list


def notes_with(connection: sqlite3.Connection, text: str, limit: int) -> list[str]:
    """Ids of notes in force whose text holds another text as it is, the first by id, whatever the case."""
    with one_look(connection):
        return [row[1] for row in notes_holding(connection, text, limit)]


def notes_holding(
    connection: sqlite3.Connection, text: str, limit: int, seen: Collection[int] = ()
) -> list[Row]:
    """Notes in force that hold another text of three letters or signs at least, the first by id.

    Parameters
    ----------
    connection : sqlite3.Connection
    text : str
    limit : int
    seen : collection of int
        Notes that are not looked for, by number.
    """
    text = text.strip()
    if len(text) < _SHORTEST:
        return []
    wanted = text.casefold()
    ids = _may_hold(connection, small(text))
    rows: Iterable[Row | None]
    if ids is None:
        every = connection.execute(_EVERY, (small(text),))
        rows = (row for row in every if row[0] not in seen)
    else:
        rows = (connection.execute(_FOUND, (number,)).fetchone() for number in ids if number not in seen)
    return [*islice((row for row in rows if row and wanted in row[4].casefold()), limit)]


def _may_hold(connection: sqlite3.Connection, text: str) -> Iterable[int] | None:
    """Notes with all the words of a text, as far as is looked up: the longest first; None for any note."""
    parts = sorted(enumerate(words_in(text)), key=lambda one: one[1].start() - one[1].end())
    forms: dict[int, list[_Form]] = {}
    lists: list[NoteList] = []
    for most in (_FORMS, _MANY_FORMS):
        for place, part in parts:
            if place in forms:
                continue
            held = _held(connection, part, text, most + 1)
            if not held:
                return ()
            if len(held) <= most:
                forms[place] = held
                lists.append(NoteList([one[1:] for one in held]))
                if len(lists) == len(parts) or lists[-1].most <= _FEW:
                    break
        if not all(one.many for one in lists):
            return NoteList.all_of(lists)
    if not lists:
        return None
    both = forms.keys() & {place - 1 for place in forms}
    return NoteList.all_of(
        lists + [_neighbours(connection, forms[place], forms[place + 1]) for place in both]
    )


def _neighbours(connection: sqlite3.Connection, first: list[_Form], second: list[_Form]) -> NoteList:
    """Notes in which two words may stand side by side: known where many hold each, else any note with one."""
    lists = [one[1:] for one in (*first, *second) if not held_by_many(*one[1:])]
    for one in first:
        for other in second:
            if held_by_many(*one[1:]) and held_by_many(*other[1:]):
                lists += connection.execute(_PAIR, (one[0], other[0])).fetchall()
    return NoteList(lists)


def _held(connection: sqlite3.Connection, part: re.Match[str], text: str, most: int) -> list[_Form]:
    """Lists of the first words that a part of a text can be: one whole, or such as end or begin so."""
    word, first, last = part.group(), part.start() == 0, part.end() == len(text)
    given: tuple[object, ...]
    if first and last:
        where = f"id in ({_WITH_PIECES}) and instr(word, ?)"
        given = every_fragment(word), word
    elif first:
        where, given = "backwards >= ? and backwards < ?", (word[::-1], word[::-1] + LAST)
    elif last:
        where, given = "word >= ? and word < ?", (word, word + LAST)
    else:
        where, given = "word = ?", (word,)
    return connection.execute(f"{_LISTS} {where} limit ?", (*given, most)).fetchall()
