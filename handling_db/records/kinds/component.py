"""A component: an assembly, a part, a fluid or a set of small parts, and what it is made of."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from handling_db.quantities.quantity import Quantity
from handling_db.records.parts.attitude import Attitude, SetDownFace
from handling_db.records.parts.common import Answer, Datum, Fits, Placement, Recorded, Serials, Turned
from handling_db.records.parts.measures import (
    Count,
    DensityText,
    LengthText,
    Point,
    VolumeMeasure,
    VolumeOrNone,
    VolumeText,
)
from handling_db.records.parts.outline import Outline, ShapeLies
from handling_db.records.parts.pick_point import PickPoint
from handling_db.records.parts.picture import Picture
from handling_db.records.parts.statement import MassStatement
from handling_db.records.parts.texts import Date, Id, Line, Part, Text, id_within, refuse_twice
from handling_db.records.parts.three_valued import Looked, listed, looked, none_needs_a_name

Kind = Literal["assembly", "part", "fluid", "set"]


class Parameter(Part):
    """A size or an option that a component comes in.

    Chosen, with a default; or worked out from the others by a formula: a drum is as long as its discs need.
    """

    unit: Line = "each"
    """what it is measured in; `each` for a count"""
    meaning: Line | None = None
    """in words"""
    default: Line | None = None
    """the usual value; answers say "default, not confirmed for this unit"."""
    formula: Line | None = None
    """instead of a default: worked out from the other parameters"""
    from_: Line | None = None
    """smallest value"""
    to: Line | None = None
    """largest value; a build beyond it is refused, with the range"""
    step: Line | None = None
    """only values that many apart"""
    choices: tuple[Line, ...] | None = None
    """instead of a range: a list of values or words"""

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
    """what the build is called"""
    set: dict[str, Line]
    """values of parameters, by name"""
    serials: Serials | None = None
    """which serial numbers have it"""
    remark: Text | None = None
    """anything else"""


class PartLine(Part):
    """This assembly contains so many of that component, here, turned so; or only with some option."""

    component: Id
    """the id of what is in it"""
    quantity: Count
    """how many; a number above 0, or a formula; a formula that gives 0 means absent in this build"""
    only_when: Line | None = None
    """a condition over parameters, such as `brake == yes`"""
    at: Point | None = None
    """where the datum of the child lies; with more than one piece the middle of the set"""
    at_plus_or_minus: LengthText | None = None
    """how far that place, or each of the `places`, may be off along each axis; left out: the place counts as
    exact"""
    turned: Turned | None = None
    """how one piece is turned"""
    places: tuple[Placement, ...] | None = None
    """instead of `at`: a list of places, one for each piece"""
    set: dict[str, str] = Field(default_factory=dict)
    """values handed to the parameters of the child, by name"""
    id: Id | None = None
    """an id for this line, where two lines name the same child"""
    changed_on: Date | None = None
    """the day from which this is the part that is in it: what was weighed before, with another one, no longer
    counts for what holds it"""
    remark: Line | None = None
    """anything else"""

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
        return self.id or id_within(self, "parent", parent)


class Fluid(Part):
    """How much of a fluid there is, what a litre weighs, and what stays inside after draining."""

    litres: VolumeMeasure
    """how much there is when filled; a volume or a formula"""
    litres_plus_or_minus: VolumeText | None = None
    """its doubt; needed for a formula"""
    density: DensityText
    """what a litre weighs"""
    density_plus_or_minus: DensityText | None = None
    """its doubt"""
    stays: VolumeOrNone = None
    """what stays inside after draining; `none` if somebody looked; left out: nobody knows"""
    stays_plus_or_minus: VolumeText | None = None
    """its doubt"""
    checked_by: Line | None = None
    """whose role looked, for `stays: none`"""

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


class HoldsIn(Part):
    """Something that stays where it is only as long as this piece is on: a fluid, or a piece inside."""

    part: Id
    """the component that stays in: a piece behind it, or the fluid it closes in"""
    why: Line | None = None
    """in words"""


class Component(Recorded):
    """Anything with a name that has a mass: made of parts, or a piece of its own."""

    component: Id
    """its id"""
    name: Line
    """its name"""
    kind: Kind
    """`assembly`, `part`, `fluid` or `set`"""
    also_called: tuple[Line, ...] = ()
    """other names it is looked for by; a list"""
    part_number: Line | None = None
    """the maker's number"""
    maker: Line | None = None
    """who makes it"""
    fits: tuple[Fits, ...] = ()
    """which models and serial numbers it is for; a list"""
    datum: Datum | None = None
    """the origin and the directions of its own frame, by physical features"""
    parameters: dict[str, Parameter] = Field(default_factory=dict)
    """sizes and options it comes in, by name"""
    builds: tuple[NamedBuild, ...] = ()
    """values of parameters that occur together, with a name; a list"""
    parts_listed: Literal["all", "some"] | None = None
    """`all` or `some`; left out: nobody looked whether the list is complete"""
    parts: tuple[PartLine, ...] = ()
    """what it is made of; only an assembly has parts"""
    masses: tuple[MassStatement, ...] = ()
    """what sources say it weighs, one piece of it; a list"""
    weigh_needed: Answer | None = None
    """`yes` if somebody wants it weighed at the next chance"""
    centre: Point | None = None
    """its own centre of gravity, a point; a piece without one has it where its shape lies, else at its
    datum, and answers name these pieces"""
    centre_plus_or_minus: LengthText | None = None
    """how far its centre may be off along each axis"""
    shape_lies: ShapeLies | None = None
    """how the shape that gives its mass lies from its datum; the centre follows"""
    outline: Outline | None = None
    """the box that holds all of it; what has no place lies inside"""
    sides: dict[Literal["x", "-x", "y", "-y", "z", "-z"], Line] = Field(default_factory=dict)
    """what its sides are called, by the direction they look: `x`, `-x`, `y`, `-y`, `z`, `-z`"""
    fluid: Fluid | None = None
    """for a fluid: litres, density, what stays"""
    pick_points: Annotated[Looked[PickPoint], *looked(PickPoint)] = None
    """where a hook or sling may go; a list, or `none`"""
    set_down_faces: Annotated[Looked[SetDownFace], *looked(SetDownFace)] = None
    """faces it may or must not rest on; a list, or `none`"""
    attitudes: tuple[Attitude, ...] = ()
    """which ways up it is handled in; a list"""
    holds_in: Annotated[Looked[HoldsIn], *looked(HoldsIn)] = None
    """what stays in only as long as this piece is on: pieces behind it, which come out after it, and the
    fluid it closes in; a list, or `none`"""
    checked_by: Line | None = None
    """whose role looked, for every `none` above"""
    pictures: tuple[Picture, ...] = ()
    """photographs and pages kept beside the records; a list"""
    review_by: Date | None = None
    """a date after which the record should be looked at again"""
    remark: Text | None = None
    """anything else"""

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
        none_needs_a_name(
            self.checked_by,
            pick_points=self.pick_points,
            set_down_faces=self.set_down_faces,
            holds_in=self.holds_in,
        )
        held = [one.part for one in listed(self.holds_in)]
        if self.component in held:
            raise ValueError("'holds in' names the piece itself; write what is behind it, or leave it out")
        refuse_twice("pick points", sorted(point.id for point in listed(self.pick_points)))
        refuse_twice("set-down faces", sorted(face.id for face in listed(self.set_down_faces)))
        refuse_twice("attitudes", sorted(attitude.id for attitude in self.attitudes))
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
