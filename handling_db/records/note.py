"""A handling note: one statement about one thing, by a role, at a place and a day, with its standing."""

from __future__ import annotations

from typing import Literal

from handling_db.records.common import About, Fits
from handling_db.records.fields import Date, Id, Line, MassOrNone, MassText, Part, State, Text

NoteKind = Literal[
    "stored energy",
    "pick point",
    "tie",
    "temporary tie",
    "order",
    "turn",
    "stick",
    "fluid",
    "set-down",
    "access",
    "balance",
    "hand",
    "match",
    "guide",
    "protect",
    "ship or store",
    "difference",
]
NOTE_KINDS: tuple[str, ...] = NoteKind.__args__  # type: ignore[attr-defined]

NoteStatus = Literal["draft", "checked", "accepted", "doubtful", "withdrawn"]


class Note(Part):
    """What to look for, before the act, in one or two sentences."""

    note: Id
    about: About
    kind: NoteKind
    text: Text
    hazard: Line | None = None
    exposed: Line | None = None
    attitude: Line | None = None
    state: State | None = None
    fits: tuple[Fits, ...] = ()
    reading: MassText | None = None
    gear_used: Line | None = None
    rated: MassOrNone = None
    told_by: Literal["book", "shop", "maker's bulletin", "incident"]
    source: Id | None = None
    author: Line
    shop: Id | None = None
    on: Date
    seen: Line | None = None
    status: NoteStatus
    reason: Line | None = None
    checked_by: Line | None = None
    review_by: Date | None = None
    replaces: Id | None = None

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.note
