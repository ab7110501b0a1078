"""The figures and particulars of a handling note, by its kind: a turn has an edge, a stick has a travel."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from handling_db.records.parts.common import Answer
from handling_db.records.parts.measures import (
    AngleText,
    Count,
    LengthText,
    MassOrNone,
    MassText,
    Point,
    VolumeText,
)
from handling_db.records.parts.texts import Date, Id, Line, Part


class NoteFacts(Part):
    """What a note says in figures and names, beside its text. Which fields fit depends on its kind."""

    action: Line | None = None
    """what to do about what is stored"""
    alternatives: tuple[Line, ...] = ()
    """other orders that worked; a list"""
    angle: AngleText | None = None
    """an angle of the pull"""
    balance_angle: AngleText | None = None
    """the angle at which it goes over by itself"""
    base: Line | None = None
    """size of what it stands on"""
    before: Line | None = None
    """what comes first"""
    after: Line | None = None
    """what comes next"""
    blocked_by: tuple[Id, ...] = ()
    """ids of what is in the way"""
    cause: Line | None = None
    """why"""
    centre: Point | None = None
    """where it balances, a point"""
    chocks: Line | None = None
    """what holds it from rolling"""
    count: Count | None = None
    """how many"""
    cover: Line | None = None
    """what protects it"""
    crate: Line | None = None
    """what it travels in"""
    direction: Line | None = None
    """which way the point pulls"""
    edge: Line | None = None
    """the edge it turns over"""
    expected: Line | None = None
    """what the book shows"""
    faces: Line | None = None
    """faces it may stand on"""
    faces_not: Line | None = None
    """faces it must not stand on"""
    fit: Line | None = None
    """the kind of fit"""
    found: Line | None = None
    """what was found instead"""
    freed_by: Line | None = None
    """what freed it"""
    from_: Line | None = None
    """from which attitude or side"""
    to: Line | None = None
    """to which attitude"""
    grade: Line | None = None
    """grade of bolts"""
    grip: Line | None = None
    """where hands can hold"""
    heavy_side: Line | None = None
    """the side that hangs low"""
    hidden: Answer | None = None
    """`yes` or `no`"""
    hole: Line | None = None
    """which hole"""
    hooks: Count | None = None
    """how many hooks"""
    item: Line | None = None
    """the thing that holds"""
    joint: Id | None = None
    """the joint it is in"""
    legs: Line | None = None
    """which legs were used"""
    length: LengthText | None = None
    """a length"""
    listed_in: tuple[Id, ...] = ()
    """ids of the documents that list it"""
    litres_in: VolumeText | None = None
    """litres put in"""
    litres_out: VolumeText | None = None
    """litres that came out"""
    mass: MassText | None = None
    """what it weighs in the hand"""
    marks: Line | None = None
    """marks that show how it goes together"""
    oil_out_first: Answer | None = None
    """`yes` or `no`"""
    order_of: Line | None = None
    """whose order it is, the book's or the shop's"""
    out_by: Line | None = None
    """by when it must be out"""
    people: Count | None = None
    """how many people"""
    photo: Line | None = None
    """name of a file"""
    position: Point | None = None
    """where it is, a point"""
    preserve: Line | None = None
    """how it is kept from rust"""
    put_in_by: Line | None = None
    """whose role put it in"""
    put_in_on: Date | None = None
    """on which day"""
    rating: MassOrNone = None
    """its rating, or `none`"""
    rating_from: Id | None = None
    """the source of the rating"""
    release_tool: Line | None = None
    """what lets it go"""
    room: LengthText | None = None
    """how much room is needed"""
    side: Line | None = None
    """which side"""
    size: Line | None = None
    """size of bolts"""
    studs: Count | None = None
    """how many guide studs"""
    surface: Line | None = None
    """what to protect"""
    thread: Line | None = None
    """the thread"""
    together: tuple[Id, ...] = ()
    """ids of what stays together"""
    tool: Line | None = None
    """the tool"""
    trapped_in: Line | None = None
    """where fluid stays"""
    travel: LengthText | None = None
    """how far it moves before it is free"""
    way_round: Line | None = None
    """which way round it goes"""
    what_stores: Line | None = None
    """what stores the energy"""
    where: Line | None = None
    """where"""


# Trade terms for the kinds; which particulars belong to which is our own choice.
FACTS_OF_KIND: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "pick point": (
            "thread", "hole", "position", "angle", "direction", "rating", "rating_from", "blocked_by", "legs",
        ),
        "tie": ("joint", "item", "count", "size", "tool", "side", "hidden", "listed_in"),
        "temporary tie": ("joint", "item", "count", "grade", "hole", "put_in_by", "put_in_on", "out_by"),
        "order": ("before", "after", "cause", "order_of", "alternatives"),
        "turn": ("from_", "to", "edge", "balance_angle", "hooks", "oil_out_first"),
        "stick": ("fit", "travel", "cause", "freed_by"),
        "stored energy": ("what_stores", "travel", "release_tool", "action"),
        "fluid": ("litres_in", "litres_out", "trapped_in"),
        "set-down": ("faces", "faces_not", "base", "chocks"),
        "access": ("room", "from_", "tool"),
        "balance": ("centre", "heavy_side", "legs"),
        "hand": ("mass", "grip", "people"),
        "match": ("marks", "together", "way_round"),
        "guide": ("studs", "length", "where"),
        "protect": ("surface", "cover"),
        "ship or store": ("crate", "chocks", "preserve", "marks"),
        "difference": ("expected", "found", "photo"),
    }
)  # fmt: skip


def misplaced(kind: str, facts: NoteFacts) -> tuple[str, ...]:
    """The given particulars that do not belong to a kind of note, as they are written."""
    allowed = FACTS_OF_KIND[kind]
    return tuple(_word(name) for name in sorted(facts.model_fields_set) if name not in allowed)


def words_of(kind: str) -> tuple[str, ...]:
    """The particulars that a kind of note may have, as they are written."""
    return tuple(_word(name) for name in FACTS_OF_KIND[kind])


def _word(name: str) -> str:
    return name.rstrip("_").replace("_", " ")
