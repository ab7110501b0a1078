"""By hand: which pieces on the way lie above the shop's limit, and the revised NIOSH index of one piece."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.carrying.checks import KG_PER_LB, given
from handling_db.carrying.hands import HandLine, hand_limit, in_scope_of_iso_11228_1
from handling_db.carrying.lifting_equation import HandReach, lifting_index
from handling_db.carrying.lifting_job import LiftTask, composite_index
from handling_db.lifting.load.answer import group_mass
from handling_db.moving.load import BARE, component_load
from handling_db.moving.question import kind_of, wanted
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.in_hand import open_jobs
from handling_db.records.kinds.workplace import Shop
from handling_db.shop.figures import HandsAnswer, IndexAnswer, JobFigure


def hands_answer(collection: Collection, what: str, *, shop: str | None = None) -> HandsAnswer:
    """Put every piece below a component or in a lift group beside a shop's own limit.

    Each piece counts by itself, once however many there are of it; what nobody weighed stays in the list.

    Parameters
    ----------
    collection : Collection
    what : str
        Id of a component or a lift group.
    shop : str, optional
        Id; without one, the only shop recorded, else no limit.

    Raises
    ------
    UnknownNameError
        There is no such piece or shop.
    """
    kind = kind_of(collection, what)
    place: Shop | None = wanted(collection, "shop", shop)
    if place is None and shop is None and len(collection.shops) == 1:
        place = next(iter(collection.shops.values()))
    mass = (
        group_mass(collection, collection.lift_groups[what])
        if kind == "lift group"
        else component_load(collection, what, state="dry", build={}, goes_with=BARE).mass
    )
    each: dict[str, tuple[str, Amount | None]] = {}
    counts: dict[str, float] = {}
    for carried in mass.carried:
        counts[carried.id] = counts.get(carried.id, 0.0) + float(carried.pieces)
        load = None
        if carried.mass is not None and carried.pieces > 0:
            low, best, high = (
                float(value / carried.pieces)
                for value in (carried.mass.low, carried.mass.best, carried.mass.high)
            )
            load = Amount(low, best, high if carried.mass.complete else None)
        each.setdefault(carried.id, (carried.name, load))
    limit = float(place.hand_limit.base) if place and place.hand_limit else None
    lines = [
        HandLine(code, piece, f"{counts[code]:g}", load, notes=_notes(collection, code))
        for code, (piece, load) in each.items()
    ]
    compared = hand_limit(
        lines,
        limit_kg=limit,
        rule=place.hand_rule if place else None,
        call=place.who_to_call if place else None,
    )
    name = collection.lift_groups[what].name if kind == "lift group" else collection.components[what].name
    return HandsAnswer(
        id=what,
        name=name,
        shop=place.id if place else "",
        shop_name=place.name if place else "",
        limit_kg=limit,
        limit=str(place.hand_limit) if place and place.hand_limit else "not stated",
        rule=compared.rule,
        rules=place.rules if place else (),
        who_to_call=place.who_to_call or "not recorded" if place else "not recorded",
        above=compared.above,
        may_be_above=compared.may_be_above,
        not_known=compared.not_known,
        below=compared.below,
        cautions=compared.cautions,
        jobs=open_jobs(collection, mass.group.root),
    )


def _notes(collection: Collection, code: str) -> tuple[str, ...]:
    """What people wrote about having it in the hands."""
    return tuple(
        note.text
        for _, note in sorted(collection.notes.items())
        if note.kind == "hand" and note.about.component == code and note.status != "withdrawn"
    )


def index_answer(
    collection: Collection, code: str, reach: HandReach, others: Sequence[str] = ()
) -> IndexAnswer:
    """The recommended limit and the index of one piece at one end of one lift.

    Parameters
    ----------
    collection : Collection
    code : str
        Component id; its heaviest believable dry mass is the load.
    reach : HandReach
    others : sequence of str
        Ids of other pieces in the same job, each lifted the same way and as often.

    Raises
    ------
    MovingInputError
        A figure of the geometry is missing or cannot be one.
    UnknownNameError
        There is no such component.
    """
    component = wanted(collection, "component", code)
    load_kg = _heaviest(collection, code)
    in_unit = 1.0 if reach.units == "metric" else 1.0 / KG_PER_LB
    load = None if load_kg is None else load_kg * in_unit
    # Without a mass the limit still says something; the index does not, and is left out.
    found = lifting_index(1.0 if load is None else load, reach)
    remark = found.remark if load is not None else Notice("no index", {"name": component.name})
    return IndexAnswer(
        id=code,
        name=component.name,
        units=reach.units,
        load_kg=load_kg,
        load=load,
        limit=found.weight_limit,
        index=found.index if load is not None else None,
        multipliers=found.multipliers,
        remark=remark,
        cautions=(*_scope(load_kg), *found.cautions),
        job=_job(collection, (code, *others), reach, found.without_frequency, in_unit) if others else None,
    )


def _heaviest(collection: Collection, code: str) -> float | None:
    """The heaviest believable dry mass of a component; None where there is none. [kg]"""
    load = component_load(collection, code, state="dry", build={}, goes_with=BARE)
    pieces = load.mass.pieces
    return None if pieces is None else pieces.high


def _scope(load_kg: float | None) -> tuple[Notice, ...]:
    if load_kg is None or load_kg <= 0.0 or in_scope_of_iso_11228_1(load_kg):
        return ()
    return (Notice("under 3 kg"),)


def _job(
    collection: Collection, codes: Sequence[str], reach: HandReach, without_frequency: float, in_unit: float
) -> JobFigure:
    """Several pieces in one job, each lifted the same way and as often."""
    names = [wanted(collection, "component", code).name for code in codes]
    loads = [_heaviest(collection, code) for code in codes]
    unknown = [name for name, load in zip(names, loads, strict=True) if load is None]
    if unknown:
        remark = Notice("no index of the job", {"names": tuple(unknown)})
        return JobFigure(tuple((name, None) for name in names), None, remark)
    tasks = [
        LiftTask(
            name=f"{name} ({code})",
            load=(load or 0.0) * in_unit,
            load_most=(load or 0.0) * in_unit,
            without_frequency=without_frequency,
            per_minute=given("lifts per minute", reach.per_minute, "lifts of each piece per minute"),
            vertical_at_origin=given("the height of the hands", reach.vertical, "V", zero=True)
            if reach.vertical_at_origin is None
            else reach.vertical_at_origin,
        )
        for name, code, load in zip(names, codes, loads, strict=True)
    ]
    found = composite_index(tasks, duration=reach.duration, units=reach.units)
    pieces = tuple(zip(found.order, found.single_index, strict=True))
    return JobFigure(pieces, found.index, found.remark)
