"""From what people type to a search that cannot fail, whatever the signs in it."""

from __future__ import annotations

import re

MARK_ON = "\x02"  # around found words in a snippet; no record can hold these signs
MARK_OFF = "\x03"

_LONGEST = 200
_WORDS = 12
# Endings that an English word may lose in the index of words; a word with none of them stands there as it is.
_LOSES = (
    *("s", "y", "e", "ed", "ing", "al", "er", "or", "ic", "ant", "ent", "ion", "ou", "ism"),
    *("ti", "ci", "gi", "li", "ful", "ll"),
)


def words_of(text: str) -> list[str]:
    """The words of a text: letters and digits only, so that no sign of the search language is left."""
    return re.findall(r"[^\W_]+", _plain(text)[:_LONGEST])[:_WORDS]


def every_word(text: str, *, prefix: bool = True) -> str | None:
    """A search for rows that hold every word of a text, or words that begin so; None without words."""
    star = "*" if prefix else ""
    return " ".join(f'"{word}"{star}' for word in words_of(text)) or None


def kept_whole(word: str) -> bool:
    """Whether the index of words holds a word in small letters as it is written, with no ending cut off."""
    return word.isascii() and word.isalnum() and not word.endswith(_LOSES)


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
    return " ".join(text.split())


def _plain(text: str) -> str:
    """Without null signs and halves of signs, which SQLite cannot take."""
    return text.replace("\0", " ").encode("utf-8", "replace").decode()
