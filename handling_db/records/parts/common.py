"""Pieces that several kinds of record share: serial ranges, placements, what a record is about."""

from __future__ import annotations

import operator
from typing import Any, Literal

from pydantic import model_validator

from handling_db.records.parts.measures import AngleMeasure, Count, Point
from handling_db.records.parts.texts import Id, Line, Part, Serial


class Recorded(Part):
    """A record that stands by itself: its first field, named for its kind, is its id."""

    @property
    def id(self) -> str:
        """By which others name it."""
        raise NotImplementedError

    @classmethod
    def __pydantic_init_subclass__(cls, **_more: Any) -> None:
        # It is asked for everywhere, of every record: read without a step in Python.
        type.__setattr__(cls, "id", property(operator.attrgetter(next(iter(cls.model_fields)))))


class Serials(Part):
    """A range of serial numbers, both ends included; an open end is left out."""

    from_: Serial | None = None
    """first serial number; left out: from the start"""
    to: Serial | None = None
    """last serial number, included; left out: no end"""

    @model_validator(mode="after")
    def _ordered(self) -> Serials:
        if self.from_ is None and self.to is None:
            raise ValueError("write from, to, or both")
        if self.from_ is not None and self.to is not None and self.from_ > self.to:
            raise ValueError(f"runs backwards, from {self.from_} to {self.to}; swap the two")
        return self

    def covers(self, serial: int) -> bool:
        """Whether a serial number lies in the range."""
        above = self.from_ is None or serial >= self.from_
        return above and (self.to is None or serial <= self.to)

    def overlaps(self, other: Serials) -> bool:
        """Whether any serial number lies in both ranges."""
        starts_before = self.from_ is None or other.to is None or self.from_ <= other.to
        ends_after = self.to is None or other.from_ is None or other.from_ <= self.to
        return starts_before and ends_after

    def within(self, other: Serials) -> bool:
        """Whether every serial number of this range lies in the other."""
        low = other.from_ is None or (self.from_ is not None and self.from_ >= other.from_)
        high = other.to is None or (self.to is not None and self.to <= other.to)
        return low and high

    def in_words(self) -> str:
        """``1001 to 1999``, ``from 1001``, ``up to 1999``."""
        if self.from_ is None:
            return f"up to {self.to}"
        if self.from_ == self.to:
            return f"{self.from_}"
        return f"from {self.from_}" if self.to is None else f"{self.from_} to {self.to}"


class Fits(Part):
    """A model, and the serial numbers of it, that a record holds for."""

    model: Line
    """the model"""
    serials: Serials | None = None
    """which serial numbers of it"""


class Turned(Part):
    """How a child is turned in its parent's frame: about the parent's fixed axes, roll (x) first."""

    roll: AngleMeasure | None = None
    """about x, first"""
    pitch: AngleMeasure | None = None
    """about y, second"""
    yaw: AngleMeasure | None = None
    """about z, last"""


class Placement(Part):
    """Where a child's datum lies in the parent's frame, and how the child is turned."""

    at: Point
    """where the datum of the child lies"""
    turned: Turned | None = None
    """how it is turned there"""


class Datum(Part):
    """The origin and the directions of a component's own frame, named by physical features."""

    at: Line
    """where the origin is, by something one can put a finger on"""
    x: Line
    """which way x points"""
    y: Line
    """which way y points"""
    z: Line
    """which way z points; the three must be right-handed"""

    @model_validator(mode="after")
    def _right_handed(self) -> Datum:
        """Refuse a left-handed frame, as far as the six plain words tell."""
        axes = [_AXES.get(word.lower()) for word in (self.x, self.y, self.z)]
        if None not in axes:
            x, y, z = (axis for axis in axes if axis is not None)
            if any(one[i] and two[i] for one, two in ((x, y), (y, z), (z, x)) for i in range(3)):
                raise ValueError(
                    f"x {self.x}, y {self.y}, z {self.z} has two directions on one line; write three across"
                )
            cross = (x[1] * y[2] - x[2] * y[1], x[2] * y[0] - x[0] * y[2], x[0] * y[1] - x[1] * y[0])
            if cross != z:
                raise ValueError(
                    f"x {self.x}, y {self.y}, z {self.z} is left-handed; turn one direction round"
                )
        return self


# Forward, left, up is right-handed for a machine seen from its own seat.
_AXES: dict[str, tuple[int, int, int]] = {
    "forward": (1, 0, 0),
    "rearward": (-1, 0, 0),
    "left": (0, 1, 0),
    "right": (0, -1, 0),
    "up": (0, 0, 1),
    "down": (0, 0, -1),
}


class About(Part):
    """What a note is about: exactly one thing."""

    component: Id | None = None
    """a component"""
    joint: Id | None = None
    """a joint"""
    tie: Id | None = None
    """a tie"""
    lift_group: Id | None = None
    """a lift group"""
    pick_point: Id | None = None
    """a pick point"""
    fixture: Id | None = None
    """a fixture"""

    @model_validator(mode="after")
    def _exactly_one(self) -> About:
        given = [name for name in type(self).model_fields if getattr(self, name) is not None]
        if len(given) != 1:
            raise ValueError("a note is about exactly one thing; write one of: " + ", ".join(KINDS_ABOUT))
        return self

    @property
    def kind(self) -> str:
        """The kind of record it is about, as written in the records."""
        return next(iter(self.as_written()))

    @property
    def id(self) -> str:
        """The id of what it is about."""
        return str(next(iter(self.as_written().values())))


class TieNamed(Part):
    """A recorded tie of a joint that is taken out or put back."""

    joint: Id
    """the joint"""
    tie: Id
    """the tie"""
    count: Count | None = None
    """how many of it; left out: all"""


KINDS_ABOUT = tuple(name.replace("_", " ") for name in About.model_fields)

Answer = Literal["yes", "no"]

OPPOSITE_DIRECTION = {
    "forward": "rearward",
    "rearward": "forward",
    "left": "right",
    "right": "left",
    "up": "down",
    "down": "up",
}


def opposite_direction(word: str) -> str:
    """The word for the other way along an axis: ``rearward`` for forward, ``away from ...`` for others."""
    return OPPOSITE_DIRECTION.get(word.lower(), f"away from {word}")
