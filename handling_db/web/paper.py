"""What of the page of a piece goes on paper: two pages, whatever there is; the rest is counted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.lookup.listings import ListedNote

MOST_PARTS = 60  # of the first level
_ROOM = 214  # lines of a column on two pages of A4 or Letter, below the plan and the picture of the weight
_WIDE = 62  # characters in a line of a column, names and long words allowed for
# Lines that other things take from the columns.
_STORED_ENERGY = 18
_PICTURE = 10
_DRAWING = 26
_PART = 1.5
_KIND = 2.5


@dataclass(frozen=True, slots=True)
class OnPaper:
    """What goes on paper.

    Parameters
    ----------
    notes : frozenset of str
        Ids of the notes that do.
    more_notes, more_parts : int
        How many notes and parts stand on the page only.
    """

    notes: frozenset[str]
    more_notes: int
    more_parts: int

    def any_of(self, notes: Sequence[ListedNote]) -> bool:
        """Whether one of some notes goes on paper."""
        return any(note.id in self.notes for note in notes)


def on_paper(code: str, notes: Sequence[ListedNote], urgent: int, parts: int, pictures: int) -> OnPaper:
    """Choose what fits: notes about the piece itself before those about what is in it.

    Parameters
    ----------
    code : str
        Id of the piece.
    notes : sequence of ListedNote
        Without those on stored energy, which always go on paper.
    urgent : int
        How many these are.
    parts : int
        Of the first level.
    pictures : int
    """
    left = _ROOM - urgent * _STORED_ENERGY - pictures * _PICTURE - min(parts, MOST_PARTS) * _PART
    left -= (_DRAWING if parts else 0) + _KIND * len({note.kind for note in notes})
    chosen = set()
    for note in sorted(notes, key=lambda note: note.about != code):
        left -= _lines(note)
        if left < 0:
            break
        chosen.add(note.id)
    return OnPaper(frozenset(chosen), len(notes) - len(chosen), max(0, parts - MOST_PARTS))


def _lines(note: ListedNote) -> float:
    """Lines that a note takes; more rather than less."""
    texts = [
        f"{note.about_name} {note.attitude} {note.state}",
        note.text,
        f"Hazard: {note.hazard}; exposed: {note.exposed}" if note.hazard else "",
        f"Reading {note.reading} gear {note.gear_used} rated {note.rated}"
        if note.reading or note.gear_used
        else "",
        f"{note.told_by} {note.author} {note.shop_name} {note.on} {note.status} {note.reason} {note.fits}",
    ]
    return 0.6 + sum(math.ceil(len(text) / _WIDE) for text in texts if text)
