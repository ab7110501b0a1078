"""A job: one unit in hand, with what is out, what is in for the time being, and what was read on the hook."""

from __future__ import annotations

from pydantic import Field, model_validator

from handling_db.records.parts.texts import Count, Date, Id, Line, MassText, Part, Point, Serial, Text


class Signed(Part):
    """Who did it, by role, and when."""

    on: Date
    by: Line


class TieOut(Signed):
    """A tie of a joint that was taken out."""

    joint: Id
    tie: Id
    count: Count | None = None


class TemporaryTie(Signed):
    """Something put in to hold for the time being: it has to be out by some moment."""

    id: Id
    joint: Id
    what: Line
    count: Count
    grade: Line | None = None
    hole: Line | None = None
    out_by: Line
    places: tuple[Point, ...] = ()
    fixture: Id | None = None
    out: Signed | None = None


class TakenOff(Signed):
    """An occurrence that is off the unit, by its way from the unit."""

    of: tuple[Id, ...] = Field(min_length=1)


class ReadingSeen(Signed):
    """What the hook showed, and what was changed because of it."""

    lift_group: Id
    reading: MassText
    changed: Line | None = None


class Job(Part):
    """One unit in one shop, from opening to closing."""

    job: Id
    unit: Id
    serial: Serial | None = None
    build: dict[str, str] = Field(default_factory=dict)
    shop: Id | None = None
    opened: Signed
    ties_out: tuple[TieOut, ...] = ()
    temporary_ties: tuple[TemporaryTie, ...] = ()
    off: tuple[TakenOff, ...] = ()
    readings: tuple[ReadingSeen, ...] = ()
    closed: Signed | None = None
    remark: Text | None = None

    @model_validator(mode="after")
    def _closed_means_out(self) -> Job:
        names = [tie.id for tie in self.temporary_ties]
        for place, name in enumerate(names):
            if name in names[:place]:
                raise ValueError(f"two temporary ties go by {name!r}; give one another id")
        still = [tie.id for tie in self.open_temporary_ties]
        if self.closed is not None and still:
            raise ValueError(
                f"closed while temporary ties are still in: {', '.join(still)}; write who took them out"
            )
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.job

    @property
    def open_temporary_ties(self) -> tuple[TemporaryTie, ...]:
        """Temporary ties that nobody has taken out again."""
        return tuple(tie for tie in self.temporary_ties if tie.out is None)

    def is_out(self, joint: str, tie: str) -> bool:
        """Whether somebody wrote down that a tie is out."""
        return any(out.joint == joint and out.tie == tie for out in self.ties_out)
