"""A handling note: one statement about one thing, by a role, at a place and a day, with its standing."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from handling_db.records.parts.common import About, Fits
from handling_db.records.parts.note_facts import NoteFacts, misplaced, words_of
from handling_db.records.parts.texts import Count, Date, Id, Line, MassOrNone, MassText, Part, State, Text

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
    """What to look for, before the act, in one or two sentences.

    Never edited: a correction is a new note that says what it `replaces`.
    """

    note: Id
    about: About
    kind: NoteKind
    text: Text
    hazard: Line | None = None
    exposed: Line | None = None
    attitude: Line | None = None
    state: State | None = None
    build: dict[str, str] | None = None
    fits: tuple[Fits, ...] = ()
    facts: NoteFacts | None = None
    reading: MassText | None = None
    gear_used: Line | None = None
    rated: MassOrNone = None
    told_by: Literal["book", "shop", "maker's bulletin", "incident"]
    source: Id | None = None
    author: Line
    shop: Id | None = None
    on: Date
    seen: Line | None = None
    times_seen: Count | None = None
    seen_at: tuple[Id, ...] = ()
    photo: Line | None = None
    status: NoteStatus
    reason: Line | None = None
    checked_by: Line | None = None
    review_by: Date | None = None
    replaces: Id | None = None

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

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.note
