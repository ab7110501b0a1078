"""What stands and what is in the way in a shop: floors with their limits, doors, routes, and feet."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import PlainSerializer, PlainValidator, WithJsonSchema, model_validator

from handling_db.records.parts.common import Answer
from handling_db.records.parts.measures import AngleText, Count, LengthText, MassText
from handling_db.records.parts.patterns import plain_text
from handling_db.records.parts.texts import Id, Line, Part, Text

AreaUnit = Literal["kg/m2", "kN/m2", "lb/ft2"]
_AREA_LOAD = re.compile(r"(\d{1,6}(?:\.\d{1,4})?)\s*(kg/m2|kN/m2|lb/ft2)", re.ASCII)


@dataclass(frozen=True, slots=True)
class AreaLimit:
    """A limit per area as written: ``5 kN/m2``.

    Parameters
    ----------
    text : str
    number : Fraction
        [unit]
    unit : str
        kg/m2, kN/m2 or lb/ft2.
    """

    text: str
    number: Fraction
    unit: AreaUnit

    def __str__(self) -> str:
        return self.text


def _area_limit(value: Any) -> AreaLimit:
    if isinstance(value, AreaLimit):
        return value
    text = plain_text(value).strip()
    match = _AREA_LOAD.fullmatch(text)
    if match is None or Fraction(match[1]) <= 0:
        raise ValueError(
            f"{text!r} is not a limit per area; write a number above 0 with kg/m2, kN/m2 or lb/ft2"
        )
    unit: AreaUnit = match[2]  # type: ignore[assignment]
    return AreaLimit(text, Fraction(match[1]), unit)


AreaLimitText = Annotated[
    AreaLimit,
    PlainValidator(_area_limit),
    PlainSerializer(str, return_type=str),
    WithJsonSchema({"type": "string", "maxLength": 40, "examples": ["5 kN/m2"]}),
]

FlatPoint = tuple[LengthText, LengthText]


class Feet(Part):
    """What really touches the floor: places of the feet from the middle, and the size of one."""

    at: tuple[FlatPoint, ...]
    """places of three feet or more, two lengths each, from the middle"""
    length: LengthText | None = None
    """length of one foot"""
    width: LengthText | None = None
    """width of one foot"""

    @model_validator(mode="after")
    def _enough(self) -> Feet:
        if len(self.at) < 3:
            raise ValueError("'feet' has fewer than three places; for two runners write their four ends")
        if (self.length is None) != (self.width is None):
            raise ValueError("the size of a foot is 'length' and 'width'; write both or neither")
        return self


class Friction(Part):
    """Between what stands there and the floor: lowest and highest believable coefficient."""

    from_: Count
    """lowest believable coefficient"""
    to: Count
    """highest"""

    @model_validator(mode="after")
    def _a_range(self) -> Friction:
        low, high = self.from_.number, self.to.number
        if low is None or high is None or not low <= high <= 2:
            raise ValueError(
                "friction is two plain numbers up to 2, the lower first, such as {from: 0.2, to: 0.5}"
            )
        return self


class FloorArea(Part):
    """A part of the floor, a lift, a shelf or a scale, and what it is stated to take."""

    id: Id
    """its id"""
    name: Line
    """its name"""
    limit: AreaLimitText | None = None
    """limit per area"""
    point_limit: MassText | None = None
    """limit for one foot"""
    whole_limit: MassText | None = None
    """limit for all of it"""
    stated_by: Line | None = None
    """who says so"""
    friction: Friction | None = None
    """between what stands there and the floor"""
    remark: Text | None = None
    """anything else"""


class Door(Part):
    """A door, gate, aisle or beam on a way, with its clear size."""

    id: Id
    """its id"""
    name: Line
    """its name"""
    width: LengthText | None = None
    """clear width"""
    height: LengthText | None = None
    """clear height"""
    open_above: Answer | None = None
    """`yes` if there is nothing above, as at a gap between fences"""
    open_aside: Answer | None = None
    """`yes` if there is nothing at the sides, as under a beam"""
    remark: Text | None = None
    """anything else"""


class Route(Part):
    """A way through the shop: what it passes, over which floors, how steep, where it turns."""

    id: Id
    """its id"""
    name: Line
    """its name"""
    through: tuple[Id, ...] = ()
    """ids of doors"""
    over: tuple[Id, ...] = ()
    """ids of floors"""
    slope: AngleText | None = None
    """steepest slope"""
    turning_room: Line | None = None
    """in words"""
    remark: Text | None = None
    """anything else"""
