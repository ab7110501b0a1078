"""A choice: which figure of a component somebody decided to use, or that the question is still open."""

from __future__ import annotations

from pydantic import model_validator

from handling_db.records.parts.common import Recorded
from handling_db.records.parts.texts import Date, Id, Line, State, Text


class Choice(Recorded):
    """A decision about the figures of one component, or an open conflict with its owner.

    Never edited: a later one says `replaces`. A choice deletes nothing; the other figures stay and are shown.
    With a `statement` it is settled; without one it is open, and says who has it and until when.
    """

    choice: Id
    """its id"""
    component: Id
    """whose figures it is about"""
    statement: Id | None = None
    """the id of the figure that is used; left out, the question is open"""
    state: State | None = None
    """dry, drained or filled; left out, every one"""
    build: dict[str, str] | None = None
    """values of parameters it holds for; left out, every build"""
    by: Line
    """whose role decided"""
    on: Date
    """on which day"""
    reason: Text
    """why, in a sentence"""
    owner: Line | None = None
    """who has to settle an open one"""
    settle_by: Date | None = None
    """by which day"""
    replaces: Id | None = None
    """the id of the choice this one replaces"""
    remark: Text | None = None
    """anything else worth knowing"""

    @model_validator(mode="after")
    def _settled_or_open(self) -> Choice:
        if self.statement is None:
            if self.owner is None or self.settle_by is None:
                raise ValueError(
                    "write 'statement' (which figure is used), or leave it open with 'owner' (whose role) "
                    "and 'settle by' (a date)"
                )
            if self.settle_by < self.on:
                raise ValueError(f"'settle by' {self.settle_by} is before 'on' {self.on}")
        elif self.owner is not None or self.settle_by is not None:
            raise ValueError(
                "'owner' and 'settle by' go with an open conflict; a settled one has a 'statement'"
            )
        return self

    @property
    def settled(self) -> bool:
        """Whether a figure was chosen."""
        return self.statement is not None
