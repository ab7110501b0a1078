"""A handling note: one statement about one thing, by a role, at a place and a day, with its standing."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from handling_db.records.parts.common import About, Fits, Recorded
from handling_db.records.parts.measures import Count, MassOrNone, MassText
from handling_db.records.parts.note_facts import NoteFacts, misplaced, words_of
from handling_db.records.parts.texts import Date, Id, Line, State, Text

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


class Note(Recorded):
    """What to look for, before the act, in one or two sentences.

    Never edited: a correction is a new note that says what it `replaces`.
    """

    note: Id
    """its id"""
    about: About
    """exactly one thing"""
    kind: NoteKind
    """see below"""
    text: Text
    """what to look for, before the act, in one or two sentences"""
    hazard: Line | None = None
    """what can happen"""
    exposed: Line | None = None
    """to whom"""
    attitude: Line | None = None
    """which way up it applies to"""
    state: State | None = None
    """`dry`, `drained` or `filled`"""
    build: dict[str, str] | None = None
    """values of parameters it applies to"""
    fits: tuple[Fits, ...] = ()
    """models and serials it applies to"""
    facts: NoteFacts | None = None
    """figures and particulars, by kind of note"""
    reading: MassText | None = None
    """what the cell showed"""
    gear_used: Line | None = None
    """what was used"""
    rated: MassOrNone = None
    """what that was rated, or `none`"""
    told_by: Literal["book", "shop", "maker's bulletin", "incident"]
    """`book`, `shop`, `maker's bulletin` or `incident`"""
    source: Id | None = None
    """the document"""
    author: Line
    """whose role wrote it"""
    shop: Id | None = None
    """in which shop"""
    on: Date
    """the day"""
    seen: Line | None = None
    """how often and where, in words"""
    times_seen: Count | None = None
    """how often"""
    seen_at: tuple[Id, ...] = ()
    """in which shops; a list"""
    photo: Line | None = None
    """name of a file beside the records"""
    status: NoteStatus
    """`draft`, `checked`, `accepted`, `doubtful` or `withdrawn`"""
    reason: Line | None = None
    """why it is doubtful or withdrawn"""
    checked_by: Line | None = None
    """whose role checked it"""
    review_by: Date | None = None
    """a date after which it is stale; it stays visible and says so"""
    replaces: Id | None = None
    """the id of the note it takes the place of"""

    @model_validator(mode="after")
    def _facts_fit_the_kind(self) -> Note:
        wrong = misplaced(self.kind, self.facts) if self.facts else ()
        if wrong:
            raise ValueError(
                f"{', '.join(map(repr, wrong))} under 'facts' does not belong to a note of kind "
                f"{self.kind!r}; it has: {', '.join(words_of(self.kind))}"
            )
        return self

    @model_validator(mode="after")
    def _somebody_stands_for_its_status(self) -> Note:
        if self.status in ("checked", "accepted") and self.checked_by is None:
            raise ValueError(
                f"'status: {self.status}' needs 'checked by': write whose role looked, or make it a draft"
            )
        if self.status in ("doubtful", "withdrawn") and self.reason is None:
            raise ValueError(f"'status: {self.status}' needs 'reason': write why, in a sentence")
        if self.replaces == self.note:
            raise ValueError("a note cannot replace itself; give the new one an id of its own")
        return self
