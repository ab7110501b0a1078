"""A lift group: exactly what leaves the ground together in one lift. It is not a node of the tree."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from handling_db.records.parts.common import Answer, Fits, Recorded
from handling_db.records.parts.measures import (
    AngleText,
    Count,
    DensityText,
    LengthText,
    MassOrNone,
    MassText,
    Point,
    VolumeText,
)
from handling_db.records.parts.premises import FlatPoint
from handling_db.records.parts.temperature import TemperatureText
from handling_db.records.parts.texts import Id, Line, Part, Text
from handling_db.records.parts.three_valued import Looked, looked, none_needs_a_name


class Mention(Part):
    """An occurrence by its way from the root: component ids, or ids of part lines."""

    of: tuple[Id, ...] = Field(min_length=1)
    """the way from the root: a list of ids"""
    quantity: Count | None = None
    """for what is left behind, or comes off in a step of a plan: how many of several alike"""
    why: Line | None = None
    """the reason"""


def _mention(value: Any) -> Any:
    """A bare list is a way; a bare text is a way of one step."""
    if isinstance(value, str):
        return {"of": [value]}
    return {"of": value} if isinstance(value, list | tuple) else value


Way = Annotated[Mention, BeforeValidator(_mention, json_schema_input_type=Mention | list[str] | str)]


class Trapped(Part):
    """Fluid that is still inside: litres, with the density or the fluid that it is."""

    what: Line | None = None
    """what fluid"""
    fluid: Id | None = None
    """instead: the fluid component it is, which has the density"""
    litres: VolumeText
    """how much"""
    plus_or_minus: VolumeText | None = None
    """its doubt"""
    density: DensityText | None = None
    """what a litre weighs"""
    at: Point | None = None
    """where it is, a point"""
    within: tuple[Point, Point] | None = None
    """two opposite corners of the space that holds it: it runs there as the load turns"""

    @model_validator(mode="after")
    def _weighable(self) -> Trapped:
        if (self.fluid is None) == (self.density is None):
            raise ValueError("litres need a 'density', or the 'fluid' that it is: write one of the two")
        if self.density is not None and self.what is None:
            raise ValueError("say 'what' fluid it is")
        return self


class Packed(Part):
    """Packing or a fixture that goes up with the load."""

    what: Line
    """in words"""
    fixture: Id | None = None
    """the fixture it is"""
    mass: MassText | None = None
    """what it weighs; left out: unknown, and the lift is "at least"."""
    plus_or_minus: MassText | None = None
    """its doubt"""
    at: Point | None = None
    """where it is, a point"""


class GearUsed(Part):
    """So many of one item of gear on the hook; above the cell only where it says so."""

    gear: Id
    """the item of gear"""
    count: Count
    """how many"""
    above_cell: Answer | None = None
    """`yes` if it hangs above the load cell: it is on the hoist and not in the reading; a load cell itself
    counts so unless `no` is written"""
    hangs_from: Id | None = None
    """the id of the gear in this list that it hangs from, or `hook`; left out, it may hang below any other
    piece, and every rating counts it so"""
    lean: AngleText | None = None
    """of a sling that goes to no pick point (above a beam): how far its legs lean from the vertical"""


class Pick(Part):
    """A pick point used, the leg that goes to it and the links between."""

    point: Id
    """the pick point's id"""
    sling: Id | None = None
    """the sling of this leg"""
    length: LengthText | None = None
    """the leg's length as it is in this lift; without it that of the sling counts, which may be shortened"""
    length_plus_or_minus: LengthText | None = None
    """how far it may be off; without it what such legs are made to"""
    links: tuple[Id, ...] = ()
    """gear between leg and point, from the leg down; a list of ids"""
    hitch: Literal["straight", "choker", "basket"] | None = None
    """`straight`, `choker` or `basket`; a choked leg counts by the choker line of its tag or by the
    published factor"""
    in_plane: Answer | None = None
    """whether the pull stays in the plane of the eye at the point: `yes` or `no`; across it there is no
    rating unless its own sheet gives one"""

    @model_validator(mode="after")
    def _with_its_length(self) -> Pick:
        if self.length_plus_or_minus is not None and self.length is None:
            raise ValueError("'length plus or minus' goes with 'length'")
        return self


class EdgeRun(Part):
    """Something that runs over an edge, and whether it is protected there, with what."""

    what: Line
    """what runs over which edge"""
    protected: Answer | None = None
    """`yes` or `no`; left out: nobody looked"""
    by: Line | None = None
    """with what; needed with `yes`"""

    @model_validator(mode="after")
    def _said_with_what(self) -> EdgeRun:
        if self.protected == "yes" and self.by is None:
            raise ValueError("'protected: yes' needs 'by': write with what, such as 'corner pads, 8 mm'")
        return self


class TagLine(Part):
    """A line to guide the load by hand from outside its reach."""

    at: Line
    """where on the load"""
    what: Line | None = None
    """rope, length"""


class SetDown(Part):
    """Where the load goes: on what, which face, how high, and what the place is rated for."""

    on: Line | None = None
    """on what, in words"""
    rated: MassOrNone = None
    """what the place is rated for, or `none`"""
    rated_by: Line | None = None
    """the sign, drawing or role that says so; needed with `rated`"""
    fixture: Id | None = None
    """the fixture"""
    face: Id | None = None
    """the face it rests on"""
    height: LengthText | None = None
    """how high above the floor"""
    piece_at: FlatPoint | None = None
    """the middle of the face, from the middle of the fixture"""
    piece_below_points: LengthText | None = None
    """how far the piece reaches below the pick points"""

    @model_validator(mode="after")
    def _somebody_rated_it(self) -> SetDown:
        if self.rated is not None and self.rated_by is None:
            raise ValueError("'rated' needs 'rated by': the sign, drawing or role that says so")
        return self


class HoldBack(Part):
    """What holds a load back once it goes over by itself: a line to an anchor, or a second hook over it.

    `anchor` stands in the frame of the root as the load lies at the start; a `mover` follows plumb over `at`.
    """

    at: Point
    """where the line is made fast on the load, a point"""
    anchor: Point | None = None
    """where it runs to, a point in the frame of the root as the load lies at the start"""
    mover: Id | None = None
    """instead: the second hoist or crane, whose hook follows plumb over `at`"""
    what: Line | None = None
    """what the line is, in words"""
    to: Line | None = None
    """what the anchor is, in words"""
    rated: MassText | None = None
    """the lowest rating of line and anchor; left out with a mover: what the mover is rated for"""

    @model_validator(mode="after")
    def _one_end(self) -> HoldBack:
        if (self.anchor is None) == (self.mover is None):
            raise ValueError(
                "write the 'anchor' that the line runs to (a point), or the 'mover' that is the second "
                "hook: one "
                "of the two"
            )
        return self


class Turn(Part):
    """Turning over an edge with one hook: the edge, where the hook pulls, and the attitude it ends in."""

    edge: tuple[Point, Point]
    """the two ends of the edge it turns over, points"""
    hook: Point
    """where the hook pulls, a point; off the middle it loads one end of the edge more"""
    hook_on: Line | None = None
    """on what the hook is, in words"""
    hold_back: HoldBack | None = None
    """what holds the load once it goes over by itself"""
    to: Id | None = None
    """the attitude it ends in"""
    rests_on: Id | None = None
    """the face it ends on"""
    on: Line | None = None
    """on what, in words"""
    joint: Id | None = None
    """the joint that carries during the turn"""
    side: Id | None = None
    """the lift group that hangs on that joint, its id"""


class LiftGroup(Recorded):
    """What comes up, which way up, with what inside, on which gear."""

    lift_group: Id
    """its id"""
    name: Line
    """its name"""
    root: Id
    """the unit it is taken from"""
    build: dict[str, str] = Field(default_factory=dict)
    """values of parameters, by name"""
    fits: tuple[Fits, ...] = ()
    """models and serials it is for"""
    takes: tuple[Way, ...] = Field(min_length=1)
    """what comes up: ways from the root, lists of ids; the deepest mention wins; the id of the root itself
    takes the whole of it"""
    leaves: tuple[Way, ...] = ()
    """what stays behind although its parent comes up"""
    parts_joints: tuple[Id, ...] = ()
    """ids of the joints that part"""
    attitude: Id | None = None
    """which way up, an attitude's id"""
    trapped: Annotated[Looked[Trapped], *looked(Trapped)] = None
    """fluid still inside; a list, or `none`"""
    packing: Annotated[Looked[Packed], *looked(Packed)] = None
    """packing that goes up too; a list, or `none`"""
    gear: Annotated[Looked[GearUsed], *looked(GearUsed)] = None
    """gear on the hook, from the hook down; a list, or `none`"""
    zeroed_with_gear: Answer | None = None
    """whether the cell is zeroed with the gear on: `yes` (it then shows the piece alone) or `no`; left out,
    figures are for a cell zeroed empty, and the answer asks"""
    picks: Annotated[Looked[Pick], *looked(Pick)] = None
    """pick points used; a list, or `none`"""
    temperature: TemperatureText | None = None
    """of the hottest surface that slings, chains and fittings touch, where it is not that of the shop; it
    takes off their ratings"""
    edges: Annotated[Looked[EdgeRun], *looked(EdgeRun)] = None
    """what runs over an edge, and how it is protected there; a list, or `none`"""
    tag_lines: Annotated[Looked[TagLine], *looked(TagLine)] = None
    """lines to guide it by hand; a list, or `none`"""
    mover: Id | None = None
    """the hoist or crane"""
    radius: LengthText | None = None
    """for a crane: radius of the hook"""
    boom: LengthText | None = None
    """for a crane: boom length"""
    other_half: Id | None = None
    """the lift group that stays behind"""
    set_down: SetDown | None = None
    """where it goes"""
    turn: Turn | None = None
    """how it is turned over"""
    checked_by: Line | None = None
    """whose role looked, for every `none`"""
    stop_and_ask: tuple[Text, ...] = ()
    """when to stop, in sentences; a list"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _sound(self) -> LiftGroup:
        none_needs_a_name(
            self.checked_by,
            trapped=self.trapped,
            packing=self.packing,
            gear=self.gear,
            picks=self.picks,
            edges=self.edges,
            tag_lines=self.tag_lines,
        )
        seen: dict[tuple[str, ...], str] = {}
        for word, mentions in (("takes", self.takes), ("leaves", self.leaves)):
            for mention in mentions:
                way = " > ".join(mention.of)
                if mention.of in seen:
                    raise ValueError(f"{way!r} is mentioned twice ({seen[mention.of]} and {word}); keep one")
                seen[mention.of] = word
                if word == "takes" and mention.quantity is not None:
                    raise ValueError(f"{way!r}: only a leave gives a quantity; write how many stay behind")
        if self.other_half == self.lift_group:
            raise ValueError("'other half' is another lift group: what stays behind")
        return self
