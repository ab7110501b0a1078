"""The first sentence of an explanation: at most 30 plain words for the person who asks."""

from __future__ import annotations

from collections.abc import Iterator

from handling_db.balance.causes import plain_name
from handling_db.balance.explain import Explanation
from handling_db.quantities.display import counted, span
from handling_db.records.collection import Collection

MOST_WORDS = 30
_MOST_NAMES = 3


def first_sentence(collection: Collection, explanation: Explanation, *, first: str = "kg") -> str:
    """How far the two are apart, what single thing would explain it, and how little that proves.

    Parameters
    ----------
    collection : Collection
    explanation : Explanation
    first : str
        The unit to name first, kg or lb; both are shown.

    Returns
    -------
    str
        The fullest wording of at most 30 words.
    """
    return next(
        sentence
        for sentence in _wordings(collection, explanation, first)
        if len(sentence.split()) <= MOST_WORDS
    )


def _wordings(collection: Collection, explanation: Explanation, first: str) -> Iterator[str]:
    """The same sentence ever shorter; the last always fits."""
    low, high = explanation.gap
    lighter = "lighter" if explanation.parts_heavier else "heavier"
    if not explanation.parts_heavier:
        low, high = -high, -low
    far = span(low, high, first=first)
    source = explanation.witness.source.name
    named = f"{source[0].upper()}{source[1:]}"
    for start in (f"The {source} figure is", f"{named} is", "The stated figure is", "It is"):
        head = f"{start} {far} {lighter} than the parts"
        for cause, verbs in _singles(collection, explanation):
            yield f"{head}; {cause}{_pairs(explanation.pairs, verbs)}"
    yield f"It is {far} {lighter} than the parts: no single cause is proved."


# What one pair does as well as the single cause, and what several do; nothing where there is no such cause.
_WOULD, _FITS = ("would", "would"), ("does", "do")


def _singles(
    collection: Collection, explanation: Explanation
) -> Iterator[tuple[str, tuple[str, str] | None]]:
    """What alone would explain it: parts by name, or how many there are; and what pairs do beside it."""
    doing = "leaving out" if explanation.parts_heavier else "counting twice"
    parts = list(
        dict.fromkeys(
            cause.about for cause in explanation.causes if cause.kind in ("left out", "counted twice")
        )
    )
    names = [plain_name(collection.components[code].name) for code in parts]
    if parts and len(parts) <= _MOST_NAMES:
        yield f"{doing} {_joined([f'the {name}' for name in names])} would explain it", _WOULD
        yield f"{doing} {_joined(names)} would explain it", _WOULD
        yield f"{doing} {_joined(names)} fits", _FITS
    if parts:
        yield f"{doing} {_any_of(len(parts), 'part')} would explain it", _WOULD
    elif explanation.causes:
        yield f"{_any_of(len(explanation.causes), 'slip')} would explain it", _WOULD
    else:
        yield "nothing single explains it", None


def _any_of(number: int, noun: str) -> str:
    return f"a single {noun}" if number == 1 else f"any of {number} {noun}s"


def _pairs(number: int, verbs: tuple[str, str] | None) -> str:
    """How little it proves: how many pairs of parts would explain it as well."""
    if verbs is None:
        return f", {counted(number, 'pair')} of parts would: no proof." if number else "."
    return f", so {verbs[number != 1]} {counted(number, 'pair')}: no proof." if number else ": no proof."


def _joined(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
