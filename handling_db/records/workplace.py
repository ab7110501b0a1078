"""Fixtures, movers and shops: what a piece stands on, what moves it, and who has them."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from handling_db.records.common import Answer
from handling_db.records.fields import Date, Id, LengthText, Line, MassOrNone, MassText, Part, Text

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


class Fixture(Part):
    """A stand, cradle, bracket or other thing that holds a piece while work goes on."""

    fixture: Id
    name: Line
    kind: FixtureKind
    rated_load: MassText | None = None
    own_mass: MassText | None = None
    needed_by: tuple[NeededBy, ...] = ()
    faces: Line | None = None
    clearance: LengthText | None = None
    shop_made: Answer | None = None
    drawing: Line | None = None
    material: Line | None = None
    design_checked_by: Line | None = None
    proof_load: MassText | None = None
    proof_on: Date | None = None
    inspection_due: Date | None = None
    only_for: tuple[Id, ...] = ()
    used_instead: tuple[UsedInstead, ...] = ()
    remark: Text | None = None

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


class Mover(Part):
    """A hoist, crane, forklift or pallet truck, with what its plate says."""

    mover: Id
    name: Line
    kind: MoverKind
    shop: Id | None = None
    rated: MassText | None = None
    rated_note: Line | None = None
    load_cell: Id | None = None
    inspection_due: Date | None = None
    remark: Text | None = None

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
    scales: tuple[Id, ...] = ()
    hand_limit: MassText | None = None
    rules: tuple[Text, ...] = ()
    who_to_call: Line | None = None
    remark: Text | None = Field(default=None)

    @property
    def id(self) -> str:
        """The id of the record."""
        return self.shop
