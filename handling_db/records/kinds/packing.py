"""How a piece is packed to stand, travel and wait: what is round it, on what, tied how, marked how."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.pallet import Spread
from handling_db.records.parts.common import Answer
from handling_db.records.parts.premises import FlatPoint
from handling_db.records.parts.texts import (
    Count,
    Date,
    Id,
    LengthText,
    Line,
    MassOrNone,
    MassText,
    Part,
    Text,
)
from handling_db.records.parts.three_valued import Looked, There, looked, none_needs_a_name

PackingKind = Literal["crate", "saddle", "straps", "blocking", "cover", "set", "other"]


class TransportTie(Part):
    """A bolt, strap or block that holds for the journey only, and by when it has to be out."""

    what: Line
    count: Count
    out_by: Line | None = None


class PackedWeighing(Part):
    """The packed piece as weighed, everything on it."""

    gross: MassText
    plus_or_minus: MassText
    source: Id
    on: Date
    by: Line


class PackageMarks(Part):
    """Facts that decide which public handling marks go on; left out: nobody looked."""

    this_way_up: Answer | None = None
    fragile: Answer | None = None
    keep_dry: Answer | None = None
    keep_from_heat: Answer | None = None
    hooks_do_harm: Answer | None = None
    sling_places_known: Answer | None = None
    rolls: Answer | None = None
    clamp_does_harm: Answer | None = None
    fork_side_barred: Answer | None = None
    hand_truck_does_harm: Answer | None = None


class Packing(Part):
    """One way of packing one piece: crate, saddle, straps, with their own mass and the pallet below."""

    packing: Id
    name: Line
    kind: PackingKind
    for_lift_groups: tuple[Id, ...] = ()
    for_components: tuple[Id, ...] = ()
    pallet: Id | None = None
    face: Id | None = None
    own_mass: MassOrNone = None
    plus_or_minus: MassText | None = None
    made_of: tuple[Line, ...] = ()
    length: LengthText | None = None
    width: LengthText | None = None
    height: LengthText | None = None
    piece_at: FlatPoint | None = None
    piece_turned: Literal["0 deg", "90 deg", "180 deg", "270 deg"] | None = None
    spread: Spread | None = None
    stack_limit: MassOrNone = None
    tie_down: Line | None = None
    transport_ties: Annotated[Looked[TransportTie], *looked(TransportTie)] = None
    drips: There = None
    slings_here: Line | None = None
    marks: PackageMarks | None = None
    weighed: PackedWeighing | None = None
    contact: Line | None = None
    checked_by: Line | None = None
    remark: Text | None = None

    @model_validator(mode="after")
    def _sound(self) -> Packing:
        none_needs_a_name(
            self.checked_by,
            transport_ties=self.transport_ties,
            drips=self.drips,
            own_mass=self.own_mass,
            stack_limit=self.stack_limit,
        )
        if self.plus_or_minus is not None and not isinstance(self.own_mass, Quantity):
            raise ValueError("'plus or minus' goes with 'own mass'")
        if not self.for_lift_groups and not self.for_components:
            raise ValueError("say what is packed: 'for lift groups' or 'for components', a list of ids")
        return self

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.packing
