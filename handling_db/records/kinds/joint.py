"""A joint: where two pieces meet, and everything that still joins them, from every procedure."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from handling_db.records.parts.common import Answer, Recorded
from handling_db.records.parts.measures import Count, LengthText, MassText, Point
from handling_db.records.parts.picture import Picture
from handling_db.records.parts.texts import Date, Id, Line, Part, Text, id_within, refuse_twice
from handling_db.records.parts.three_valued import Looked, There, listed, looked, none_needs_a_name

TieKind = Literal[
    "bolts",
    "studs",
    "dowels",
    "pins",
    "pipes",
    "hoses",
    "wires",
    "shaft",
    "spline",
    "sleeve",
    "seal",
    "sealant",
    "paint",
    "rust",
    "tight fit",
    "bracket",
    "weight",
    "other",
]

# Which way the second side leaves the first, along an axis of `within`; a press fit lets go neither way.
LetsGo = Literal["x", "-x", "y", "-y", "z", "-z", "no"]


class Listed(Part):
    """A document that lists a tie, and where in it."""

    source: Id
    """the document"""
    where: Line | None = None
    """where in it"""


class Tie(Part):
    """One thing that still joins the two sides; it has no mass, but may name the part line it is."""

    id: Id | None = None
    """its id"""
    kind: TieKind
    """`bolts`, `studs`, `dowels`, `pins`, `pipes`, `hoses`, `wires`, `shaft`, `spline`, `sleeve`, `seal`,
    `sealant`, `paint`, `rust`, `tight fit`, `bracket`, `weight` or `other`"""
    what: Line
    """what it is, in words"""
    there: There = None
    """`yes`, `none` (with `checked by`); left out: nobody looked"""
    checked_by: Line | None = None
    """whose role looked"""
    part: tuple[Id, ...] | None = None
    """the part line it is: the way from the joint's `within`, a list of ids"""
    count: Count | None = None
    """how many; must match the part line"""
    size: Line | None = None
    """such as M16 x 70"""
    head: Line | None = None
    """form and width of the head"""
    tool: Line | None = None
    """what turns it"""
    side: Line | None = None
    """from which side"""
    hidden: Answer | None = None
    """`yes` or `no`"""
    under: Line | None = None
    """under what it hides"""
    listed_in: tuple[Listed, ...] = ()
    """documents that list it; a list"""
    after: tuple[Id, ...] = ()
    """ids of ties that come out first"""
    carries_in_turn: Answer | None = None
    """`yes` if it carries load while the unit is turned"""
    places: tuple[Point, ...] = ()
    """where they are, one point each"""
    travel: LengthText | None = None
    """how far it slides before it is free"""
    lets_go: LetsGo | None = None
    """of a fit: the way in which the second side leaves the first, along an axis of `within`; it holds while
    the weight does not pull that way. `no`: a press fit, which holds both ways"""
    sticks: Line | None = None
    """what is known to stick"""
    holds_up_to: MassText | None = None
    """what it held at most, as a mass on the hook"""
    stays_with: Id | None = None
    """the side it stays with"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _said_once(self) -> Tie:
        none_needs_a_name(self.checked_by, there=self.there)
        if self.there == "none" and (self.part is not None or self.count is not None):
            raise ValueError("'there: none' has no part and no count; leave those out")
        if self.part is not None and self.count is None:
            raise ValueError("a tie that names its part line says how many: write 'count'")
        if self.part is not None and not self.part:
            raise ValueError("'part' is the way from the joint's 'within': one or more ids")
        number = self.count.number if self.count is not None else None
        if self.places and number is not None and len(self.places) != number:
            raise ValueError(f"count {self.count} but {len(self.places)} places; make them the same")
        return self

    def key(self, joint: str) -> str:
        """The id it goes by: its own, or the hash of its text and its joint."""
        return self.id or id_within(self, "joint", joint)


class PartingAid(Part):
    """What helps the halves apart or together: jacking screws, guide studs."""

    kind: Literal["jacking screws", "guide studs", "puller", "wedge", "other"]
    """`jacking screws`, `guide studs`, `puller`, `wedge` or `other`"""
    what: Line
    """in words"""
    count: Count | None = None
    """how many"""
    thread: Line | None = None
    """their thread"""
    where: Line | None = None
    """where they go"""
    stroke: LengthText | None = None
    """how far they push"""
    fixture: Id | None = None
    """the fixture it is"""


class Face(Part):
    """The plane of a joint: a point in it, which way it looks, and how far its flange reaches."""

    at: Point
    """a point in the plane"""
    square_to: Literal["x", "y", "z"]
    """the axis it is square to: `x`, `y` or `z`"""
    radius: LengthText | None = None
    """how far its flange reaches"""
    remark: Line | None = None
    """anything else"""


class Joint(Recorded):
    """Where two pieces meet: `within` the lowest assembly that holds both."""

    joint: Id
    """its id"""
    name: Line
    """its name"""
    within: Id
    """the lowest assembly that holds both sides"""
    between: tuple[Id, Id]
    """the two sides, a list of two ids"""
    plane: Face | None = None
    """the face where they part"""
    ties: Annotated[Looked[Tie], *looked(Tie)] = None
    """what still joins them; a list, or `none`; left out: nobody looked"""
    ties_listed: Literal["all", "some"] | None = None
    """`all` (needs `checked by`) or `some`"""
    parting_aids: Annotated[Looked[PartingAid], *looked(PartingAid)] = None
    """what helps them apart; a list, or `none`"""
    checked_by: Line | None = None
    """whose role looked"""
    on: Date | None = None
    """the day"""
    pictures: tuple[Picture, ...] = ()
    """photographs and pages kept beside the records that show it; a list"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _sound(self) -> Joint:
        none_needs_a_name(self.checked_by, ties=self.ties, parting_aids=self.parting_aids)
        if self.ties_listed == "all" and self.checked_by is None:
            raise ValueError(
                "'ties listed: all' needs 'checked by': whose role says that nothing else holds?"
            )
        if self.between[0] == self.between[1]:
            raise ValueError("'between' names the two sides; they cannot be the same")
        keys = [tie.key(self.joint) for tie in self.tie_list]
        refuse_twice("ties", keys)
        for tie in self.tie_list:
            for first in tie.after:
                if first not in keys:
                    raise ValueError(
                        f"tie {tie.key(self.joint)!r} comes after {first!r}, which is no tie here"
                    )
        return self

    @property
    def tie_list(self) -> tuple[Tie, ...]:
        """The ties that are written down; empty for "none" and for "nobody looked" alike."""
        return listed(self.ties)
