"""One act of weighing: what stood on what, what the readings were, and what was taken off them."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from handling_db.quantities.quantity import Quantity
from handling_db.records.parts.common import Answer
from handling_db.records.parts.measures import LengthText, MassOrNone, MassText
from handling_db.records.parts.statement import Several, only_one_given
from handling_db.records.parts.texts import Date, Id, Line, Part, Serial, State, Text


class Difference(Part):
    """Weighed with it and without it."""

    with_it: MassText
    """the reading with the piece"""
    without_it: MassText
    """the reading without it"""


class TwoSupports(Part):
    """One end at a time on the scale: gives the mass and where the centre lies between the supports.

    With readings R1 at the first support and R2 at the second, a distance L apart, the mass is R1 + R2
    and the centre lies L R2 / (R1 + R2) from the first support (moments about it).
    """

    first: MassText
    """the reading at the first support"""
    second: MassText
    """the reading at the second support"""
    apart: LengthText
    """how far apart the supports are"""
    along: Literal["x", "y", "z"]
    """along which axis: `x`, `y` or `z`"""
    first_at: LengthText
    """where the first support is on that axis"""

    @model_validator(mode="after")
    def _something_weighed(self) -> TwoSupports:
        if self.apart.base <= 0:
            raise ValueError(f"'apart' is {self.apart}; write the distance between the supports, above 0")
        if self.first.base + self.second.base == 0:
            raise ValueError("both readings are 0: nothing was weighed")
        return self


class Confirmed(Part):
    """Who looked at a reading of work done and stands for it, by role, and when."""

    on: Date
    """the day"""
    by: Line
    """whose role"""


class Weighing(Several):
    """A mass that somebody read off an instrument, with what was on it."""

    weighing: Id
    """its id"""
    of: Id
    """the component that was weighed"""
    gross: MassText | None = None
    """what the scale showed"""
    tare: MassOrNone = None
    """what stood on it that is not the piece, or `none`"""
    difference: Difference | None = None
    """weighed with it and without it"""
    two_supports: TwoSupports | None = None
    """one end at a time"""
    plus_or_minus: MassText | None = None
    """the worst case it can be out by; left out: by the kind of source"""
    state: State | None = None
    """`dry`, `drained` or `filled`"""
    packed: Answer | None = None
    """`yes` if packing was on it; then it stands for no total"""
    source: Id
    """the scale"""
    serial: Serial | None = None
    """the unit's serial number"""
    on: Date
    """the day"""
    by: Line
    """whose role read it"""
    build: dict[str, str] | None = None
    """values of parameters, by name"""
    job: Id | None = None
    """the job it was read in; it then waits until somebody confirms it"""
    hung: Id | None = None
    """the lift group that hung, free, where it was read on a hook"""
    gear: tuple[Id, ...] = ()
    """the gear below the cell that the tare takes off; a list"""
    confirmed: Confirmed | None = None
    """by whose role and when a reading of work done was confirmed; left out: nobody has"""
    replaces: Id | None = None
    """the id of the weighing it takes the place of"""
    review_by: Date | None = None
    """a date after which it should be looked at again"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _one_method(self) -> Weighing:
        only_one_given(
            {"gross": self.gross, "difference": self.difference, "two supports": self.two_supports},
            "write exactly one of: gross (with tare), difference, two supports",
        )
        if self.gross is not None and self.tare is None:
            raise ValueError("'gross' needs 'tare': what stood on the scale that is not the piece, or 'none'")
        if self.gross is None and self.tare is not None:
            raise ValueError("'tare' goes with 'gross'")
        if self.gross is not None and self.gross.base == 0:
            raise ValueError("a gross of 0 says that nothing was weighed; leave the weighing out")
        if isinstance(self.tare, Quantity) and self.tare.base == 0:
            raise ValueError("a tare of 0 is the word 'none', with 'checked by': whose role looked")
        if self.tare == "none" and self.checked_by is None:
            raise ValueError("'tare: none' needs 'checked by': write whose role looked")
        if self.gross and isinstance(self.tare, Quantity) and self.tare.base >= self.gross.base:
            raise ValueError(f"the tare {self.tare} is not less than the gross {self.gross}")
        if self.difference and self.difference.without_it.base >= self.difference.with_it.base:
            raise ValueError("'without it' must be less than 'with it'")
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.weighing
