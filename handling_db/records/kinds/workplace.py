"""Fixtures, movers and shops: what a piece stands on, what moves it, and who has them."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field, PlainSerializer, PlainValidator, WithJsonSchema, model_validator

from handling_db.records.parts.common import Answer
from handling_db.records.parts.premises import Door, Feet, FlatPoint, FloorArea, Route
from handling_db.records.parts.texts import (
    AngleText,
    Date,
    Id,
    LengthText,
    Line,
    MassOrNone,
    MassOrPercent,
    MassText,
    Part,
    Percent,
    Text,
)

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
    for_: Line


class UsedInstead(Part):
    """What people used in its place, and whether that was rated."""

    what: Line
    rated: MassOrNone = None
    shop: Id | None = None
    outcome: Text | None = None


class TakesFace(Part):
    """A set-down face that a fixture takes: of which component, and which one."""

    component: Id
    face: Id


class Fixture(Part):
    """A stand, cradle, bracket or other thing that holds a piece while work goes on."""

    fixture: Id
    name: Line
    kind: FixtureKind
    rated_load: MassText | None = None
    own_mass: MassText | None = None
    plus_or_minus: MassText | None = None
    needed_by: tuple[NeededBy, ...] = ()
    faces: Line | None = None
    takes: tuple[TakesFace, ...] = ()
    overhang: LengthText | None = None
    height: LengthText | None = None
    feet: Feet | None = None
    centre: tuple[LengthText, LengthText, LengthText] | None = None
    bears: tuple[FlatPoint, ...] = ()
    bears_radius: LengthText | None = None
    clearance: LengthText | None = None
    shop_made: Answer | None = None
    drawing: Line | None = None
    material: Line | None = None
    design_checked_by: Line | None = None
    proof_load: MassText | None = None
    proof_on: Date | None = None
    inspection_due: Date | None = None
    review_by: Date | None = None
    only_for: tuple[Id, ...] = ()
    used_instead: tuple[UsedInstead, ...] = ()
    remark: Text | None = None

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
    def id(self) -> str:
        """The id of the record."""
        return self.fixture

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
    boom: LengthText | None = None
    capacity: MassText


class PlateLine(Part):
    """One row of a truck's data plate: forks alone, or with one attachment."""

    load_centre: LengthText
    height: LengthText | None = None
    attachment: Line | None = None
    capacity: MassText


class Attachment(Part):
    """A jib, clamp or fork extension: it counts by its own plate rows only."""

    name: Line
    own_mass: MassText | None = None
    reach: LengthText | None = None


class Mover(Part):
    """A hoist, crane, forklift or pallet truck, with what its plate says."""

    mover: Id
    name: Line
    kind: MoverKind
    shop: Id | None = None
    rated: MassText | None = None
    rated_note: Line | None = None
    load_cell: Id | None = None
    cell_error: MassOrPercent | None = None
    hook_height: LengthText | None = None
    chart: tuple[ChartRow, ...] = ()
    block_mass: MassText | None = None
    block_included: Answer | None = None
    rated_load_centre: LengthText | None = None
    plate: tuple[PlateLine, ...] = ()
    attachments: tuple[Attachment, ...] = ()
    fork_length: LengthText | None = None
    fork_spread: LengthText | None = None
    fork_lowest: LengthText | None = None
    axle_to_fork_face: LengthText | None = None
    wheelbase: LengthText | None = None
    centre_behind_front_axle: LengthText | None = None
    lift_height: LengthText | None = None
    slope: AngleText | None = None
    own_mass: MassText | None = None
    inspection_due: Date | None = None
    remark: Text | None = None

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

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.mover


class Shop(Part):
    """A place with its gear and its rules."""

    shop: Id
    name: Line
    place: Line | None = None
    first_unit: Literal["kg", "lb"] = "kg"
    movers: tuple[Id, ...] = ()
    fixtures: tuple[Id, ...] = ()
    gear: tuple[Id, ...] = ()
    pallets: tuple[Id, ...] = ()
    scales: tuple[Id, ...] = ()
    hand_limit: MassText | None = None
    break_loose: Share | None = None
    planning: Share | None = None
    most_tilt: AngleText | None = None
    hand_rule: Text | None = None
    floors: tuple[FloorArea, ...] = ()
    doors: tuple[Door, ...] = ()
    routes: tuple[Route, ...] = ()
    rules: tuple[Text, ...] = ()
    who_to_call: Line | None = None
    remark: Text | None = Field(default=None)

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.shop
