"""A component: an assembly, a part, a fluid or a set of small parts, and what it is made of."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from handling_db.quantities.quantity import Quantity
from handling_db.records.parts.attitude import Attitude, SetDownFace
from handling_db.records.parts.common import Answer, Datum, Fits, Placement, Serials, Turned
from handling_db.records.parts.outline import Outline, ShapeLies
from handling_db.records.parts.pick_point import PickPoint
from handling_db.records.parts.statement import MassStatement
from handling_db.records.parts.texts import (
    Count,
    Date,
    DensityText,
    Id,
    LengthText,
    Line,
    Part,
    Point,
    Text,
    VolumeMeasure,
    VolumeOrNone,
    VolumeText,
    short_id,
)
from handling_db.records.parts.three_valued import Looked, listed, looked, none_needs_a_name

Kind = Literal["assembly", "part", "fluid", "set"]


class Parameter(Part):
    """A size or an option that a component comes in.

    Chosen, with a default; or worked out from the others by a formula: a drum is as long as its discs need.
    """

    unit: Line = "each"
    meaning: Line | None = None
    default: Line | None = None
    formula: Line | None = None
    from_: Line | None = None
    to: Line | None = None
    step: Line | None = None
    choices: tuple[Line, ...] | None = None

    @model_validator(mode="after")
    def _chosen_or_worked_out(self) -> Parameter:
        if self.formula is None:
            if self.default is None:
                raise ValueError("'default' is missing; write it, or a 'formula' over other parameters")
            return self
        if self.default is not None:
            raise ValueError("write a 'default' or a 'formula', not both")
        if self.choices is not None or self.step is not None:
            raise ValueError("a parameter worked out by a formula has no choices and no step; it has a range")
        return self


class NamedBuild(Part):
    """A build that goes by a name: values of parameters that occur together."""

    name: Line
    set: dict[str, Line]
    serials: Serials | None = None
    remark: Text | None = None


class PartLine(Part):
    """This assembly contains so many of that component, here, turned so; or only with some option."""

    component: Id
    quantity: Count
    only_when: Line | None = None
    at: Point | None = None
    at_plus_or_minus: LengthText | None = None
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
        if self.at_plus_or_minus is not None and self.at is None and self.places is None:
            raise ValueError("'at plus or minus' goes with 'at' or 'places'")
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
        if self.litres.base == 0:
            raise ValueError("'litres' of 0 is no fluid; leave the record out, or write how much there is")
        if self.density.base == 0:
            raise ValueError("'density' of 0 would make the fluid weigh nothing; write what a litre weighs")
        if isinstance(self.stays, Quantity):
            if self.stays.base == 0:
                raise ValueError("'stays' of 0 is the word 'none', with 'checked by': whose role looked")
            if self.litres.base is not None and self.stays.base > self.litres.base:
                raise ValueError(f"{self.stays} stays of {self.litres}; that is more than there is")
        if self.stays == "none" and self.checked_by is None:
            raise ValueError(
                "'stays: none' needs 'checked by': write whose role looked, or leave 'stays' out"
            )
        if self.stays_plus_or_minus is not None and (self.stays is None or self.stays == "none"):
            raise ValueError("'stays plus or minus' needs 'stays' in litres")
        if self.litres.is_formula and self.litres_plus_or_minus is None:
            raise ValueError(
                "litres by a formula have no digits to read their doubt from; write 'litres plus or minus'"
            )
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
    builds: tuple[NamedBuild, ...] = ()
    parts_listed: Literal["all", "some"] | None = None
    parts: tuple[PartLine, ...] = ()
    masses: tuple[MassStatement, ...] = ()
    weigh_needed: Answer | None = None
    centre: Point | None = None
    centre_plus_or_minus: LengthText | None = None
    shape_lies: ShapeLies | None = None
    outline: Outline | None = None
    sides: dict[Literal["x", "-x", "y", "-y", "z", "-z"], Line] = Field(default_factory=dict)
    fluid: Fluid | None = None
    pick_points: Annotated[Looked[PickPoint], *looked(PickPoint)] = None
    set_down_faces: Annotated[Looked[SetDownFace], *looked(SetDownFace)] = None
    attitudes: tuple[Attitude, ...] = ()
    checked_by: Line | None = None
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
        if self.centre_plus_or_minus is not None and self.centre is None:
            raise ValueError("'centre plus or minus' goes with 'centre'")
        if self.shape_lies is not None and not any(one.shape is not None for one in self.masses):
            raise ValueError("'shape lies' says where a shape is; no mass here is given by its shape")
        return self

    @model_validator(mode="after")
    def _handled(self) -> Component:
        none_needs_a_name(self.checked_by, pick_points=self.pick_points, set_down_faces=self.set_down_faces)
        for what, ids in (
            ("pick points", [point.id for point in listed(self.pick_points)]),
            ("set-down faces", [face.id for face in listed(self.set_down_faces)]),
            ("attitudes", [attitude.id for attitude in self.attitudes]),
        ):
            twice = sorted({name for name in ids if ids.count(name) > 1})
            if twice:
                raise ValueError(f"two {what} go by {twice[0]!r}; give one another id")
        return self

    @model_validator(mode="after")
    def _builds_differ(self) -> Component:
        for place, build in enumerate(self.builds):
            for other in self.builds[:place]:
                if build.name == other.name:
                    raise ValueError(f"two builds are called {build.name!r}; give one another name")
                if build.serials and other.serials and build.serials.overlaps(other.serials):
                    raise ValueError(
                        f"the serials of the builds {other.name!r} and {build.name!r} overlap "
                        f"({other.serials.in_words()} and {build.serials.in_words()}); a unit has one build"
                    )
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.component
