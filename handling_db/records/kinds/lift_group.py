"""A lift group: exactly what leaves the ground together in one lift. It is not a node of the tree."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from handling_db.records.parts.common import Answer, Fits
from handling_db.records.parts.premises import FlatPoint
from handling_db.records.parts.texts import (
    AngleText,
    Count,
    DensityText,
    Id,
    LengthText,
    Line,
    MassOrNone,
    MassText,
    Part,
    Point,
    Text,
    VolumeText,
)
from handling_db.records.parts.three_valued import Looked, looked, none_needs_a_name


class Mention(Part):
    """An occurrence by its way from the root: component ids, or ids of part lines."""

    of: tuple[Id, ...] = Field(min_length=1)
    quantity: Count | None = None
    why: Line | None = None


def _mention(value: Any) -> Any:
    """A bare list is a way; a bare text is a way of one step."""
    if isinstance(value, str):
        return {"of": [value]}
    return {"of": value} if isinstance(value, list | tuple) else value


Way = Annotated[Mention, BeforeValidator(_mention, json_schema_input_type=Mention | list[str] | str)]


class Trapped(Part):
    """Fluid that is still inside: litres, with the density or the fluid that it is."""

    what: Line | None = None
    fluid: Id | None = None
    litres: VolumeText
    plus_or_minus: VolumeText | None = None
    density: DensityText | None = None
    at: Point | None = None
    within: tuple[Point, Point] | None = None

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
    fixture: Id | None = None
    mass: MassText | None = None
    plus_or_minus: MassText | None = None
    at: Point | None = None


class GearUsed(Part):
    """So many of one item of gear on the hook; above the cell only where it says so."""

    gear: Id
    count: Count
    above_cell: Answer | None = None
    hangs_from: Id | None = None
    lean: AngleText | None = None


class Pick(Part):
    """A pick point used, the leg that goes to it and the links between."""

    point: Id
    sling: Id | None = None
    length: LengthText | None = None
    length_plus_or_minus: LengthText | None = None
    links: tuple[Id, ...] = ()
    hitch: Literal["straight", "choker", "basket"] | None = None
    in_plane: Answer | None = None

    @model_validator(mode="after")
    def _with_its_length(self) -> Pick:
        if self.length_plus_or_minus is not None and self.length is None:
            raise ValueError("'length plus or minus' goes with 'length'")
        return self


class EdgeRun(Part):
    """Something that runs over an edge, and whether it is protected there, with what."""

    what: Line
    protected: Answer | None = None
    by: Line | None = None

    @model_validator(mode="after")
    def _said_with_what(self) -> EdgeRun:
        if self.protected == "yes" and self.by is None:
            raise ValueError("'protected: yes' needs 'by': write with what, such as 'corner pads, 8 mm'")
        return self


class TagLine(Part):
    """A line to guide the load by hand from outside its reach."""

    at: Line
    what: Line | None = None


class SetDown(Part):
    """Where the load goes: on what, which face, how high, and what the place is rated for."""

    on: Line | None = None
    rated: MassOrNone = None
    rated_by: Line | None = None
    fixture: Id | None = None
    face: Id | None = None
    height: LengthText | None = None
    piece_at: FlatPoint | None = None
    piece_below_points: LengthText | None = None

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
    anchor: Point | None = None
    mover: Id | None = None
    what: Line | None = None
    to: Line | None = None
    rated: MassText | None = None

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
    hook: Point
    hook_on: Line | None = None
    hold_back: HoldBack | None = None
    to: Id | None = None
    rests_on: Id | None = None
    on: Line | None = None
    joint: Id | None = None
    side: Id | None = None


class LiftGroup(Part):
    """What comes up, which way up, with what inside, on which gear."""

    lift_group: Id
    name: Line
    root: Id
    build: dict[str, str] = Field(default_factory=dict)
    fits: tuple[Fits, ...] = ()
    takes: tuple[Way, ...] = Field(min_length=1)
    leaves: tuple[Way, ...] = ()
    parts_joints: tuple[Id, ...] = ()
    attitude: Id | None = None
    trapped: Annotated[Looked[Trapped], *looked(Trapped)] = None
    packing: Annotated[Looked[Packed], *looked(Packed)] = None
    gear: Annotated[Looked[GearUsed], *looked(GearUsed)] = None
    zeroed_with_gear: Answer | None = None
    picks: Annotated[Looked[Pick], *looked(Pick)] = None
    edges: Annotated[Looked[EdgeRun], *looked(EdgeRun)] = None
    tag_lines: Annotated[Looked[TagLine], *looked(TagLine)] = None
    mover: Id | None = None
    radius: LengthText | None = None
    boom: LengthText | None = None
    other_half: Id | None = None
    set_down: SetDown | None = None
    turn: Turn | None = None
    checked_by: Line | None = None
    stop_and_ask: tuple[Text, ...] = ()
    remark: Text | None = None

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

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.lift_group
