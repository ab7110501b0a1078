"""The figures and particulars of a handling note, by its kind: a turn has an edge, a stick has a travel."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from handling_db.records.parts.common import Answer
from handling_db.records.parts.texts import (
    AngleText,
    Count,
    Date,
    Id,
    LengthText,
    Line,
    MassOrNone,
    MassText,
    Part,
    Point,
    VolumeText,
)


class NoteFacts(Part):
    """What a note says in figures and names, beside its text. Which fields fit depends on its kind."""

    action: Line | None = None
    alternatives: tuple[Line, ...] = ()
    angle: AngleText | None = None
    balance_angle: AngleText | None = None
    base: Line | None = None
    before: Line | None = None
    after: Line | None = None
    blocked_by: tuple[Id, ...] = ()
    cause: Line | None = None
    centre: Point | None = None
    chocks: Line | None = None
    count: Count | None = None
    cover: Line | None = None
    crate: Line | None = None
    direction: Line | None = None
    edge: Line | None = None
    expected: Line | None = None
    faces: Line | None = None
    faces_not: Line | None = None
    fit: Line | None = None
    found: Line | None = None
    freed_by: Line | None = None
    from_: Line | None = None
    to: Line | None = None
    grade: Line | None = None
    grip: Line | None = None
    heavy_side: Line | None = None
    hidden: Answer | None = None
    hole: Line | None = None
    hooks: Count | None = None
    item: Line | None = None
    joint: Id | None = None
    legs: Line | None = None
    length: LengthText | None = None
    listed_in: tuple[Id, ...] = ()
    litres_in: VolumeText | None = None
    litres_out: VolumeText | None = None
    mass: MassText | None = None
    marks: Line | None = None
    oil_out_first: Answer | None = None
    order_of: Line | None = None
    out_by: Line | None = None
    people: Count | None = None
    photo: Line | None = None
    position: Point | None = None
    preserve: Line | None = None
    put_in_by: Line | None = None
    put_in_on: Date | None = None
    rating: MassOrNone = None
    rating_from: Id | None = None
    release_tool: Line | None = None
    room: LengthText | None = None
    side: Line | None = None
    size: Line | None = None
    studs: Count | None = None
    surface: Line | None = None
    thread: Line | None = None
    together: tuple[Id, ...] = ()
    tool: Line | None = None
    trapped_in: Line | None = None
    travel: LengthText | None = None
    way_round: Line | None = None
    what_stores: Line | None = None
    where: Line | None = None


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
