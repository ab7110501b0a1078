"""Which way up: set-down faces of a component, and attitudes as a rotation with a resting face."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from handling_db.records.parts.common import Turned
from handling_db.records.parts.texts import Id, LengthText, Line, Part, Point, Text


class Circle(Part):
    """A round face."""

    at: Point
    radius: LengthText


class OwnFeet(Part):
    """Feet or wheels that a component stands on by itself: their places, and the size of one on the floor."""

    kind: Literal["feet", "wheels"]
    at: tuple[Point, ...]
    length: LengthText | None = None
    width: LengthText | None = None

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
    name: Line
    may_rest: Literal["yes", "no"] | None = None
    corners: tuple[Point, ...] = ()
    circle: Circle | None = None
    feet: OwnFeet | None = None
    square_to: Literal["x", "-x", "y", "-y", "z", "-z"] | None = None
    on: Line | None = None
    remark: Text | None = None

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
    name: Line
    turned: Turned | None = None
    rests_on: Id | None = None
    remark: Text | None = None
