"""What fixture is needed, who has one, what people used instead, and whether that was rated."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable

from handling_db.carrying.checks import PERSON_DECIDES, MovingInputError
from handling_db.carrying.demand import Demand, against_rating
from handling_db.carrying.floor import foot_shares
from handling_db.errors import HandlingError
from handling_db.lifting.extras import stated_amount
from handling_db.lifting.load.answer import group_mass
from handling_db.moving.load import BARE, component_load
from handling_db.moving.question import kind_of
from handling_db.moving.trucks import kilograms
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Facts, Notice
from handling_db.records.collection import Collection
from handling_db.records.in_hand import open_jobs
from handling_db.records.kinds.workplace import Fixture
from handling_db.shop.figures import FixtureAnswer, FixtureLine, InsteadLine

NEVER_OFFERED = Notice("never offered")
PAPERS = (
    ("drawing", "drawing"),
    ("material", "material"),
    ("design_checked_by", "design check"),
    ("proof_load", "proof load"),
    ("proof_on", "date of the proof"),
    ("inspection_due", "inspection date"),
)


def fixtures_answer(
    collection: Collection, what: str | None = None, *, as_of: datetime.date | None = None
) -> FixtureAnswer:
    """List the fixtures that one piece needs, or all of them.

    Parameters
    ----------
    collection : Collection
    what : str, optional
        Id of a component or a lift group; without one every fixture is listed.
    as_of : date, optional
        The day inspections are judged by.

    Raises
    ------
    UnknownNameError
        There is no such piece.
    """
    if what is None:
        lines = [
            fixture_line(collection, fixture, None, as_of)
            for _, fixture in sorted(collection.fixtures.items())
        ]
        return FixtureAnswer(
            "",
            "every fixture recorded",
            None,
            (),
            tuple(line for line in lines if line.offered),
            tuple(line for line in lines if not line.offered),
            (NEVER_OFFERED,),
            (PERSON_DECIDES,),
        )
    inside, name = _inside(collection, what)
    amount, missing = piece_mass(collection, what)
    demand = demand_of(name, amount, missing)
    needed, others = [], []
    for _, fixture in sorted(collection.fixtures.items()):
        wants = [need.component for need in fixture.needed_by if need.component in inside]
        if not wants:
            if set(fixture.only_for) & inside:
                others.append(fixture_line(collection, fixture, demand, as_of, inside))
            continue
        own = demand if what in wants or _top(collection, what) in wants else _own_demand(collection, wants)
        needed.append(fixture_line(collection, fixture, own, as_of, inside))
    says = [NEVER_OFFERED]
    if not needed:
        says.insert(0, Notice("no fixture", {"name": name}))
    if missing:
        says.insert(0, Notice("fixture at least", {"names": missing}))
    needed.sort(key=lambda line: (not line.offered, line.name))
    return FixtureAnswer(
        what,
        name,
        amount,
        missing,
        tuple(needed),
        tuple(others),
        tuple(says),
        (Notice("mass and rating only"), PERSON_DECIDES),
        open_jobs(collection, collection.lift_groups[what].root if what in collection.lift_groups else what),
    )


def _inside(collection: Collection, what: str) -> tuple[frozenset[str], str]:
    """Ids of everything in the piece, and its name."""
    if kind_of(collection, what) == "component":
        mass = component_load(collection, what, state="dry", build={}, goes_with=BARE).mass
        ids = {mass.ways.tree.component(occurrence.node) for occurrence in mass.ways.found}
        return frozenset(ids), collection.components[what].name
    group = collection.lift_groups[what]
    mass = group_mass(collection, group)
    ids = {
        mass.ways.tree.component(occurrence.node)
        for occurrence, side in zip(mass.ways.found, mass.sides, strict=True)
        if side.part > 0
    }
    return frozenset(ids | {mention.of[-1] for mention in group.takes}), group.name


def _top(collection: Collection, what: str) -> str:
    group = collection.lift_groups.get(what)
    return group.takes[0].of[-1] if group is not None and len(group.takes) == 1 else what


def piece_mass(collection: Collection, what: str) -> tuple[Amount | None, tuple[str, ...]]:
    """Mass of a piece without fluid, and the names of what has none. [kg]"""
    if kind_of(collection, what) == "component":
        mass = component_load(collection, what, state="dry", build={}, goes_with=BARE).mass
    else:
        mass = group_mass(collection, collection.lift_groups[what])
    return mass.pieces, mass.missing


def demand_of(name: str, amount: Amount | None, missing: tuple[str, ...]) -> Demand:
    """A piece as a demand: no upper figure while a part of it has no mass. [kg]"""
    if amount is None:
        return Demand(name=name, low_kg=None, high_kg=None, missing=missing or (name,))
    return Demand(name=name, low_kg=amount.low, high_kg=amount.high, missing=missing)


def _own_demand(collection: Collection, wants: Iterable[str]) -> Demand | None:
    """The heaviest of the components a fixture is needed for."""
    found: list[Demand] = []
    for code in wants:
        try:
            amount, missing = piece_mass(collection, code)
        except HandlingError:
            continue
        found.append(demand_of(collection.components[code].name, amount, missing))
    unknown = [demand for demand in found if demand.high_kg is None]
    if unknown:
        return unknown[0]
    return max(found, key=lambda demand: demand.high_kg or 0.0) if found else None


def fixture_line(
    collection: Collection,
    fixture: Fixture,
    demand: Demand | None,
    as_of: datetime.date | None,
    inside: frozenset[str] | None = None,
) -> FixtureLine:
    """One fixture with its papers, beside what it would carry."""
    standing = fixture.standing
    offered = standing == "rated"
    lacking: list[str] = []
    if fixture.shop_made == "yes":
        lacking = [word for name, word in PAPERS if getattr(fixture, name) is None]
        if fixture.rated_load is None:
            lacking.insert(0, "rated load")
    compared = None
    if demand is not None:
        rating = kilograms(fixture.rated_load) if offered else None
        compared = against_rating(demand, fixture.name, rating, Notice("as noted", {"told": demand.name}))
    outside = bool(fixture.only_for) and inside is not None and not (set(fixture.only_for) & inside)
    return FixtureLine(
        id=fixture.id,
        name=fixture.name,
        kind=fixture.kind,
        standing=standing,
        offered=offered and not outside,
        papers_missing=tuple(lacking),
        rated=str(fixture.rated_load) if fixture.rated_load else "not recorded",
        beside=compared,
        needed=tuple(
            (_name(collection, need.component), need.for_)
            for need in fixture.needed_by
            if inside is None or need.component in inside
        ),
        only_for=tuple(_name(collection, code) for code in fixture.only_for),
        fits="not for this piece: recorded only for others" if outside else "",
        faces=_faces(collection, fixture),
        overhang=str(fixture.overhang) if fixture.overhang else "not recorded",
        own_mass=str(fixture.own_mass) if fixture.own_mass else "not recorded",
        clearance=str(fixture.clearance) if fixture.clearance else "not recorded",
        has=tuple(shop.name for _, shop in sorted(collection.shops.items()) if fixture.id in shop.fixtures),
        instead=tuple(
            InsteadLine(
                what=used.what,
                shop=_shop(collection, used.shop),
                outcome=used.outcome or "",
                status="seen in use, no rating"
                if used.rated in (None, "none")
                else f"rated {used.rated} by who wrote it down",
            )
            for used in fixture.used_instead
        ),
        inspection=fixture.inspection_due.isoformat() if fixture.inspection_due else "not recorded",
        past=as_of is not None and fixture.inspection_due is not None and fixture.inspection_due < as_of,
        papers=tuple(
            (word, str(getattr(fixture, name))) for name, word in PAPERS if getattr(fixture, name) is not None
        ),
        floor=_floor(fixture, demand),
        remark=fixture.remark or "",
    )


def _faces(collection: Collection, fixture: Fixture) -> str:
    takes = [f"{face.face} of {_name(collection, face.component)}" for face in fixture.takes]
    return "; ".join([*([fixture.faces] if fixture.faces else []), *takes]) or "not recorded"


def _floor(fixture: Fixture, demand: Demand | None) -> Notice:
    """What one foot puts on the floor at most, the load anywhere within the recorded overhang."""
    feet = fixture.feet
    if feet is None:
        return Notice("fixture feet not recorded")
    size = f", each {feet.length} x {feet.width}" if feet.length and feet.width else ""
    facts: Facts = {"told": f"{len(feet.at)} feet{size}"}
    own = stated_amount(fixture.own_mass, None)
    if demand is None or demand.high_kg is None or own is None or own.high is None:
        return Notice("fixture feet without mass", facts)
    reach = float(fixture.overhang.base) if fixture.overhang else 0.0
    spots = [(float(x.base), float(y.base)) for x, y in feet.at]
    middle = tuple(math.fsum(spot[axis] for spot in spots) / len(spots) for axis in (0, 1))
    try:
        shares = foot_shares(spots, (middle[0], middle[1]), patch=(reach, reach))
    except MovingInputError as error:
        return Notice("fixture feet open", {**facts, "why": str(error)})
    most = max(shares.highest) * (demand.high_kg + own.high)
    where = (
        f"up to {fixture.overhang} off the middle"
        if fixture.overhang
        else "at the middle, overhang not recorded"
    )
    return Notice("fixture foot", {**facts, "most_kg": most, "where": where})


def _name(collection: Collection, code: str) -> str:
    component = collection.components.get(code)
    return component.name if component else code


def _shop(collection: Collection, code: str | None) -> str:
    shop = collection.shops.get(code or "")
    return shop.name if shop else code or "shop not recorded"
