"""The words that were asked for, and the words in notes that begin so."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence

from handling_db.classes import dataclass
from handling_db.database.queries.hits.note_list import NoteList, small
from handling_db.database.queries.words import kept_whole, words_of

LAST = "\U0010ffff"  # stands after every letter

_FORMS = 16  # words that begin alike, at most, for their lists to be gone along one by one


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


@dataclass(frozen=True, slots=True)
class AskedWord:
    """A word that was asked for.

    Parameters
    ----------
    begun : str
        In small letters, as far as it was written.
    term : str
        What it is in the index of words; empty where that is not known.
    forms : dict of str to str
        Words in notes as they are spelled that begin so without their endings, with what they are in the
        index of words; empty where they are many, or not known.
    held : NoteList, optional
        Notes that hold one of them; None without forms.
    whole : NoteList, optional
        Notes that hold the word itself, with whatever ending; None where it is not known.
    """

    begun: str
    term: str
    forms: dict[str, str]
    held: NoteList | None
    whole: NoteList | None

    @property
    def quick(self) -> str:
        """A search that finds the notes in the least time: not the lists of all that may begin so."""
        either = " OR ".join(f'"{one}"' for one in self._terms())
        return f"({either})" if either else f'"{self.begun}"*'

    @property
    def ranked(self) -> str:
        """A search that finds the same notes, and by which they can be put in order."""
        terms = self._terms()
        return f'"{terms[0]}"' if len(terms) == 1 else f'"{self.begun}"*'

    def _terms(self) -> list[str]:
        """One word as it is spelled for each in the index."""
        return [*{term: word for word, term in self.forms.items()}.values()]

    @property
    def told_by_letters(self) -> bool:
        """Whether words that begin so are found by reading: the index turns some endings into i or le."""
        return kept_whole(self.begun) and self.begun[-1] not in "il"

    def times(self, words: Sequence[str]) -> int | None:
        """How often it stands in a note, given in words as they are spelled; None where these do not tell."""
        if self.forms:
            return sum(map(self.forms.__contains__, words))
        begun = [word for word in words if word.startswith(self.begun)]
        # an ending that goes makes another word of it
        return len(begun) if all(map(kept_whole, begun)) else None


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for, and what is known of the file before anything is looked for.

    Parameters
    ----------
    text : str
        Without spaces around it.
    words : list of str
        In small letters.
    stamp : str
        Of the file.
    notes, long : int
        How many notes there are, and words in all of them.
    alike : bool
        Whether the lists of notes tell of every word in the index.
    in_names, pieces_in_names : bool
        Whether there can be components with the words, and with the text as a fragment.
    """

    text: str
    words: list[str]
    stamp: str
    notes: int
    long: int
    alike: bool
    in_names: bool
    pieces_in_names: bool


def asked_of(connection: sqlite3.Connection, text: str) -> Asked:
    """A text as it is asked for, with one question to the file."""
    bare = text.strip()
    words = [word.casefold() for word in words_of(text)]
    first = words[0] if words and kept_whole(words[0]) else ""
    piece = bare[:3].lower() if bare[:3].isascii() and bare[:3].isalnum() else ""
    stamp, notes, long, alike, listed, begun, there = connection.execute(
        "select b.stamp, n.notes, n.words, n.alike, exists (select 1 from component_words_held), "
        "exists (select 1 from component_words_held where word >= ? and word < ?), "
        "exists (select 1 from component_fragments_held where piece = ?) "
        "from built b join note_words_counted n",
        (first, first + LAST, piece),
    ).fetchone()
    in_names, pieces = bool(begun or not listed or not first), bool(there or not listed or not piece)
    return Asked(bare, words, stamp, notes, long, bool(alike), in_names, pieces)


def words_in_notes(connection: sqlite3.Connection, asked: Asked) -> list[AskedWord]:
    """The words of a text as notes hold them; none where no note can have all of them."""
    found = []
    for begun in asked.words:
        term = _term(connection, begun) if asked.alike else ""
        rows = _begun(connection, term) if term else []
        if term and not rows:
            return []
        whole = NoteList([row[2:] for row in rows if row[1] == term]) if term else None
        if not rows or len(rows) > _FORMS:
            found.append(AskedWord(begun, term, {}, None, whole))
        else:
            forms = {word: in_index for word, in_index, _, _ in rows}
            held = whole if rows[-1][1] == term else NoteList([row[2:] for row in rows])
            found.append(AskedWord(begun, term, forms, held, whole))
    return found


def _term(connection: sqlite3.Connection, word: str) -> str:
    """What a word is in the index of words; empty where that is not known."""
    if kept_whole(word):
        return word
    same = "select term from note_words_spelled where word = ? limit 1"
    row = connection.execute(same, (small(word),)).fetchone()
    return row[0] if row else ""


def _begun(connection: sqlite3.Connection, term: str) -> list[tuple[str, str, int, bytes]]:
    """Words that begin like one of the index, that one first; one more than are gone along stands for all."""
    begun = "select word, term, notes, held from note_words_spelled where term >= ? and term < ? limit ?"
    return connection.execute(begun, (term, term + LAST, _FORMS + 1)).fetchall()
