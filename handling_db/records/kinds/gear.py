"""Lifting gear: slings, chains, hooks, shackles, eye bolts, rings, spreader bars, with what the tag says."""

from __future__ import annotations

import itertools
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import model_validator

from handling_db.records.parts.common import Answer
from handling_db.records.parts.texts import AngleText, Count, Date, Id, LengthText, Line, MassText, Part, Text
from handling_db.records.parts.three_valued import Looked, listed, looked, none_needs_a_name

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
    "hook block",
    "swivel",
    "turnbuckle",
    "clamp",
    "other",
]
SLINGS: tuple[str, ...] = ("chain sling", "web sling", "round sling", "wire rope sling")
# From where the angles on a tag count. Of a sling: a leg's angle from the vertical, from the horizontal, or
# the angle between two legs. Of everything else: from its own axis.
AnglesFrom = Literal["vertical", "horizontal", "included", "axis"]


class TagRating(Part):
    """One line of a tag: the rating for so many legs, up to an angle."""

    legs: Count | None = None
    up_to: AngleText | None = None
    rated: MassText
    plane: Literal["in", "across", "any"] | None = None
    hitch: Literal["straight", "choker", "basket"] | None = None


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
    pitch: LengthText | None = None
    legs: Count | None = None
    size: Line | None = None
    grade: Line | None = None
    tag: Annotated[Looked[TagRating], *looked(TagRating)] = None
    angles_from: AnglesFrom | None = None
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
        angles_sound(self)
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.gear


def angles_sound(gear: Gear) -> None:
    """Refuse a tag whose angles cannot be what they are said to be.

    No sling and no eye carries more the further it leans: a tag that does is one read from the other side.

    Raises
    ------
    ValueError
        A convention of the other kind of gear, an angle that cannot be, or a rating that rises with the
        angle.
    """
    sling = gear.kind in SLINGS
    if gear.angles_from is not None and sling == (gear.angles_from == "axis"):
        words = "vertical, horizontal or included" if sling else "axis"
        raise ValueError(f"'angles from: {gear.angles_from}' does not fit a {gear.kind}; write {words}")
    by_kind: dict[tuple[object, ...], list[tuple[Fraction, Fraction, str]]] = {}
    for row in listed(gear.tag):
        if row.up_to is None:
            continue
        printed = row.up_to.base
        if not 0 <= printed <= (180 if gear.angles_from == "included" else 90):
            raise ValueError(f"{row.up_to} is no angle of a tag; write 0 deg to 90 deg")
        # Seen from the vertical: an angle from the horizontal falls where the lean rises.
        lean = -printed if gear.angles_from == "horizontal" else printed
        legs = None if row.legs is None else row.legs.number
        by_kind.setdefault((legs, row.plane, row.hitch), []).append((lean, row.rated.base, str(row.up_to)))
    for rows in by_kind.values():
        ordered = sorted(rows)
        for (_, less, near), (_, more, far) in itertools.pairwise(ordered):
            if more > less:
                advice = (
                    "write 'angles from: horizontal' if the tag counts from there, else read the tag again"
                    if sling and gear.angles_from != "horizontal"
                    else "read the tag again"
                )
                raise ValueError(
                    f"the rating at {far} is more than at {near}, and it never rises as a pull leans: "
                    f"{advice}"
                )
