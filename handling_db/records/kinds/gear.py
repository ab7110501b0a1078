"""Lifting gear: slings, chains, hooks, shackles, eye bolts, rings, spreader bars, with what the tag says."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from handling_db.records.parts.common import Answer
from handling_db.records.parts.texts import AngleText, Count, Date, Id, LengthText, Line, MassText, Part, Text
from handling_db.records.parts.three_valued import Looked, looked, none_needs_a_name

GearKind = Literal[
    "chain sling",
    "web sling",
    "round sling",
    "wire rope sling",
    "hook",
    "shackle",
    "eye bolt",
    "hoist ring",
    "master link",
    "spreader bar",
    "lifting beam",
    "load leveller",
    "load cell",
    "clamp",
    "other",
]
SLINGS: tuple[str, ...] = ("chain sling", "web sling", "round sling", "wire rope sling")


class TagRating(Part):
    """One line of a tag: the rating for so many legs, up to an angle."""

    legs: Count | None = None
    up_to: AngleText | None = None
    rated: MassText


class Gear(Part):
    """One item of gear, or several alike, with its own mass and what its tag says."""

    gear: Id
    name: Line
    kind: GearKind
    shop: Id | None = None
    count: Count | None = None
    own_mass: MassText | None = None
    plus_or_minus: MassText | None = None
    length: LengthText | None = None
    length_plus_or_minus: LengthText | None = None
    legs: Count | None = None
    size: Line | None = None
    grade: Line | None = None
    tag: Annotated[Looked[TagRating], *looked(TagRating)] = None
    family: Id | None = None
    shouldered: Answer | None = None
    inspection_due: Date | None = None
    checked_by: Line | None = None
    shop_made: Answer | None = None
    remark: Text | None = None

    @model_validator(mode="after")
    def _sound(self) -> Gear:
        none_needs_a_name(self.checked_by, tag=self.tag)
        if self.plus_or_minus is not None and self.own_mass is None:
            raise ValueError("'plus or minus' goes with 'own mass'")
        if self.length_plus_or_minus is not None and self.length is None:
            raise ValueError("'length plus or minus' goes with 'length'")
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.gear
