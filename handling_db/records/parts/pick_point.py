"""A pick point: where a hook or sling may be attached to a component, and what is known about it."""

from __future__ import annotations

import itertools
from typing import Annotated, Any, Literal

from pydantic import PlainValidator, WithJsonSchema, model_validator

from handling_db.records.parts.measures import AngleText, LengthText, MassOrNone, MassText, Point
from handling_db.records.parts.picture import Picture
from handling_db.records.parts.texts import Id, Line, Part, Text
from handling_db.records.parts.three_valued import Looked, looked, none_needs_a_name

AXES: dict[str, tuple[float, float, float]] = {
    "x": (1.0, 0.0, 0.0),
    "y": (0.0, 1.0, 0.0),
    "z": (0.0, 0.0, 1.0),
    "-x": (-1.0, 0.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "-z": (0.0, 0.0, -1.0),
}


def _direction(value: Any) -> str | tuple[str, str, str]:
    """An axis of the component's frame, or three plain numbers."""
    if isinstance(value, str):
        if value.strip() in AXES:
            return value.strip()
        raise ValueError(f"{value!r} is not a direction; write one of {', '.join(AXES)}, or three numbers")
    texts = [str(item) for item in value] if isinstance(value, list | tuple) else []
    try:
        numbers = [float(text) for text in texts]
    except ValueError:
        numbers = []
    if len(numbers) != 3 or not any(numbers) or any(abs(n) > 1e6 or n != n for n in numbers):
        raise ValueError(f"a direction is one of {', '.join(AXES)}, or three numbers that are not all 0")
    return texts[0], texts[1], texts[2]


Direction = Annotated[
    str | tuple[str, str, str],
    PlainValidator(_direction),
    WithJsonSchema(
        {"anyOf": [{"enum": [*AXES]}, {"type": "array", "items": {"type": "string"}, "minItems": 3}]}
    ),
]


def vector_of(direction: str | tuple[str, str, str]) -> tuple[float, float, float]:
    """A direction as three numbers in the component's frame, of any length above nothing."""
    if isinstance(direction, str):
        return AXES[direction]
    x, y, z = (float(text) for text in direction)
    return x, y, z


class RatedUpTo(Part):
    """A rating that holds up to an angle between the pull and the point's own direction."""

    up_to: AngleText
    """up to which angle from the point's direction; a rating never rises with it"""
    rated: MassText
    """the rating"""
    plane: Literal["in", "across", "any"] | None = None
    """`in`, `across` or `any`: in which plane of the eye it holds; left out: in it"""


class CarriedThrough(Part):
    """What the load passes through between the pick point and the piece: the weakest counts."""

    what: Line
    """what carries it: bolts of a cover, a weld, an ear"""
    part: Id | None = None
    """the component it is"""
    count: Line | None = None
    """how many, in words if nobody counted"""
    rated: MassOrNone = None
    """its rating, or `none`"""
    source: Line | None = None
    """who says so"""


class BlockedBy(Part):
    """A component that covers the point until it is off."""

    part: Id
    """the component in the way"""
    why: Line | None = None
    """how it is in the way"""


class PickPoint(Part):
    """Where to hook on: place, thread, direction, rating, what carries it, and what is in the way."""

    id: Id
    """its id"""
    name: Line
    """what to look for"""
    at: Point
    """where it is, a point in the component's frame"""
    thread: Line | None = None
    """thread or hole"""
    engagement: LengthText | None = None
    """how far the thread goes in"""
    seat: Literal["full", "not full"] | None = None
    """`full` or `not full`: whether the shoulder seats all round"""
    direction: Direction | None = None
    """its own axis: `x`, `-x`, `y`, `-y`, `z`, `-z`, or three numbers"""
    rated: Annotated[Looked[RatedUpTo], *looked(RatedUpTo)] = None
    """ratings by the angle from its direction; a list, or `none`"""
    rated_by: Line | None = None
    """the tag, drawing or document that says so"""
    through: Annotated[Looked[CarriedThrough], *looked(CarriedThrough)] = None
    """what the load passes through between point and piece: the weakest counts; a list, or `none`"""
    blocked_by: Annotated[Looked[BlockedBy], *looked(BlockedBy)] = None
    """what covers it until it is off; a list, or `none`"""
    checked_by: Line | None = None
    """whose role looked, for every `none`"""
    pictures: tuple[Picture, ...] = ()
    """photographs and pages kept beside the records that show it; a list"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _sound(self) -> PickPoint:
        none_needs_a_name(self.checked_by, rated=self.rated, through=self.through, blocked_by=self.blocked_by)
        if isinstance(self.rated, tuple):
            if self.rated_by is None:
                raise ValueError("a rating needs 'rated by': the tag, drawing or document that says so")
            for plane in {row.plane for row in self.rated}:
                rows = sorted((r for r in self.rated if r.plane == plane), key=lambda row: row.up_to.base)
                for near, far in itertools.pairwise(rows):
                    if far.rated.base > near.rated.base:
                        raise ValueError(
                            f"the rating at {far.up_to} is more than at {near.up_to}, and it never "
                            f"rises as a "
                            "pull leans from the point's direction: read the tag or drawing again"
                        )
            if self.direction is None:
                raise ValueError("a rating goes by the angle from the point's direction: write 'direction'")
        return self
