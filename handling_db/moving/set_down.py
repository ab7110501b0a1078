"""What pallet, floor, way and carrier get: rating by spread, feet and areas, doors, and marks to put on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.demand import Demand, against_rating, compare
from handling_db.carrying.floor import FootFigure, area_load, foot_shares, point_loads
from handling_db.carrying.marks import HandlingMarks, handling_marks
from handling_db.carrying.pallets import Distribution, Gross, rated_for, stacking
from handling_db.carrying.way import Opening, along_the_way
from handling_db.mechanics.centre_patch import Patch
from handling_db.mechanics.tipping import Flat
from handling_db.moving.figures import FloorFigure, PalletFigure, WayFigure
from handling_db.moving.on_floor import TruckOnFloor, beside_floor
from handling_db.moving.trucks import kilograms, metres
from handling_db.quantities.notice import Notice, once
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.kinds.packing import Packing
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.workplace import Shop
from handling_db.records.parts.premises import Feet, FloorArea, Route
from handling_db.records.parts.three_valued import listed


def pallet_figure(
    collection: Collection, pallet: Pallet, load: Gross, packing: Packing | None
) -> PalletFigure:
    """A pallet beside what its boards carry, by the way the load is spread."""
    ratings: dict[Distribution, float | None] = {
        rating.spread: float(rating.rated.base) for rating in listed(pallet.ratings)
    }
    spread = packing.spread if packing else None
    rated = rated_for(load.without_pallet, ratings, spread)
    used = next((r for r in listed(pallet.ratings) if r.spread == rated.used), None)
    source = collection.sources.get(used.source or "") if used else None
    words = [text for text in (source.name if source else "", used.where or "" if used else "") if text]
    says = list(rated.cautions)
    if pallet.ratings == "none":
        says.insert(0, Notice("looked, no rating", {"name": pallet.name, "by": pallet.checked_by}))
    if pallet.remark:
        says.append(Notice("open", {"why": pallet.remark}))
    return PalletFigure(
        id=pallet.id,
        name=pallet.name,
        spread=spread or "not recorded",
        used=rated.used or "",
        beside=rated.beside,
        source="; ".join(words) or ("rating without a source" if used else "no rating recorded"),
        fork_entry=tuple(pallet.fork_entry),
        deck=pallet.deck or "",
        tie_down=pallet.tie_down or "",
        stacking=stacking(_stack_limit(packing)),
        says=once(says),
    )


def _stack_limit(packing: Packing | None) -> float | None:
    """What may stand on top, as whoever packed it stated; 0 for nothing, None where it is not stated. [kg]"""
    limit = packing.stack_limit if packing is not None else None
    if isinstance(limit, Quantity):
        return float(limit.base)
    return None if limit is None else 0.0


@dataclass(frozen=True, slots=True)
class OnFeet:
    """What it stands on: where the feet are, how large one is, and what stands on them. [m, m2, kg]"""

    spots: tuple[Flat, ...]
    area: float | None
    patch: Patch | None
    load: Demand


def feet_of(feet: Feet, patch: Patch | None, load: Demand) -> OnFeet:
    """Recorded feet of a pallet or stand with what stands on them, from their middle."""
    area = float(feet.length.base * feet.width.base) if feet.length and feet.width else None
    return OnFeet(tuple((float(x.base), float(y.base)) for x, y in feet.at), area, patch, load)


def feet_figures(on: OnFeet | None, limit: float | None) -> tuple[tuple[FootFigure, ...], tuple[Notice, ...]]:
    """Shares per foot of a pallet or stand with the centre off the middle, and what is to be said of them.

    Parameters
    ----------
    on : OnFeet or None
    limit : float or None
        The lowest limit per point of the floors on the way. [kg]
    """
    if on is None:
        return (), (Notice("no feet"),)
    if on.patch is None:
        return (), (Notice("feet without centre"),)
    half = on.patch.half_widths
    try:
        shares = foot_shares(on.spots, on.patch.at[:2], patch=half[:2])
        feet = point_loads(on.spots, shares, on.load, on.area)
    except MovingInputError as error:
        return (), (Notice("open", {"why": str(error)}),)
    worst = max(feet, key=lambda one: one.highest_kg or one.at_least_kg)
    word = compare(worst.at_least_kg, worst.highest_kg, limit)
    says = [] if limit is None else [Notice("heaviest foot", {"word": word})]
    return feet, (*says, *shares.cautions)


def floor_figure(
    floor: FloorArea,
    gross: Demand,
    footprint: tuple[float, float] | None,
    trucks: Sequence[TruckOnFloor] = (),
) -> FloorFigure:
    """One floor, lift, shelf or scale beside the gross on its footprint, and beside each truck with it."""
    compared = []
    says: list[Notice] = []
    per_area = None
    if footprint is None:
        says.append(Notice("no footprint"))
    else:
        per_area = area_load(
            gross,
            area=footprint[0] * footprint[1],
            limit=float(floor.limit.number) if floor.limit else None,
            limit_unit=floor.limit.unit if floor.limit else None,
            limit_name=floor.name,
        )
        compared.append(per_area.beside)
        says += per_area.cautions
    if floor.whole_limit is not None:
        whole = against_rating(gross, f"{floor.name}, as a whole", kilograms(floor.whole_limit))
        compared.append(whole)
        says += whole.cautions
    carried, more = beside_floor(floor, gross, trucks)
    compared += carried
    says += more
    if floor.limit is None and floor.whole_limit is None:
        says.insert(0, Notice("no limit", {"name": floor.name}))
    if floor.remark:
        says.insert(0, Notice("open", {"why": floor.remark}))
    limits = [
        str(floor.limit) if floor.limit else "",
        f"{floor.whole_limit} as a whole" if floor.whole_limit else "",
    ]
    limits.append(f"{floor.point_limit} per point" if floor.point_limit else "")
    return FloorFigure(
        id=floor.id,
        name=floor.name,
        limit=", ".join(text for text in limits if text) or "not recorded",
        stated_by=floor.stated_by or "",
        kg_per_m2=per_area.kg_per_m2 if per_area else None,
        kn_per_m2=per_area.kn_per_m2 if per_area else None,
        lb_per_ft2=per_area.lb_per_ft2 if per_area else None,
        at_least=gross.high_kg is None,
        beside=tuple(compared),
        says=once(says),
    )


def way_figure(
    shop: Shop, route: Route, size: tuple[float | None, float | None, float | None], carried_at: float | None
) -> WayFigure:
    """One route beside the size of what is carried. [m]"""
    doors = {door.id: door for door in shop.doors}
    openings = []
    for wanted in route.through:
        door = doors.get(wanted)
        if door is None:
            openings.append(Opening(name=f"{wanted} (not recorded)", width=None, height=None))
            continue
        openings.append(
            Opening(
                name=door.name,
                width=metres(door.width),
                height=metres(door.height),
                open_above=door.open_above == "yes",
                open_aside=door.open_aside == "yes",
            )
        )
    way = along_the_way(
        length=size[0],
        width=size[1],
        height=size[2],
        carried_at=carried_at,
        openings=openings,
        turning_room=route.turning_room,
    )
    return WayFigure(
        id=route.id,
        name=route.name,
        slope=None if route.slope is None else float(route.slope.base),
        turning_room=route.turning_room or "not recorded",
        straight=way.straight,
        turned=way.turned,
        passages=way.passages,
        narrowest=way.narrowest,
        lowest=way.lowest,
        says=(*((Notice("open", {"why": route.remark}),) if route.remark else ()), *way.cautions),
    )


def marks_for(packing: Packing | None, *, centre_known: bool) -> HandlingMarks:
    """The public handling marks that go with what is recorded of the packed piece."""
    marks = packing.marks if packing else None
    facts: dict[str, bool | None] = {"centre_known": centre_known}
    if marks is not None:
        for name in type(marks).model_fields:
            value = getattr(marks, name)
            facts[name] = None if value is None else value == "yes"
    if packing is not None and packing.slings_here is not None:
        facts["sling_places_known"] = True
    return handling_marks(facts, _stack_limit(packing))


def steepest(routes: Sequence[Route]) -> float | None:
    """The steepest recorded slope of some routes; None where none is recorded. [rad]"""
    found = [math.radians(float(route.slope.base)) for route in routes if route.slope is not None]
    return max(found) if found else None
