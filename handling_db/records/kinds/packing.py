"""How a piece is packed to stand, travel and wait: what is round it, on what, tied how, marked how."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.pallet import Spread
from handling_db.records.parts.common import Answer, Recorded
from handling_db.records.parts.measures import Count, LengthText, MassOrNone, MassText
from handling_db.records.parts.premises import FlatPoint
from handling_db.records.parts.texts import Date, Id, Line, Part, Text
from handling_db.records.parts.three_valued import Looked, There, looked, none_needs_a_name

PackingKind = Literal["crate", "saddle", "straps", "blocking", "cover", "set", "other"]


class TransportTie(Part):
    """A bolt, strap or block that holds for the journey only, and by when it has to be out."""

    what: Line
    """in words"""
    count: Count
    """how many"""
    out_by: Line | None = None
    """by when it must be out"""


class PackedWeighing(Part):
    """The packed piece as weighed, everything on it."""

    gross: MassText
    """everything on the scale"""
    plus_or_minus: MassText
    """its doubt"""
    source: Id
    """the scale"""
    on: Date
    """the day"""
    by: Line
    """whose role"""


class PackageMarks(Part):
    """Facts that decide which public handling marks go on; left out: nobody looked."""

    this_way_up: Answer | None = None
    """`yes` or `no`, like all of these"""
    fragile: Answer | None = None
    """whether it breaks"""
    keep_dry: Answer | None = None
    """whether wet does harm"""
    keep_from_heat: Answer | None = None
    """whether heat does harm"""
    hooks_do_harm: Answer | None = None
    """whether hooks do harm"""
    sling_places_known: Answer | None = None
    """whether it is known where slings go"""
    rolls: Answer | None = None
    """whether it may be rolled"""
    clamp_does_harm: Answer | None = None
    """whether a clamp does harm"""
    fork_side_barred: Answer | None = None
    """whether a side is not for forks"""
    hand_truck_does_harm: Answer | None = None
    """whether a hand truck does harm"""


class Packing(Recorded):
    """One way of packing one piece: crate, saddle, straps, with their own mass and the pallet below."""

    packing: Id
    """its id"""
    name: Line
    """its name"""
    kind: PackingKind
    """`crate`, `saddle`, `straps`, `blocking`, `cover`, `set` or `other`"""
    for_lift_groups: tuple[Id, ...] = ()
    """lift groups it packs; this or the next must be there"""
    for_components: tuple[Id, ...] = ()
    """components it packs"""
    pallet: Id | None = None
    """the pallet below"""
    face: Id | None = None
    """the face the piece rests on"""
    own_mass: MassOrNone = None
    """what the packing weighs without pallet, or `none`"""
    plus_or_minus: MassText | None = None
    """its doubt"""
    made_of: tuple[Line, ...] = ()
    """a list of words"""
    length: LengthText | None = None
    """outside, along x"""
    width: LengthText | None = None
    """outside, along y"""
    height: LengthText | None = None
    """outside, with pallet"""
    piece_at: FlatPoint | None = None
    """where the piece's datum stands, two lengths from the middle"""
    piece_turned: Literal["0 deg", "90 deg", "180 deg", "270 deg"] | None = None
    """`0 deg`, `90 deg`, `180 deg` or `270 deg`"""
    spread: Spread | None = None
    """how it spreads on the deck: `any`, `even` or `full surface`"""
    stack_limit: MassOrNone = None
    """what may stand on it, or `none`; left out: nobody said, so nothing"""
    tie_down: Line | None = None
    """how it is tied"""
    transport_ties: Annotated[Looked[TransportTie], *looked(TransportTie)] = None
    """what holds for the journey only; a list, or `none`"""
    drips: There = None
    """`yes`, or `none` (with `checked by`)"""
    slings_here: Line | None = None
    """where slings go"""
    marks: PackageMarks | None = None
    """facts that decide which handling marks go on"""
    weighed: PackedWeighing | None = None
    """the packed piece as weighed"""
    contact: Line | None = None
    """whom to ask, by role"""
    checked_by: Line | None = None
    """whose role looked, for every `none`"""
    remark: Text | None = None
    """anything else"""

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
