"""From what people type to a search that cannot fail, whatever the signs in it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

MARK_ON = "\x02"  # around found words in a snippet; no record can hold these signs
MARK_OFF = "\x03"

_LONGEST = 200
_WORD = re.compile(r"[^\W_]+")
_WORDS = 12
# Endings that an English word may lose in the index of words; a word with none of them stands there as it is.
_LOSES = (
    *("s", "y", "e", "ed", "ing", "al", "er", "or", "ic", "ant", "ent", "ion", "ou", "ism"),
    *("ti", "ci", "gi", "li", "ful", "ll"),
)


def words_of(text: str) -> list[str]:
    """The words of a text: letters and digits only, so that no sign of the search language is left."""
    return _WORD.findall(_plain(text)[:_LONGEST])[:_WORDS]


def word_end(text: str, at: int) -> int:
    """Where the word ends that a place in a text is in."""
    found = _WORD.match(text, at)
    return found.end() if found else at


def every_word(text: str, *, prefix: bool = True) -> str | None:
    """A search for rows that hold every word of a text, or words that begin so; None without words."""
    star = "*" if prefix else ""
    return " ".join(f'"{word}"{star}' for word in words_of(text)) or None


def kept_whole(word: str) -> bool:
    """Whether the index of words holds a word in small letters as it is written, with no ending cut off."""
    return word.isascii() and word.isalnum() and not word.endswith(_LOSES)


def telling(times: Sequence[int], held_by: Sequence[int], long: int, rows: int, usual: float) -> float:
    """How much the words tell of one note; as the index of words weighs them, least first.

    Parameters
    ----------
    times, held_by : sequence of int
        How often each word stands in the note, and how many notes hold it.
    long : int
        Words in the note.
    rows : int
        How many notes there are.
    usual : float
        Words in a note on average.

    Notes
    -----
    Okapi BM25 with k1 = 1.2 and b = 0.75, as SQLite's documentation of FTS5 gives it (section "The bm25()
    function"); in its order of operations, so that equal notes stay equal.
    """
    score = 0.0
    for count, notes in zip(times, held_by, strict=True):
        rare = math.log((rows - notes + 0.5) / (notes + 0.5))
        score += (1e-6 if rare <= 0 else rare) * (
            (count * (1.2 + 1.0)) / (count + 1.2 * (1 - 0.75 + 0.75 * long / usual))
        )
    return -score


def every_fragment(text: str) -> str | None:
    """A search for rows that can hold a text, by three letters at a time; None where it is shorter.

    Pieces that cover the text once are enough, since the text itself is looked for afterwards; pieces with a
    space in them are in nearly every row and only cost time.
    """
    pieces = fragments(text, apart=3)
    pieces = [piece for piece in pieces if not any(map(str.isspace, piece))] or pieces
    return " AND ".join(map(quoted, pieces)) or None


def squeezed(text: str) -> str:
    """A part number without the signs that people write or leave out, in small letters."""
    return re.sub(r"[-\s./]", "", text).casefold()


def fragments(text: str, *, apart: int = 1) -> list[str]:
    """Three neighbouring letters or signs of a text at a time, each once, and always the last three.

    Parameters
    ----------
    text : str
    apart : int
        How far from one to the next; 3 covers the text without overlap.
    """
    plain = _plain(text).strip()[:_LONGEST]
    pieces = dict.fromkeys(plain[i : i + 3] for i in range(0, len(plain) - 2, apart))
    if len(plain) > 2:
        pieces[plain[-3:]] = None
    return list(pieces)[:60]


def quoted(piece: str) -> str:
    """A piece as a search takes it."""
    return '"' + piece.replace('"', '""') + '"'


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


def one_line(text: str) -> str:
    """A text without line ends."""
    if text.isprintable() and "  " not in text and text[:1] != " " and text[-1:] != " ":
        return text
    return " ".join(text.split())


def _plain(text: str) -> str:
    """Without null signs and halves of signs, which SQLite cannot take."""
    return text.replace("\0", " ").encode("utf-8", "replace").decode()
