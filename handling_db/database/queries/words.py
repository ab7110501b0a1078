"""From what people type to a search that cannot fail, whatever the signs in it."""

from __future__ import annotations

import math
import re

MARK_ON = "\x02"  # around found words in a snippet; no record can hold these signs
MARK_OFF = "\x03"

_LONGEST = 200
_WORDS = 12
_APART = 2  # from one piece to the next at least: neighbours that share two letters stand in the same words
# How common letters are in prose, in hundredths, from memory and rounded; a space ends every sixth or so.
_COMMON = dict(
    zip(
        "etaoinshrdlucmfwypvbgkjqxz ",
        (13, 9, 8, 8, 7, 7, 6, 6, 6, 4, 4, 3, 3, 2, 2, 2, 2, 2, 1, 2, 2, 1, 0.1, 0.1, 0.1, 0.1, 9),
        strict=True,
    )
)
_OTHER = 0.3  # figures, signs, letters of other alphabets


def words_of(text: str) -> list[str]:
    """The words of a text: letters and digits only, so that no sign of the search language is left."""
    return re.findall(r"[^\W_]+", _plain(text)[:_LONGEST])[:_WORDS]


def every_word(text: str, *, prefix: bool = True) -> str | None:
    """A search for rows that hold every word of a text, or words that begin so; None without words."""
    star = "*" if prefix else ""
    return " ".join(f'"{word}"{star}' for word in words_of(text)) or None


def every_fragment(text: str) -> str | None:
    """A search for rows that can hold a text, by three letters at a time; None where it is shorter.

    Pieces that cover the text once are enough, since the text itself is looked for afterwards; pieces with a
    space in them are in nearly every row and only cost time.
    """
    pieces = fragments(text, apart=3)
    pieces = [piece for piece in pieces if not re.search(r"\s", piece)] or pieces
    return " AND ".join(f'"{piece}"' for piece in pieces) or None


def likely_rare(text: str) -> list[str]:
    """Three neighbouring letters or signs of a text at a time, those first that few rows likely hold.

    Neighbours that share two letters are left out.
    """
    plain = _plain(text).strip()[:_LONGEST]
    taken: list[int] = []
    for place in sorted(range(len(plain) - 2), key=lambda at: _how_common(plain[at : at + 3])):
        if all(abs(place - other) >= _APART for other in taken):
            taken.append(place)
    return list(dict.fromkeys(plain[at : at + 3].replace('"', '""') for at in taken))


def _how_common(piece: str) -> float:
    """How common a piece is, as far as its letters tell; only the order of such figures counts."""
    return math.prod(_COMMON.get(letter, _OTHER) for letter in piece.casefold())


def squeezed(text: str) -> str:
    """A part number without the signs that people write or leave out, in small letters."""
    return re.sub(r"[-\s./]", "", text).casefold()


def any_fragment(text: str) -> str | None:
    """A search for rows that hold any three letters of a text; None where it is shorter."""
    return " OR ".join(f'"{piece}"' for piece in fragments(text)) or None


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
    return [piece.replace('"', '""') for piece in pieces][:60]


def _plain(text: str) -> str:
    """Without null signs and halves of signs, which SQLite cannot take."""
    return text.replace("\0", " ").encode("utf-8", "replace").decode()
