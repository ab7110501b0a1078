"""Fixtures, movers and shops: what a piece stands on, what moves it, and who has them."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field, PlainSerializer, PlainValidator, WithJsonSchema, model_validator

from handling_db.records.parts.common import Answer, Recorded
from handling_db.records.parts.measures import (
    AngleText,
    LengthText,
    MassOrNone,
    MassOrPercent,
    MassText,
    Percent,
)
from handling_db.records.parts.premises import Door, Feet, FlatPoint, FloorArea, Route
from handling_db.records.parts.texts import Date, Id, Line, Part, Text

FixtureKind = Literal[
    "stand", "cradle", "bracket", "adapter", "retention", "parting aid", "cribbing", "other"
]
MoverKind = Literal[
    "hoist",
    "crane",
    "jib",
    "gantry",
    "forklift",
    "pallet truck",
    "skates",
    "transmission jack",
    "hands",
    "other",
]


def _share(value: Any) -> Any:
    """A percentage of a figure, not a mass."""
    if isinstance(value, Percent):
        return value
    match = re.fullmatch(r"(\d{1,3}(?:\.\d{1,6})?)\s*%", str(value).strip(), re.ASCII)
    if match is None or not 0 < float(match[1]) <= 100:
        raise ValueError(f"{value!r} is not a percentage; write it above 0 and up to 100, such as 10 %")
    return Percent(str(value).strip(), Fraction(match[1]) / 100)


Share = Annotated[
    Percent,
    PlainValidator(_share),
    PlainSerializer(str, return_type=str),
    WithJsonSchema({"type": "string", "maxLength": 20, "examples": ["10 %"]}),
]


class NeededBy(Part):
    """A component that needs a fixture, and for which act."""

    component: Id
    """the component"""
    for_: Line
    """the act"""


class UsedInstead(Part):
    """What people used in its place, and whether that was rated."""

    what: Line
    """what was used"""
    rated: MassOrNone = None
    """what it was rated, or `none`"""
    shop: Id | None = None
    """where"""
    outcome: Text | None = None
    """how it went"""


class TakesFace(Part):
    """A set-down face that a fixture takes: of which component, and which one."""

    component: Id
    """the component"""
    face: Id
    """its set-down face"""


class Fixture(Recorded):
    """A stand, cradle, bracket or other thing that holds a piece while work goes on."""

    fixture: Id
    """its id"""
    name: Line
    """its name"""
    kind: FixtureKind
    """`stand`, `cradle`, `bracket`, `adapter`, `retention`, `parting aid`, `cribbing` or `other`"""
    rated_load: MassText | None = None
    """what it is rated for"""
    own_mass: MassText | None = None
    """what it weighs"""
    plus_or_minus: MassText | None = None
    """the doubt of its own mass"""
    needed_by: tuple[NeededBy, ...] = ()
    """components that need it, and for which act; a list"""
    faces: Line | None = None
    """faces it takes, in words"""
    takes: tuple[TakesFace, ...] = ()
    """faces it takes, by component and face; a list"""
    overhang: LengthText | None = None
    """how far a load may stand over its edge"""
    height: LengthText | None = None
    """height of what the load stands on"""
    feet: Feet | None = None
    """what touches the floor"""
    centre: tuple[LengthText, LengthText, LengthText] | None = None
    """its own centre: from the middle of its feet, and over the floor; left out: anywhere over its feet"""
    bears: tuple[FlatPoint, ...] = ()
    """where a piece bears on it, points from its middle; left out: the whole face counts"""
    bears_radius: LengthText | None = None
    """instead: the radius of a ring that it bears on"""
    clearance: LengthText | None = None
    """room below the load"""
    shop_made: Answer | None = None
    """`yes` or `no`"""
    drawing: Line | None = None
    """number of the drawing"""
    material: Line | None = None
    """what it is made of"""
    design_checked_by: Line | None = None
    """who checked the design"""
    proof_load: MassText | None = None
    """with what it was proved"""
    proof_on: Date | None = None
    """when"""
    inspection_due: Date | None = None
    """when the next inspection is due"""
    review_by: Date | None = None
    """a date after which it should be looked at again"""
    only_for: tuple[Id, ...] = ()
    """components it is for, and no others; a list"""
    used_instead: tuple[UsedInstead, ...] = ()
    """what people used in its place; a list"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _sound(self) -> Fixture:
        if self.plus_or_minus is not None and self.own_mass is None:
            raise ValueError("'plus or minus' goes with 'own mass'")
        if self.bears and self.bears_radius is not None:
            raise ValueError("give 'bears' (points) or 'bears radius' (a ring), not both")
        if self.bears and len(self.bears) < 3:
            raise ValueError("'bears' has three points or more; for two rails write their four ends")
        return self

    @property
    def standing(self) -> str:
        """``rated``, or ``seen in use, no rating`` for gear that lacks the papers it needs.

        Shop-made gear counts as rated only with a rated load, drawing, material, design check, proof
        load with its date and an inspection date: common practice, no source.
        """
        if self.rated_load is None:
            return "seen in use, no rating" if self.shop_made == "yes" else "no rating recorded"
        papers = (
            self.drawing,
            self.material,
            self.design_checked_by,
            self.proof_load,
            self.proof_on,
            self.inspection_due,
        )
        if self.shop_made == "yes" and any(paper is None for paper in papers):
            return "seen in use, no rating"
        return "rated"


class ChartRow(Part):
    """One printed entry of a crane or jib chart."""

    radius: LengthText
    """radius of the row"""
    boom: LengthText | None = None
    """boom length of the row"""
    capacity: MassText
    """what the chart prints; nothing is read between two rows"""


class PlateLine(Part):
    """One row of a truck's data plate: forks alone, or with one attachment."""

    load_centre: LengthText
    """load centre of the row"""
    height: LengthText | None = None
    """lift height of the row"""
    attachment: Line | None = None
    """the attachment it is for; left out: forks alone"""
    capacity: MassText
    """what the plate prints"""


class Attachment(Part):
    """A jib, clamp or fork extension: it counts by its own plate rows only."""

    name: Line
    """its name, as in the plate rows"""
    own_mass: MassText | None = None
    """what it weighs"""
    reach: LengthText | None = None
    """how far it reaches"""


class Mover(Recorded):
    """A hoist, crane, forklift or pallet truck, with what its plate says."""

    mover: Id
    """its id"""
    name: Line
    """its name"""
    kind: MoverKind
    """`hoist`, `crane`, `jib`, `gantry`, `forklift`, `pallet truck`, `skates`, `transmission jack`, `hands`
    or `other`"""
    shop: Id | None = None
    """the shop that has it"""
    rated: MassText | None = None
    """the rated capacity on the plate"""
    rated_note: Line | None = None
    """what the plate says about it"""
    load_cell: Id | None = None
    """the source that is its load cell"""
    cell_error: MassOrPercent | None = None
    """what the cell may be out by, as a mass or in percent"""
    hook_height: LengthText | None = None
    """highest place of the hook"""
    chart: tuple[ChartRow, ...] = ()
    """rows of a crane's chart; a list"""
    block_mass: MassText | None = None
    """what the hook block weighs"""
    block_included: Answer | None = None
    """`yes` if the chart has the block in it already"""
    rated_load_centre: LengthText | None = None
    """of a truck: the load centre of its rated capacity"""
    plate: tuple[PlateLine, ...] = ()
    """rows of a truck's plate; a list"""
    attachments: tuple[Attachment, ...] = ()
    """jibs, clamps, fork extensions; a list"""
    fork_length: LengthText | None = None
    """length of the forks"""
    fork_spread: LengthText | None = None
    """over the outsides of the forks"""
    fork_lowest: LengthText | None = None
    """height of the lowered forks"""
    axle_to_fork_face: LengthText | None = None
    """from the front axle to the fork face"""
    wheelbase: LengthText | None = None
    """from the front axle to the rear axle"""
    centre_behind_front_axle: LengthText | None = None
    """where the empty truck has its own centre, behind the front axle"""
    lift_height: LengthText | None = None
    """how high it lifts"""
    slope: AngleText | None = None
    """the slope its book states"""
    own_mass: MassText | None = None
    """what it weighs"""
    inspection_due: Date | None = None
    """when the next inspection is due"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _balanced(self) -> Mover:
        base, back = self.wheelbase, self.centre_behind_front_axle
        if base is not None and base.base <= 0:
            raise ValueError("'wheelbase' is above 0; write front axle to rear axle")
        if base is not None and back is not None and not 0 < back.base < base.base:
            raise ValueError(
                f"'centre behind front axle' {back} does not lie between the axles, {base} apart; correct one"
            )
        return self


class Shop(Recorded):
    """A place with its gear and its rules."""

    shop: Id
    """its id"""
    name: Line
    """its name"""
    place: Line | None = None
    """where it is"""
    first_unit: Literal["kg", "lb"] = "kg"
    """`kg` or `lb`: which is shown first; both always are"""
    movers: tuple[Id, ...] = ()
    """ids of its movers"""
    fixtures: tuple[Id, ...] = ()
    """ids of its fixtures"""
    gear: tuple[Id, ...] = ()
    """ids of its gear"""
    pallets: tuple[Id, ...] = ()
    """ids of its pallets"""
    scales: tuple[Id, ...] = ()
    """ids of its scales, which are sources"""
    hand_limit: MassText | None = None
    """its own limit for lifting by hand"""
    break_loose: Share | None = None
    """how far over the expected reading it lets the hook go to break a joint loose"""
    planning: Share | None = None
    """the share of a rating it plans with"""
    least_tip: AngleText | None = None
    """a piece that tips at less than this is said to be narrow; left out: 8 degrees, common practice"""
    most_tilt: AngleText | None = None
    """a load that hangs further out of level than this is said first; left out: 5 degrees, common practice"""
    hand_rule: Text | None = None
    """the rule in its own words"""
    floors: tuple[FloorArea, ...] = ()
    """parts of the floor, lifts, shelves, scales, with their limits; a list"""
    doors: tuple[Door, ...] = ()
    """doors, aisles and beams; a list"""
    routes: tuple[Route, ...] = ()
    """ways through the shop; a list"""
    rules: tuple[Text, ...] = ()
    """its rules in sentences; a list"""
    who_to_call: Line | None = None
    """by role"""
    remark: Text | None = Field(default=None)
    """anything else"""
