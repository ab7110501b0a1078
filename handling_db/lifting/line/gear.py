"""The gear of one lift by occurrence: every sling, link and beam, what it hangs from, what it weighs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from handling_db.lifting.extras import stated_amount
from handling_db.quantities.amount import Amount, StaticsError, total
from handling_db.records.collection import Collection
from handling_db.records.kinds.gear import SLINGS, Gear
from handling_db.records.kinds.lift_group import GearUsed, LiftGroup, Pick
from handling_db.records.parts.three_valued import listed
from handling_db.rigging.stack import HOOK, Hung, Stack

GIVEN_GEAR = "gear, a range given for this question"


@dataclass(frozen=True, slots=True)
class OnHook:
    """One occurrence of gear.

    Parameters
    ----------
    key : str
        Its own in the stack.
    id : str
        Of the record.
    gear : Gear or None
        None where no such record is there.
    points : tuple of str
        Pick points that its legs go to, or that it sits at; empty where it is in no leg.
    link : bool
        Between a leg and a point.
    mass : Amount or None
        Of this one. [kg]
    above_cell : bool
    used : GearUsed or None
        What the lift group lists it with; None where only a pick names it.
    """

    key: str
    id: str
    gear: Gear | None
    points: tuple[str, ...]
    link: bool
    mass: Amount | None
    above_cell: bool
    used: GearUsed | None

    @property
    def name(self) -> str:
        """As recorded, or that it is not."""
        return self.gear.name if self.gear is not None else f"{self.id} (no such gear is recorded)"


@dataclass(frozen=True, slots=True)
class Rigging:
    """Gear between hoist and piece.

    Parameters
    ----------
    pieces : tuple of OnHook
        One entry an occurrence.
    stack : Stack
        What hangs from what.
    contradiction : str
        Why the recorded order cannot be; then the stack is one without any order. Empty where it can.
    looked : bool
        Whether anybody wrote what gear is on the hook.
    zeroed : bool or None
        Whether the cell was zeroed with the gear on; None where nobody said.
    given : Amount or None
        What whoever asks gives for all gear below the cell that has no mass. [kg]
    """

    pieces: tuple[OnHook, ...]
    stack: Stack
    contradiction: str
    looked: bool
    zeroed: bool | None
    given: Amount | None = None

    @property
    def gaps(self) -> tuple[str, ...]:
        """What hangs below the cell and has no mass."""
        return tuple(name for name, mass in replace(self, given=None).below.items() if mass is None)

    @property
    def items(self) -> tuple[Gear, ...]:
        """The records, each once."""
        return tuple({piece.id: piece.gear for piece in self.pieces if piece.gear is not None}.values())

    @property
    def below(self) -> dict[str, Amount | None]:
        """What hangs below the cell, by name and how many: in the reading of a cell zeroed empty. [kg]"""
        named = _by_name([piece for piece in self.pieces if not piece.above_cell])
        named = named if self.looked else {**named, "gear on the hook (nobody looked)": None}
        if self.given is None:
            return named
        known = {name: mass for name, mass in named.items() if mass is not None}
        return {**known, GIVEN_GEAR: self.given}

    @property
    def above(self) -> dict[str, Amount | None]:
        """What hangs above the cell: on the hoist, in no reading. [kg]"""
        return _by_name([piece for piece in self.pieces if piece.above_cell])


def gear_below(gear: Rigging) -> Amount | None:
    """All gear below the cell; None where nothing of it is known. [kg]"""
    if any(gear.below.values()):
        return total(gear.below).amount
    return None if gear.below else Amount.exact(0.0)


def _by_name(pieces: Sequence[OnHook]) -> dict[str, Amount | None]:
    """Gear added up by record, under names of their own: two records with one name stay two."""
    alike: dict[str, list[OnHook]] = {}
    for piece in pieces:
        alike.setdefault(piece.id, []).append(piece)
    named: dict[str, Amount | None] = {}
    for code, group in alike.items():
        name = group[0].name if len(group) == 1 else f"{len(group)} x {group[0].name}"
        while name in named:
            name = f"{name} ({code})"
        masses = {piece.key: piece.mass for piece in group}
        # N times one figure is N times its doubt: no cancelling.
        named[name] = total(masses).amount if all(masses.values()) else None
    return named


def gear_mass(gear: Gear | None) -> Amount | None:
    """What one weighs by its record, half a step of rounding where no doubt is written. [kg]"""
    return None if gear is None else stated_amount(gear.own_mass, gear.plus_or_minus)


def slings_of(gear: Gear | None, points: Sequence[str], listed_count: int) -> list[tuple[str, ...]]:
    """The points of each sling of one record, in the order of the picks.

    Parameters
    ----------
    gear : Gear or None
    points : sequence of str
        Points that legs of it go to.
    listed_count : int
        How many the lift group lists; 0 where it lists none.

    Notes
    -----
    By the recorded number of legs; without one by how many are listed; else all legs are one sling's.
    """
    legs = int(gear.legs.number) if gear is not None and gear.legs is not None and gear.legs.number else 0
    if not legs:
        legs = math.ceil(len(points) / listed_count) if listed_count else len(points)
    return [tuple(points[i : i + legs]) for i in range(0, len(points), legs)]


def rigging(
    collection: Collection, group: LiftGroup, picks: Sequence[Pick], *, zeroed: bool | None = None
) -> Rigging:
    """The gear of a lift: what the picks used name, and what is listed besides.

    Parameters
    ----------
    collection : Collection
    group : LiftGroup
    picks : sequence of Pick
        Those used: as recorded, or as asked about.
    zeroed : bool, optional
        What a person says now about the zero of the cell; it goes before the record.
    """
    used = listed(group.gear)
    found: list[OnHook] = []
    hangs: dict[str, str | None] = {}  # key: key of what it hangs from, where a pick tells
    left = [_many(entry) for entry in used]

    def add(code: str, key: str, points: tuple[str, ...], link: bool, entry: GearUsed | None) -> str:
        while key in {piece.key for piece in found}:
            key += " again"
        found.append(_on_hook(collection, code, key, points, link, entry))
        return key

    def taken(code: str) -> GearUsed | None:
        """The entry that a pick's gear stands in: never one above the cell, where no leg is."""
        for i, entry in enumerate(used):
            if entry.gear == code and left[i] > 0 and entry.above_cell != "yes":
                left[i] -= 1
                return entry
        return None

    in_legs: dict[str, list[str]] = {}
    for pick in picks:
        if pick.sling is not None:
            in_legs.setdefault(pick.sling, []).append(pick.point)
    sling_at: dict[str, str] = {}
    for code, points in in_legs.items():
        slings = slings_of(collection.gear.get(code), points, listed_below(group, code))
        for number, own in enumerate(slings, start=1):
            key = code if len(slings) == 1 else f"{code}, {number} of {len(slings)}"
            key = add(code, key, own, False, taken(code))
            sling_at.update(dict.fromkeys(own, key))
    for pick in picks:
        over = sling_at.get(pick.point)
        for number, code in enumerate(pick.links, start=1):  # from the leg down to the point
            key = f"{code} at {pick.point}" + (f", {number}" if pick.links.count(code) > 1 else "")
            key = add(code, key, (pick.point,), True, taken(code))
            hangs[key] = over
            over = key
    for entry, many in zip(used, tuple(left), strict=True):  # what no pick names
        for number in range(1, many + 1):
            key = entry.gear if many == 1 else f"{entry.gear}, {number} of {many} besides"
            add(entry.gear, key, (), False, entry)
    stack, contradiction = _stack(found, hangs)
    if zeroed is None and group.zeroed_with_gear is not None:
        zeroed = group.zeroed_with_gear == "yes"
    return Rigging(tuple(found), stack, contradiction, group.gear is not None, zeroed)


def listed_below(group: LiftGroup, code: str) -> int:
    """How many of one item a lift lists below the cell."""
    return sum(_many(used) for used in listed(group.gear) if used.gear == code and used.above_cell != "yes")


def _many(entry: GearUsed) -> int:
    """How many are listed; part of one is one."""
    return math.ceil(entry.count.number or 1)


def _on_hook(
    collection: Collection, code: str, key: str, points: tuple[str, ...], link: bool, entry: GearUsed | None
) -> OnHook:
    gear = collection.gear.get(code)
    told = entry.above_cell if entry is not None else None
    # A cell is not in its own reading, unless somebody wrote that it is.
    above = told == "yes" or (told is None and gear is not None and gear.kind == "load cell")
    counted = entry is None or entry.count.number is not None
    return OnHook(key, code, gear, points, link, gear_mass(gear) if counted else None, above, entry)


def _stack(found: Sequence[OnHook], hangs: dict[str, str | None]) -> tuple[Stack, str]:
    keys: dict[str, list[str]] = {}
    for piece in found:
        keys.setdefault(piece.id, []).append(piece.key)
    hung = []
    for piece in found:
        on = hangs.get(piece.key)
        told = piece.used.hangs_from if piece.used is not None else None
        if on is None and told is not None:
            # Of several alike it is not told which: then its place is as good as not recorded.
            named = keys.get(told, [told]) if told != HOOK else [HOOK]
            on = named[0] if len(named) == 1 else None
        hung.append(
            Hung(
                key=piece.key,
                mass=piece.mass,
                on=on,
                above_cell=piece.above_cell,
                at_point=bool(piece.points),
            )
        )
    try:
        return Stack(hung), ""
    except StaticsError as error:
        # Taken as if nobody had written the order: then every piece may hang below every other one.
        return Stack([replace(item, on=None, above_cell=False) for item in hung]), str(error)


def joined(*parts: Mapping[str, Amount | None]) -> dict[str, Amount | None]:
    """Several lists of what hangs there as one: what goes by one name in two of them stays two."""
    found: dict[str, Amount | None] = {}
    for part in parts:
        for name, amount in part.items():
            while name in found:
                name += " (another)"
            found[name] = amount
    return found


def is_sling(gear: Gear | None) -> bool:
    """Whether its tag is one for legs."""
    return gear is not None and gear.kind in SLINGS
