"""A job: one unit in hand, with what is out, what is in for the time being, and what was read on the hook."""

from __future__ import annotations

from pydantic import Field, model_validator

from handling_db.records.parts.common import Recorded, TieNamed
from handling_db.records.parts.measures import Count, MassText, Point
from handling_db.records.parts.texts import Date, Id, Line, Part, Serial, Text, refuse_twice


class Signed(Part):
    """Who did it, by role, and when."""

    on: Date
    """the day"""
    by: Line
    """whose role"""


class TieOut(TieNamed, Signed):
    """A tie of a joint that was taken out."""


class TemporaryTie(Signed):
    """Something put in to hold for the time being: it has to be out by some moment."""

    id: Id
    """its id"""
    joint: Id
    """the joint it bridges"""
    what: Line
    """in words"""
    count: Count
    """how many"""
    grade: Line | None = None
    """grade of the bolts"""
    hole: Line | None = None
    """in which holes"""
    out_by: Line
    """by when it must be out"""
    places: tuple[Point, ...] = ()
    """where they are, one point each"""
    fixture: Id | None = None
    """the fixture it is"""
    out: Signed | None = None
    """by whose role and when it came out; left out: still in"""


class TakenOff(Signed):
    """An occurrence that is off the unit, by its way from the unit."""

    of: tuple[Id, ...] = Field(min_length=1)
    """the way from the unit, a list of ids"""
    quantity: Count | None = None
    """how many of several alike; left out: all of them"""


class ReadingSeen(Signed):
    """What the hook showed, and what was changed because of it."""

    lift_group: Id
    """what hung on the hook"""
    reading: MassText
    """what it showed"""
    changed: Line | None = None
    """what was changed because of it"""


class StepDone(Signed):
    """A step of the planned job that is done, by its id or number, and what was seen that differs."""

    step: Id
    """the step, by its id or its number in the plan"""
    differs: Text | None = None
    """what was found other than planned"""


class Job(Recorded):
    """One unit in one shop, from opening to closing."""

    job: Id
    """its id"""
    unit: Id
    """the component in hand"""
    serial: Serial | None = None
    """its serial number"""
    build: dict[str, str] = Field(default_factory=dict)
    """values of parameters found on it"""
    shop: Id | None = None
    """the shop"""
    opened: Signed
    """by whose role and when"""
    ties_out: tuple[TieOut, ...] = ()
    """ties that are out; a list"""
    temporary_ties: tuple[TemporaryTie, ...] = ()
    """what holds for the time being; a list"""
    off: tuple[TakenOff, ...] = ()
    """what has been taken off; a list"""
    readings: tuple[ReadingSeen, ...] = ()
    """what the hook showed; a list"""
    follows: Id | None = None
    """the job plan that it follows"""
    steps_done: tuple[StepDone, ...] = ()
    """steps of that plan that are done; a list"""
    closed: Signed | None = None
    """by whose role and when"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _closed_means_out(self) -> Job:
        refuse_twice("temporary ties", (tie.id for tie in self.temporary_ties))
        if self.steps_done and self.follows is None:
            raise ValueError("'steps done' are steps of a planned job: write its id under 'follows'")
        still = [tie.id for tie in self.open_temporary_ties]
        if self.closed is not None and still:
            raise ValueError(
                f"closed while temporary ties are still in: {', '.join(still)}; write who took them out"
            )
        return self

    @property
    def open_temporary_ties(self) -> tuple[TemporaryTie, ...]:
        """Temporary ties that nobody has taken out again."""
        return tuple(tie for tie in self.temporary_ties if tie.out is None)

    def is_out(self, joint: str, tie: str) -> bool:
        """Whether somebody wrote down that a tie is out."""
        return any(out.joint == joint and out.tie == tie for out in self.ties_out)
