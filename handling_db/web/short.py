"""Long texts as several short paragraphs: nobody reads more than forty words at arm's length."""

from __future__ import annotations

from itertools import accumulate

from markupsafe import Markup, escape

MOST = 40  # words

# Where a text may be cut, the best place first.
_ENDS = ((".", "!", "?"), (";",), (":",), (",", ")"))


def short(text: str, most: int = MOST) -> list[str]:
    """A text in pieces of at most so many words, cut at the end of a sentence where that can be.

    Nothing is left out: joined with spaces the pieces are the text again.

    Parameters
    ----------
    text : str
    most : int
        Words of one piece.
    """
    words = text.split()
    pieces: list[str] = []
    while len(words) > most:
        cut = _cut(words, most)
        pieces.append(" ".join(words[:cut]))
        words = words[cut:]
    return [*pieces, " ".join(words)] if words or not pieces else pieces


def _cut(words: list[str], most: int) -> int:
    """After how many words to cut; rather not between brackets, whose second half says nothing by itself."""
    # not so early that a few words stand alone
    first = max(6, most // 4)
    opened = [*accumulate(word.count("(") - word.count(")") for word in words[:most])]  # after each word
    whole = [n for n in range(first, most + 1) if opened[n - 1] == 0]
    for places in (whole, range(first, most + 1)):
        for ends in _ENDS:
            found = [n for n in places if words[n - 1].endswith(ends)]
            if found:
                return found[-1]
    return most


def paras(text: object, kind: str = "") -> Markup:
    """The pieces as paragraphs; a `Markup` stays as it is, in one."""
    mark = f' class="{kind}"' if kind else ""
    if isinstance(text, Markup):
        return Markup(f"<p{mark}>{text}</p>")
    return Markup("".join(f"<p{mark}>{escape(piece)}</p>" for piece in short(str(text))))
