"""Which way up: set-down faces of a component, and attitudes as a rotation with a resting face."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from handling_db.records.parts.common import Turned
from handling_db.records.parts.measures import LengthText, Point
from handling_db.records.parts.texts import Id, Line, Part, Text


class Circle(Part):
    """A round face."""

    at: Point
    """its middle"""
    radius: LengthText
    """its radius"""


class OwnFeet(Part):
    """Feet or wheels that a component stands on by itself: their places, and the size of one on the floor."""

    kind: Literal["feet", "wheels"]
    """`feet` or `wheels`"""
    at: tuple[Point, ...]
    """where each touches the floor; three points or more"""
    length: LengthText | None = None
    """of one foot on the floor"""
    width: LengthText | None = None
    """its width"""

    @model_validator(mode="after")
    def _enough(self) -> OwnFeet:
        if len(self.at) < 3:
            raise ValueError("'feet' has fewer than three places; for two runners write their four ends")
        if (self.length is None) != (self.width is None):
            raise ValueError("the size of a foot is 'length' and 'width'; write both or neither")
        return self


class SetDownFace(Part):
    """A face that a component may rest on, or must not."""

    id: Id
    """its id"""
    name: Line
    """what to look for"""
    may_rest: Literal["yes", "no"] | None = None
    """`yes` or `no`; left out: nobody said"""
    corners: tuple[Point, ...] = ()
    """three or more points of the outline"""
    circle: Circle | None = None
    """instead: a round outline"""
    feet: OwnFeet | None = None
    """instead: the feet or wheels it stands on; loads are given per foot"""
    square_to: Literal["x", "-x", "y", "-y", "z", "-z"] | None = None
    """which way the face looks: `x`, `-x`, `y`, `-y`, `z`, `-z`"""
    on: Line | None = None
    """on what it may rest, such as wood"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _one_outline(self) -> SetDownFace:
        if sum((bool(self.corners), self.circle is not None, self.feet is not None)) > 1:
            raise ValueError("give 'corners', a 'circle' or 'feet', one of them")
        if self.corners and len(self.corners) < 3:
            raise ValueError("a face has three corners or more")
        if (self.corners or self.circle is not None or self.feet is not None) and self.square_to is None:
            raise ValueError("'square to' is missing: which way does the face look (x, -x, y, -y, z, -z)?")
        return self

    @property
    def touches(self) -> tuple[Point, ...]:
        """The points of its outline: corners, or feet; nothing for a round face."""
        return self.corners or (self.feet.at if self.feet is not None else ())


class Attitude(Part):
    """Which way up a component is: how its own frame is turned in a room whose z is up."""

    id: Id
    """its id"""
    name: Line
    """its name"""
    turned: Turned | None = None
    """how the component's frame is turned in a room whose z is up; left out: not turned"""
    rests_on: Id | None = None
    """the id of the face it rests on"""
    remark: Text | None = None
    """anything else"""
