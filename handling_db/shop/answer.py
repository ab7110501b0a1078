"""Can this shop do it? Every mover, gear and fixture it has beside one lift and move, and what it lacks."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from handling_db.carrying.checks import PERSON_DECIDES, PLATE_GOVERNS
from handling_db.carrying.demand import Demand, against_rating, with_allowance
from handling_db.moving.answer import move_answer
from handling_db.moving.question import MoveQuestion, MoveRecords, wanted
from handling_db.moving.trucks import TRUCKS, kilograms
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Facts, Notice, once
from handling_db.records.collection import Collection
from handling_db.records.kinds.gear import Gear
from handling_db.records.kinds.lift_group import GearUsed, LiftGroup
from handling_db.records.kinds.workplace import Mover, Shop
from handling_db.records.parts.three_valued import listed
from handling_db.shop.figures import DemandLine, GearLine, MoverLine, ShopAnswer
from handling_db.shop.fixtures import fixtures_answer
from handling_db.shop.hook_demand import demands_of

NOT_LOOKED_AT = Notice("ratings and masses only")


def shop_answer(
    collection: Collection,
    what: str,
    shop: str,
    *,
    other: str | None = None,
    as_of: datetime.date | None = None,
) -> ShopAnswer:
    """Put a lift and a move beside everything a shop has.

    Parameters
    ----------
    collection : Collection
    what : str
        Id of a lift group or a component.
    shop : str
        Id of the shop that asks.
    other : str, optional
        Shop that had it before; without one, the shop of the lift group's own mover, if it is another.
    as_of : date, optional
        The day inspections are judged by.

    Returns
    -------
    ShopAnswer
        Figures and what is missing; it is no answer to "may we".

    Raises
    ------
    UnknownNameError
        There is no such piece or shop.
    """
    place: Shop = wanted(collection, "shop", shop)
    question = MoveQuestion(what=what, shop=shop)
    here = MoveRecords(collection, question)
    group = collection.lift_groups.get(what)
    demands, not_known = demands_of(collection, here, group)
    share = float(place.break_loose.share) if place.break_loose else None
    if share is None:
        not_known.append(Notice("no allowance", {"name": place.name}))
    movers = [collection.movers[code] for code in place.movers if code in collection.movers]
    lines = tuple(
        _mover_line(mover, demands, place, as_of)
        for mover in movers
        if mover.kind not in (*TRUCKS, "hands", "skates")
    )
    move = move_answer(collection, question, as_of=as_of)
    fixtures = fixtures_answer(collection, what, as_of=as_of)
    gear = gear_lines(collection, group, place)
    before = _before(collection, group, place, other)
    lacks = [
        Notice("lacks gear", {"wanted": line.wanted, "words": line.words}) for line in gear if not line.here
    ]
    lacks += [
        Notice("lacks fixture", {"name": line.name, "act": line.needed[0][1] if line.needed else "this"})
        for line in fixtures.needed
        if place.name not in line.has
    ]
    if before is not None:
        lacks += _less_than(collection, place, before, demands[0].load)
    if not place.scales:
        not_known.append(Notice("no scale", {"name": place.name}))
    complete = demands[0].load.high is not None
    return ShopAnswer(
        id=place.id,
        name=place.name,
        what=what,
        what_name=here.load.name,
        kind=here.load.kind,
        first=Notice("shop beside it" if complete else "shop at least"),
        demands=tuple(demands),
        movers=lines,
        trucks=move.trucks,
        gear=gear,
        fixtures=fixtures.needed,
        floors=move.floors,
        ways=move.ways,
        scales=tuple(_scale_words(collection, code) for code in place.scales),
        lacks=once(lacks),
        other=before.name if before else "",
        rules=place.rules,
        who_to_call=place.who_to_call or "not recorded",
        not_known=once((*not_known, *move.not_known)),
        cautions=(NOT_LOOKED_AT, PLATE_GOVERNS, PERSON_DECIDES),
        jobs=move.jobs,
    )


def _mover_line(
    mover: Mover, demands: Sequence[DemandLine], place: Shop, as_of: datetime.date | None
) -> MoverLine:
    share = float(place.break_loose.share) if place.break_loose else None
    rating = kilograms(mover.rated)
    compared = []
    for line in demands:
        high = line.load.best if line.printed else line.load.high
        demand = Demand(name=line.name, low_kg=min(line.load.low, high or line.load.low), high_kg=high)
        compared.append(against_rating(demand, line.name, rating, line.words))
        if share is not None:
            loose = with_allowance(demand, share, "breaking loose")
            compared.append(against_rating(loose, loose.name, rating, line.words))
    not_recorded = [
        word
        for word, value in (
            ("rated capacity", mover.rated),
            ("highest hook", mover.hook_height),
            ("inspection date", mover.inspection_due),
            ("load cell", mover.load_cell),
        )
        if value is None
    ]
    return MoverLine(
        id=mover.id,
        name=mover.name,
        kind=mover.kind,
        rating=" ".join(
            text for text in (str(mover.rated or "not recorded"), mover.rated_note or "") if text
        ),
        beside=tuple(compared),
        not_recorded=tuple(not_recorded),
        planning=_planning(place, demands[0].load.high, rating),
        inspection=mover.inspection_due.isoformat() if mover.inspection_due else "not recorded",
        past=as_of is not None and mover.inspection_due is not None and mover.inspection_due < as_of,
    )


def _planning(place: Shop, high: float | None, rating: float | None) -> Notice:
    """The part of a rating up to which the shop plans, and where this load lies."""
    if place.planning is None:
        return Notice("no planning")
    if rating is None:
        return Notice("planning without rating", {"share": str(place.planning)})
    limit = float(place.planning.share) * rating
    where = "where this load lies is not known"
    if high is not None:
        where = f"this load is {'' if high > limit else 'not '}above that"
    return Notice("planning", {"share": str(place.planning), "limit_kg": limit, "where": where})


def gear_lines(collection: Collection, group: LiftGroup | None, place: Shop) -> tuple[GearLine, ...]:
    """Gear the lift uses, and what of the same kind the shop is recorded to have."""
    used: Sequence[GearUsed] = listed(group.gear) if group is not None else ()
    own = [
        gear for _, gear in sorted(collection.gear.items()) if gear.id in place.gear or gear.shop == place.id
    ]
    found = []
    for one in used:
        gear = collection.gear.get(one.gear)
        kind = gear.kind if gear else "other"
        same = [item for item in own if item.id == one.gear]
        alike = [item for item in own if item.kind == kind and item.id != one.gear]
        here = tuple(_gear_words(item) for item in (*same, *alike))
        if same:
            words = "this shop has it"
        elif alike:
            words = f"not this one; other gear of kind {kind} is recorded here: read its tag"
        else:
            words = f"no {kind} is recorded at {place.name}: nobody wrote any, or there is none"
        name = gear.name if gear else one.gear
        found.append(GearLine(f"{one.count} x {name}", name, kind, str(one.count), here, words))
    return tuple(found)


def _gear_words(gear: Gear) -> str:
    ratings = ", ".join(
        " ".join(
            text
            for text in (
                str(row.rated),
                f"on {row.legs} legs" if row.legs else "",
                f"up to {row.up_to}" if row.up_to else "",
            )
            if text
        )
        for row in listed(gear.tag)
    )
    return f"{gear.name}: {ratings or 'no rating on a tag recorded'}"


def _before(collection: Collection, group: LiftGroup | None, place: Shop, other: str | None) -> Shop | None:
    if other is not None:
        found: Shop = wanted(collection, "shop", other)
        return found
    mover = collection.movers.get(group.mover or "") if group else None
    shop = collection.shops.get(mover.shop or "") if mover else None
    return shop if shop is not None and shop.id != place.id else None


def _less_than(collection: Collection, place: Shop, before: Shop, load: Amount) -> list[Notice]:
    """What the shop before had and this one is not recorded to have."""
    says: list[Notice] = []

    def largest(shop: Shop, trucks: bool) -> Mover | None:
        movers = [collection.movers[code] for code in shop.movers if code in collection.movers]
        fitting = [m for m in movers if (m.kind in TRUCKS) == trucks and m.rated is not None]
        return max(fitting, key=lambda mover: kilograms(mover.rated) or 0.0) if fitting else None

    for trucks, word in ((False, "hook"), (True, "truck")):
        here, there = largest(place, trucks), largest(before, trucks)
        if there is None:
            continue
        facts: Facts = {"word": word, "shop": before.name, "there": str(there.rated)}
        if here is None:
            says.append(Notice("lacks a rated one", {**facts, "name": there.name}))
        elif (kilograms(here.rated) or 0.0) < (kilograms(there.rated) or 0.0):
            says.append(Notice("rated for less", {**facts, "here": str(here.rated)}))
    for code in before.fixtures:
        fixture = collection.fixtures.get(code)
        if fixture is not None and code not in place.fixtures:
            facts = {"name": fixture.name, "shop": before.name, "standing": fixture.standing}
            says.append(Notice("had a fixture", facts))
    cells = [
        mover
        for code in place.movers
        if (mover := collection.movers.get(code)) is not None and mover.load_cell is not None
    ]
    if not cells and any(m.load_cell for c in before.movers if (m := collection.movers.get(c))):
        says.append(Notice("had a cell", {"shop": before.name}))
    if load.high is None:
        says.append(Notice("lacks a weight"))
    return says


def _scale_words(collection: Collection, code: str) -> str:
    source = collection.sources.get(code)
    return source.name if source else code
