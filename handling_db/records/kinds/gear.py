"""Lifting gear: slings, chains, hooks, shackles, eye bolts, rings, spreader bars, with what the tag says."""

from __future__ import annotations

import itertools
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import model_validator

from handling_db.records.parts.common import Answer, Recorded
from handling_db.records.parts.measures import AngleText, Count, LengthText, MassText
from handling_db.records.parts.texts import Date, Id, Line, Part, Text
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
    """for how many legs"""
    up_to: AngleText | None = None
    """the angle as printed; from where it counts is said by `angles from`"""
    rated: MassText
    """the rating"""
    plane: Literal["in", "across", "any"] | None = None
    """of an eye bolt: `in`, `across` or `any`; left out: in the plane of the eye"""
    hitch: Literal["straight", "choker", "basket"] | None = None
    """`straight`, `choker` or `basket`; left out: straight"""


class Gear(Recorded):
    """One item of gear, or several alike, with its own mass and what its tag says."""

    gear: Id
    """its id"""
    name: Line
    """its name"""
    kind: GearKind
    """`chain sling`, `web sling`, `round sling`, `wire rope sling`, `hook`, `shackle`, `eye bolt`, `hoist
    ring`, `master link`, `spreader bar`, `lifting beam`, `load leveller`, `load cell`, `hook block`,
    `swivel`, `turnbuckle`, `clamp` or `other`"""
    shop: Id | None = None
    """the shop that has it"""
    count: Count | None = None
    """how many there are"""
    own_mass: MassText | None = None
    """what one weighs"""
    plus_or_minus: MassText | None = None
    """its doubt"""
    length: LengthText | None = None
    """leg length"""
    length_plus_or_minus: LengthText | None = None
    """how far a leg may be off it"""
    pitch: LengthText | None = None
    """by how much one link shortens a leg, where it can be shortened in whole links"""
    legs: Count | None = None
    """how many legs"""
    size: Line | None = None
    """size of chain, thread or pin"""
    grade: Line | None = None
    """its grade"""
    tag: Annotated[Looked[TagRating], *looked(TagRating)] = None
    """what the tag says; a list, or `none`"""
    angles_from: AnglesFrom | None = None
    """from where the angles of the tag count: of a sling `vertical`, `horizontal` or `included` (between two
    legs), of other gear `axis`; left out, a sling's are read as from the vertical, and the checker asks"""
    family: Id | None = None
    """the family of published ratings by direction that it belongs to; families are never mixed"""
    shouldered: Answer | None = None
    """`yes` or `no`"""
    inspection_due: Date | None = None
    """past it the rating is not used"""
    checked_by: Line | None = None
    """whose role looked, for `tag: none`"""
    shop_made: Answer | None = None
    """`yes` or `no`"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _sound(self) -> Gear:
        none_needs_a_name(self.checked_by, tag=self.tag)
        if self.plus_or_minus is not None and self.own_mass is None:
            raise ValueError("'plus or minus' goes with 'own mass'")
        if self.length_plus_or_minus is not None and self.length is None:
            raise ValueError("'length plus or minus' goes with 'length'")
        angles_sound(self)
        return self


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
