"""What is meant by a name: id, name, alias or part number, and what comes near where nothing fits."""

from __future__ import annotations

import re
import sqlite3
from collections import Counter
from typing import TYPE_CHECKING

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.words import every_word, fragments, quoted, words_of
from handling_db.errors import AmbiguousNameError, UnknownNameError

if TYPE_CHECKING:
    from handling_db.lookup.meant import Known
    from handling_db.weights.answer import Named

_MOST = 20  # components that are listed where a name fits several
_HELD = 60  # components of a large collection that a name is held against
_SPELLED = 3_000  # components, and notes, whose words a misspelt one is held against

_words: LastAnswers[frozenset[str]] = LastAnswers(4)


def exists(connection: sqlite3.Connection, code: str) -> bool:
    """Whether there is a component of this id."""
    return key_of(connection, code) is not None


def key_of(connection: sqlite3.Connection, code: str) -> int | None:
    """The key of a component by its id."""
    row = connection.execute("select id from component where code = ?", (_clean(code),)).fetchone()
    return None if row is None else int(row[0])


def need_key(connection: sqlite3.Connection, code: str) -> int:
    """The key of a component by its id.

    Raises
    ------
    UnknownNameError
        There is no such component.
    """
    key = key_of(connection, code)
    if key is None:
        raise unknown(connection, code)
    return key


def resolve(connection: sqlite3.Connection, name: str) -> str:
    """The id of the component that goes by a name.

    The exact id comes first; then id, name, alias or part number, whatever the case of its letters.

    Raises
    ------
    AmbiguousNameError
        Several go by it; they are listed.
    UnknownNameError
        None does; what comes near is named.
    """
    text = _clean(name)
    if exists(connection, text):
        return text
    found = _named(connection, text)
    if len(found) == 1:
        return found[0][0]
    if found:
        raise AmbiguousNameError(name.strip()[:200], tuple(found[:_MOST]))
    raise unknown(connection, name)


def _named(connection: sqlite3.Connection, text: str) -> list[tuple[str, str]]:
    """Id and name of every component that goes by a text, by id."""
    folded = text.casefold()
    found = []
    for code, name, part_number, also_called in _candidates(connection, text):
        names = [code, name, part_number or "", *(also_called or "").split("\n")]
        if any(_clean(one).casefold() == folded for one in names):
            found.append((code, name))
    return sorted(found)


def _candidates(connection: sqlite3.Connection, text: str) -> list[tuple[str, str, str | None, str | None]]:
    """Components that hold every word of a text; all of them where it has no words."""
    query = every_word(text, prefix=False)
    columns = "select c.code, c.name, c.part_number, c.also_called from component c"
    if query is None:
        return connection.execute(columns).fetchall() if text else []
    return connection.execute(
        f"{columns} where c.id in (select rowid from component_words where component_words match ?)", (query,)
    ).fetchall()


def near_names(connection: sqlite3.Connection, text: str, most: int = 5) -> list[Named]:
    """Components whose name, id or part number comes near a text, whole units and exact words first."""
    from handling_db.lookup.meant import near
    from handling_db.weights.answer import Named

    known = known_names(connection, "order by height desc, code limit ?", (_SPELLED,))
    if len(known) == _SPELLED:
        keys = _alike(connection, text)  # of a large collection those that share most with it
        marks = ", ".join("?" * len(keys))
        known = known_names(connection, f"where id in ({marks})", tuple(keys)) if keys else known
    return [Named(one.id, one.name) for one in near(known, _clean(text), most)]


def _alike(connection: sqlite3.Connection, text: str) -> list[int]:
    """Keys of components that share three neighbouring letters with a text, those with the most first.

    Letters that very many have tell little one by one: what has all of these comes after that.
    """
    match = "select rowid from component_fragments where component_fragments match ? order by rowid limit ?"
    shared: Counter[int] = Counter()
    common: list[str] = []
    for piece in fragments(text):
        found = connection.execute(match, (quoted(piece), _SPELLED + 1)).fetchall()
        if len(found) > _SPELLED:
            common.append(quoted(piece))
        else:
            shared.update(key for (key,) in found)
    keys = sorted(shared, key=lambda key: (-shared[key], key))[:_HELD]
    if common and len(keys) < _HELD:
        found = connection.execute(match, (" AND ".join(common), _HELD)).fetchall()
        keys += [key for (key,) in found if key not in shared]
    return keys[:_HELD]


def known_names(connection: sqlite3.Connection, rest: str, values: tuple[object, ...]) -> list[Known]:
    """Everything that components go by.

    Parameters
    ----------
    connection : sqlite3.Connection
    rest : str
        What follows ``from component``: which of them, in which order, how many.
    values : tuple
        For the marks in it.
    """
    from handling_db.lookup.meant import Known

    rows = connection.execute(
        "select code, name, part_number, also_called, height, "
        f"not exists (select 1 from usage where usage.child = component.id) from component {rest}",
        values,
    )
    return [
        Known(
            code,
            name,
            tuple(filter(None, (code, name, number, *(also or "").split("\n")))),
            bool(whole),
            height,
        )
        for code, name, number, also, height, whole in rows
    ]


def respelled(connection: sqlite3.Connection, stamp: str, text: str) -> str:
    """A text with each word that stands nowhere put right by the nearest that does; empty for no change.

    Parameters
    ----------
    connection : sqlite3.Connection
    stamp : str
        Of the database: its words are kept by it.
    text : str

    Notes
    -----
    Words are taken from the names and notes of the `_SPELLED` highest components and first notes, so that
    a large collection answers as fast. Common practice, no source: the likeness of `difflib`, from 0.72 on.
    """
    from difflib import get_close_matches

    known = _words.get(stamp, lambda: _all_words(connection))
    words = [word.casefold() for word in words_of(text)]
    right = []
    for word in words:
        stands = any(one.startswith(word) for one in known)
        # two letters have too many neighbours to guess among, and figures are never put right
        near = [] if stands or len(word) < 3 or word.isdigit() else get_close_matches(word, known, 1, 0.72)
        right.append(near[0] if near else word)
    return " ".join(right) if right != words else ""


def _all_words(connection: sqlite3.Connection) -> frozenset[str]:
    """Every word of names, aliases and notes, in small letters."""
    texts = [
        text
        for sql in (
            "select name || ' ' || coalesce(also_called, '') from component "
            "order by height desc, code limit ?",
            "select text from note where replaced_by is null order by code limit ?",
        )
        for (text,) in connection.execute(sql, (_SPELLED,))
    ]
    return frozenset(word.casefold() for text in texts for word in re.findall(r"[^\W\d_]{3,}", str(text)))


def unknown(connection: sqlite3.Connection, name: str) -> UnknownNameError:
    """The error for a name that nothing goes by, with what comes near."""
    found = near_names(connection, name, 3)
    shown = name.strip()[:80]
    if not found:
        return UnknownNameError(
            f"nothing here goes by {shown!r}, and nothing comes near; look for a word of it with 'find'"
        )
    listed = ", ".join(f"{named.id} ({named.name})" for named in found)
    return UnknownNameError(f"nothing here goes by {shown!r}; near it: {listed}")


def _clean(text: str) -> str:
    """A text as names are written: single spaces, none around."""
    return " ".join(text[:400].replace("\0", " ").split()).encode("utf-8", "replace").decode()
