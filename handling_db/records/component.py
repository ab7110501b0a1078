"""A component: an assembly, a part, a fluid or a set of small parts, and what it is made of."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from handling_db.records.common import Answer, Datum, Fits, Placement, Turned
from handling_db.records.fields import (
    Count,
    Date,
    DensityText,
    Id,
    Line,
    Part,
    Point,
    Text,
    VolumeMeasure,
    VolumeOrNone,
    VolumeText,
    short_id,
)
from handling_db.records.statement import MassStatement

Kind = Literal["assembly", "part", "fluid", "set"]


class Parameter(Part):
    """A size or an option that a component comes in."""

    unit: Line = "each"
    meaning: Line | None = None
    default: Line
    from_: Line | None = None
    to: Line | None = None
    step: Line | None = None
    choices: tuple[Line, ...] | None = None


class PartLine(Part):
    """This assembly contains so many of that component, here, turned so."""

    component: Id
    quantity: Count
    at: Point | None = None
    turned: Turned | None = None
    places: tuple[Placement, ...] | None = None
    set: dict[str, str] = Field(default_factory=dict)
    id: Id | None = None
    remark: Line | None = None

    @model_validator(mode="after")
    def _one_way_to_place(self) -> PartLine:
        if self.places is not None:
            if self.at is not None or self.turned is not None:
                raise ValueError("give 'at' (and 'turned') or a list of 'places', not both")
            if self.quantity.number is not None and self.quantity.number != len(self.places):
                raise ValueError(
                    f"quantity {self.quantity} but {len(self.places)} places; make them the same"
                )
        if self.turned is not None:
            if self.at is None:
                raise ValueError("'turned' needs 'at': where is it?")
            if self.quantity.number is None or self.quantity.number > 1:
                raise ValueError("a set with one 'at' has no turn; write a list of 'places' instead")
        return self

    def key(self, parent: str) -> str:
        """The id of the line: its own, or the hash of its text and its parent."""
        return self.id or short_id({"parent": parent, **self.as_written()})


class Fluid(Part):
    """How much of a fluid there is, what a litre weighs, and what stays inside after draining."""

    litres: VolumeMeasure
    litres_plus_or_minus: VolumeText | None = None
    density: DensityText
    density_plus_or_minus: DensityText | None = None
    stays: VolumeOrNone = None
    stays_plus_or_minus: VolumeText | None = None
    checked_by: Line | None = None

    @model_validator(mode="after")
    def _none_needs_a_name(self) -> Fluid:
        if self.stays == "none" and self.checked_by is None:
            raise ValueError(
                "'stays: none' needs 'checked by': write whose role looked, or leave 'stays' out"
            )
        if self.stays_plus_or_minus is not None and (self.stays is None or self.stays == "none"):
            raise ValueError("'stays plus or minus' needs 'stays' in litres")
        return self


class Picture(Part):
    """A photograph or a page kept beside the records."""

    file: Line
    caption: Line


class Component(Part):
    """Anything with a name that has a mass: made of parts, or a piece of its own."""

    component: Id
    name: Line
    kind: Kind
    also_called: tuple[Line, ...] = ()
    part_number: Line | None = None
    maker: Line | None = None
    fits: tuple[Fits, ...] = ()
    datum: Datum | None = None
    parameters: dict[str, Parameter] = Field(default_factory=dict)
    parts_listed: Literal["all", "some"] | None = None
    parts: tuple[PartLine, ...] = ()
    masses: tuple[MassStatement, ...] = ()
    weigh_needed: Answer | None = None
    centre: Point | None = None
    fluid: Fluid | None = None
    pictures: tuple[Picture, ...] = ()
    review_by: Date | None = None
    remark: Text | None = None

    @model_validator(mode="after")
    def _kind_fits(self) -> Component:
        if (self.kind == "fluid") != (self.fluid is not None):
            raise ValueError("a fluid has 'fluid: {litres, density}', and nothing else has")
        if self.kind == "fluid" and (self.parts or self.masses):
            raise ValueError("a fluid's mass is its litres times its density; it has no parts and no masses")
        if self.parts and self.kind != "assembly":
            raise ValueError(f"only an assembly has parts; this says kind: {self.kind}")
        if self.parts_listed is not None and not self.parts:
            raise ValueError("'parts listed' needs parts")
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.component
