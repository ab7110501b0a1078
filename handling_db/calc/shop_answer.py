"""Can this shop do it? Every mover, gear and fixture it has beside one lift and move, and what it lacks."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence

from handling_db.calc.amounts import Amount
from handling_db.calc.answering import statement_figure
from handling_db.calc.build import build_of
from handling_db.calc.demand import Demand, against_rating, with_allowance
from handling_db.calc.fixtures_answer import fixtures_answer
from handling_db.calc.judging import Judge
from handling_db.calc.lift_mass import GroupMass
from handling_db.calc.move_answer import MoveQuestion, move_answer
from handling_db.calc.move_load import stated_amount
from handling_db.calc.move_question import Gathered, wanted
from handling_db.calc.moving import PERSON_DECIDES, PLATE_GOVERNS
from handling_db.calc.totals import Totals
from handling_db.calc.trucks import TRUCKS, beside, kilograms
from handling_db.lift_answers import Load
from handling_db.records.collection import Collection
from handling_db.records.fields import Count
from handling_db.records.gear import Gear
from handling_db.records.lift_group import GearUsed, LiftGroup
from handling_db.records.three_valued import listed
from handling_db.records.workplace import Mover, Shop
from handling_db.shop_answers import DemandLine, GearLine, MoverLine, ShopAnswer

NOT_LOOKED_AT = "Only ratings and masses are compared: not reach, height, angle, floor or condition."


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
    here = Gathered(collection, question)
    group = collection.lift_groups.get(what)
    demands, not_known = _demands(collection, here, group)
    share = float(place.break_loose.share) if place.break_loose else None
    if share is None:
        not_known.append(f"{place.name} records no break-loose allowance: none is added.")
    movers = [collection.movers[code] for code in place.movers if code in collection.movers]
    lines = tuple(
        _mover_line(mover, demands, place, as_of)
        for mover in movers
        if mover.kind not in (*TRUCKS, "hands", "skates")
    )
    move = move_answer(collection, question, as_of=as_of)
    fixtures = fixtures_answer(collection, what, as_of=as_of)
    gear = _gear_lines(collection, group, place)
    before = _before(collection, group, place, other)
    lacks = [f"{line.wanted}: {line.words}" for line in gear if not line.here]
    lacks += [
        f"{line.name}: needed for {line.needed[0][1] if line.needed else 'this'}, not recorded here"
        for line in fixtures.needed
        if place.name not in line.has
    ]
    if before is not None:
        lacks += _less_than(collection, place, before, demands[0].load)
    if not place.scales:
        not_known.append(f"No scale is recorded for {place.name}.")
    complete = demands[0].load.high is not None
    return ShopAnswer(
        id=place.id,
        name=place.name,
        what=what,
        what_name=here.load.name,
        kind=here.load.kind,
        first="Every figure beside what is recorded of the shop; the plates and tags govern."
        if complete
        else "AT LEAST: a mass is missing, so there is no upper figure. Weigh before anything is planned.",
        demands=tuple(demands),
        movers=lines,
        trucks=move.trucks,
        gear=gear,
        fixtures=fixtures.needed,
        floors=move.floors,
        ways=move.ways,
        scales=tuple(_scale_words(collection, code) for code in place.scales),
        lacks=tuple(dict.fromkeys(lacks)),
        other=before.name if before else "",
        rules=place.rules,
        who_to_call=place.who_to_call or "not recorded",
        not_known=tuple(dict.fromkeys((*not_known, *move.not_known))),
        cautions=(NOT_LOOKED_AT, PLATE_GOVERNS, PERSON_DECIDES),
    )


def _demands(
    collection: Collection, here: Gathered, group: LiftGroup | None
) -> tuple[list[DemandLine], list[str]]:
    """What hangs below the hook: with every doubt, with fluid and rigging at best, and by printed figures."""
    pieces = here.load.mass.pieces
    missing = [*(here.load.mass.missing if pieces is None or pieces.high is None else ())]
    beyond: list[Amount] = []
    words = []
    for item in here.load.inside:
        if item.kind != "fluid":
            continue
        if item.amount is None:
            missing.append(item.name)
        else:
            beyond.append(item.amount)
            words.append(item.name)
    rigging, gear_missing = rigging_of(collection, group)
    missing += gear_missing
    if rigging is not None:
        beyond.append(rigging)
        words.append(f"rigging {rigging.best:.1f} kg")
    not_known = [f"No mass: {name}." for name in missing]
    base = pieces or Amount(0.0, 0.0, None)
    sure = not missing and base.high is not None and all(amount.high is not None for amount in beyond)
    low = base.low + math.fsum(amount.low for amount in beyond)
    best = base.best + math.fsum(amount.best for amount in beyond)
    with_it = f"piece with {', '.join(words)}" if words else "piece alone"
    high = math.fsum([base.high or 0.0, *(amount.high or 0.0 for amount in beyond)]) if sure else None
    found = [DemandLine("on the hook, every doubt counted", Load(low, best, high), with_it)]
    if sure:
        settled = math.fsum(amount.best for amount in beyond)
        line = Load(base.low + settled, best, (base.high or 0.0) + settled)
        found.append(DemandLine("on the hook, fluid and rigging at their best figures", line, with_it))
    found += _printed(collection, here.load.mass, group, rigging)
    return found, not_known


def rigging_of(collection: Collection, group: LiftGroup | None) -> tuple[Amount | None, tuple[str, ...]]:
    """Gear of a lift group below the cell, and the names of what has no mass. [kg]"""
    if group is None:
        return None, ("rigging (a component names none; ask for a lift group)",)
    if group.gear is None:
        return None, ("rigging (nobody looked)",)
    amounts: list[Amount] = []
    missing: list[str] = []
    for used in listed(group.gear):
        gear = collection.gear.get(used.gear)
        amount = stated_amount(gear.own_mass, gear.plus_or_minus) if gear else None
        if amount is None or amount.high is None:
            missing.append(f"rigging: {gear.name if gear else used.gear}")
            continue
        if used.above_cell == "yes":
            continue
        many = _count(used.count)
        amounts.append(Amount(amount.low * many, amount.best * many, amount.high * many))
    if not amounts:
        return (Amount.exact(0.0) if group.gear == "none" else None), tuple(missing)
    low, best, high = (
        math.fsum(values) for values in zip(*((a.low, a.best, a.high or 0.0) for a in amounts), strict=True)
    )
    return Amount(low, best, high), tuple(missing)


def _count(count: Count) -> float:
    return float(count.number or 1)


def _printed(
    collection: Collection, mass: GroupMass, group: LiftGroup | None, rigging: Amount | None
) -> list[DemandLine]:
    """The same by every printed figure of the whole that is taken; fluid is not in a dry figure."""
    takes = group.takes if group is not None else ()
    code = takes[0].of[-1] if len(takes) == 1 else (group.root if group else mass.group.root)
    component = collection.components.get(code)
    if component is None or not component.parts or len(takes) > 1:
        return []
    judge = Judge(collection)
    node = judge.tree.start[(code, build_of(component))]
    totals: Totals = judge.totals("dry")
    left = group.leaves if group is not None else ()
    found = []
    for witness in totals.witnesses_at(node):
        figure = statement_figure(judge, witness)
        if not figure.verdict:
            continue
        best, low, high = (float(value) for value in (figure.best, figure.low, figure.high))
        more = rigging.best if rigging else 0.0
        parts = [f"{figure.printed} in {figure.source_name}, {figure.state}"]
        parts.append(f"rigging {more:.1f} kg" if rigging else "rigging not counted")
        parts.append("fluid not counted")
        if left:
            parts.append(f"it speaks of the whole {component.name}, not of what hangs here")
        parts.append(f"the figure {figure.verdict}")
        found.append(
            DemandLine(
                f"by the printed figure {figure.printed}",
                Load(low + more, best + more, high + more),
                "; ".join(parts),
                printed=True,
            )
        )
    return found


def _mover_line(
    mover: Mover, demands: Sequence[DemandLine], place: Shop, as_of: datetime.date | None
) -> MoverLine:
    share = float(place.break_loose.share) if place.break_loose else None
    rating = kilograms(mover.rated)
    compared = []
    for line in demands:
        high = line.load.best if line.printed else line.load.high
        demand = Demand(name=line.name, low_kg=min(line.load.low, high or line.load.low), high_kg=high)
        compared.append(beside(against_rating(demand, line.name, rating, line.words)))
        if share is not None:
            loose = with_allowance(demand, share, "breaking loose")
            compared.append(beside(against_rating(loose, loose.name, rating, line.words)))
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


def _planning(place: Shop, high: float | None, rating: float | None) -> str:
    """The part of a rating up to which the shop plans, and where this load lies."""
    if place.planning is None:
        return "no planning threshold is recorded"
    if rating is None:
        return f"the shop plans up to {place.planning} of a rating; none is recorded here"
    limit = float(place.planning.share) * rating
    if high is None:
        where = "where this load lies is not known"
    else:
        where = "this load is above that" if high > limit else "this load is not above that"
    return f"the shop plans up to {place.planning} of the rating, {limit:.0f} kg: {where}"


def _gear_lines(collection: Collection, group: LiftGroup | None, place: Shop) -> tuple[GearLine, ...]:
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


def _less_than(collection: Collection, place: Shop, before: Shop, load: Load) -> list[str]:
    """What the shop before had and this one is not recorded to have."""
    says = []

    def largest(shop: Shop, trucks: bool) -> Mover | None:
        movers = [collection.movers[code] for code in shop.movers if code in collection.movers]
        fitting = [m for m in movers if (m.kind in TRUCKS) == trucks and m.rated is not None]
        return max(fitting, key=lambda mover: kilograms(mover.rated) or 0.0) if fitting else None

    for trucks, word in ((False, "hook"), (True, "truck")):
        here, there = largest(place, trucks), largest(before, trucks)
        if there is None:
            continue
        if here is None:
            says.append(
                f"{word}: {before.name} had {there.name} ({there.rated}); none with a rating is recorded here"
            )
        elif (kilograms(here.rated) or 0.0) < (kilograms(there.rated) or 0.0):
            says.append(f"{word}: {here.rated} here, {there.rated} at {before.name}")
    for code in before.fixtures:
        fixture = collection.fixtures.get(code)
        if fixture is not None and code not in place.fixtures:
            says.append(f"{fixture.name}: {before.name} had one ({fixture.standing}); not recorded here")
    cells = [
        mover
        for code in place.movers
        if (mover := collection.movers.get(code)) is not None and mover.load_cell is not None
    ]
    if not cells and any(m.load_cell for c in before.movers if (m := collection.movers.get(c))):
        says.append(
            f"load cell on the hook: {before.name} had one; none is recorded here, so no reading to stop at"
        )
    if load.high is None:
        says.append("a weight: part of it has no mass, so no rating can be said to be enough")
    return says


def _scale_words(collection: Collection, code: str) -> str:
    source = collection.sources.get(code)
    return source.name if source else code
