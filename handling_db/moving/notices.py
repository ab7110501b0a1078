"""What is said about a move before its figures: each kind with its words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from handling_db.lifting.said.notices import notice_words as lift_words
from handling_db.quantities.notice import Notice
from handling_db.quantities.sentence import said

KINDS: Mapping[str, str] = {
    # What stands first.
    "gross complete": "Heaviest believable figure, everything on the forks counted.",
    "gross at least": "AT LEAST: no mass for {names:and}. There is no upper figure; weigh it.",
    "shop beside it": "Every figure beside what is recorded of the shop; the plates and tags govern.",
    "shop at least": "AT LEAST: a mass is missing, so there is no upper figure. Weigh before anything is "
    "planned.",
    # What is not known: masses, places, what nobody recorded or gave.
    "inspection over": "{name}: inspection was due on {due}.",
    "other serial": "Serial {serial} is outside of what is recorded for {name} ({ranges}): these figures may "
    "be of another machine.",
    "too steep": "The way rises by {rise}, more than the {book} that the book of {name} states: another "
    "truck or way.",
    "not weighed": "No mass: {name}.",
    "open": "{why}",
    "no job named": "No job is named: build and what is off are as recorded for any unit. Open here: "
    "{jobs:and}.",
    "no pallet": "No pallet is named: figures are for the piece on its face.",
    "no packing": "No packing is recorded for it: ties, marks, size and how the load is spread are not "
    "known.",
    "place on pallet": "Where it sits on the pallet is not recorded: taken at the middle.",
    "turn on pallet": "Which way round it sits on the pallet is not recorded: taken as not turned.",
    "no slope": "No slope is recorded for the way: tip angles are for a level floor.",
    "no fork height": "The highest fork height of this move was not given.",
    "no shop": "No shop is named: every truck in the records is shown, and no floor, door or way.",
    "marks": "Nobody looked, for the marks: {marks:and}.",
    "no allowance": "{name} records no break-loose allowance: none is added.",
    "no scale": "No scale is recorded for {name}.",
}

# Why a figure of the paper and a scale lie apart, inside a sentence.
CLAUSES: Mapping[str, str] = {
    "parts heavier": "the known parts alone are heavier",
    "paper heavier": "the paper is heavier",
    "scale heavier": "the scale is heavier",
    "left to weigh": "{names:and} would together have to weigh {low_kg:1} to {high_kg:1}",
}


def clause(notice: Notice | None, first: str = "kg") -> str:
    """The words of a reason; empty where there is none."""
    return "" if notice is None else said(CLAUSES[notice.kind], notice.facts, first=first)


def notice_words(notice: Notice, *, first: str = "kg") -> str:
    """The sentence of one notice; what a lift says of its masses, in the words of the lift."""
    if notice.kind not in KINDS:
        return lift_words(notice, first=first)
    text = said(KINDS[notice.kind], notice.facts, first=first)
    return f"{text[0].upper()}{text[1:]}"


def gap_texts(notices: Iterable[Notice], first: str = "kg") -> list[str]:
    """What is not known, a sentence each."""
    return [notice_words(notice, first=first) for notice in notices]
