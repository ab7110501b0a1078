"""Which thing a typed text means, in the order people mean it: whole units and exact words first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher

from handling_db.classes import dataclass

_ALIKE = 0.55  # likeness from which a name counts as misspelt; common practice, no source

Words = tuple[str, ...]
# Not what was typed; only a piece of a word fits; does not begin so. Less is nearer.
Fit = tuple[bool, bool, bool]


@dataclass(frozen=True, slots=True)
class Known:
    """One thing that may be meant.

    Parameters
    ----------
    names : tuple of str
        Everything it goes by: id, name, aliases, part number.
    whole : bool
        Whether it is part of nothing else.
    height : int
        Longest way down to a part: of two that fit alike the larger is meant.
    """

    id: str
    name: str
    names: tuple[str, ...]
    whole: bool
    height: int


def meant(known: Iterable[Known], typed: str) -> list[Known]:
    """What goes by a text, begins with it, or has a word that does.

    What is typed exactly comes first; then what is a whole unit and has the typed words as whole words, then
    what is one of the two, then the rest; larger before smaller.

    Parameters
    ----------
    known : iterable of Known
    typed : str
        Empty: everything.
    """
    wanted = _words(typed)
    rated = []
    for one in known:
        fits = [fit for name in one.names if (fit := _fit(_words(name), wanted)) is not None]
        if fits:
            other, piece, inside = min(fits)
            rated.append(((other, (not one.whole) + piece, inside, -one.height, one.id), one))
    return [one for _, one in sorted(rated, key=lambda pair: pair[0])]


def near(known: Sequence[Known], typed: str, most: int) -> list[Known]:
    """What may be meant by a text that nothing goes by: what fits a word of it, then what is spelt alike.

    Parameters
    ----------
    known : sequence of Known
    typed : str
    most : int
        How many at most.
    """
    wanted = _plain(typed)
    found = meant(known, typed) if len(wanted) > 1 else []
    if len(found) < most:
        seen = {one.id for one in found}
        rated = []
        for one in known:
            if one.id not in seen:
                like = max(SequenceMatcher(None, wanted, _plain(name)).ratio() for name in one.names)
                rated += [((-like, one.id), one)] if like >= _ALIKE else []
        found += [one for _, one in sorted(rated, key=lambda pair: pair[0])]
    return found[:most]


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.casefold().replace("-", " ").split())


def _fit(name: Words, typed: Words) -> Fit | None:
    """How the words typed stand in a name; the last may be a piece of a word. None where they do not."""
    if not typed:
        return True, False, False
    found = []
    for at in range(len(name) - len(typed) + 1):
        part = name[at : at + len(typed)]
        if part[:-1] == typed[:-1] and part[-1].startswith(typed[-1]):
            found.append((name != typed, part[-1] != typed[-1], at > 0))
    return min(found, default=None)
