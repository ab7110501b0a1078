"""Pallets, packing, plates, floors and ways: what points at nothing, contradicts itself, is out of date."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from handling_db.checker.evidence import At, Evidence, FieldAt, nothing_there
from handling_db.checker.named import named, nothing_goes_by
from handling_db.checker.rules.dates import passed
from handling_db.findings import Finding
from handling_db.records.kinds.workplace import Mover
from handling_db.records.parts.three_valued import listed

NAMED = {
    "pallet": "shop = shop; ratings.*.source = source",
    "packing": "for lift groups.* = lift group; for components.* = component; pallet = pallet; "
    "weighed.source = source",
    "shop": "gear.* = gear; pallets.* = pallet",
    "fixture": "takes.*.component = component",
}

REFERENCE = "move-reference"
_SPREADS = ("any", "even", "full surface")


def move_reference(evidence: Evidence) -> Iterator[Finding]:
    """An id in a pallet, packing, fixture or shop that nothing goes by."""
    yield from nothing_goes_by(evidence, REFERENCE, named(evidence, NAMED))
    yield from _inside_a_shop(evidence)
    yield from _faces(evidence)


def _inside_a_shop(evidence: Evidence) -> Iterator[Finding]:
    """Doors and floors that a route names and its shop does not have."""
    for code, shop in sorted(evidence.collection.shops.items()):
        doors, floors = {door.id for door in shop.doors}, {floor.id for floor in shop.floors}
        for i, route in enumerate(shop.routes):
            for field, target, ids, known in (
                ("through", "door", route.through, doors),
                ("over", "floor", route.over, floors),
            ):
                for j, wanted in enumerate(ids):
                    if wanted not in known:
                        at = ("shop", code, ("routes", i, field, j))
                        yield nothing_there(evidence, REFERENCE, at, f"{target} of this shop", wanted)


def _faces(evidence: Evidence) -> Iterator[Finding]:
    """Set-down faces that a fixture takes, or a packing stands on, and nobody described."""
    components = evidence.collection.components
    every = {face.id for component in components.values() for face in listed(component.set_down_faces)}
    for code, fixture in sorted(evidence.collection.fixtures.items()):
        for i, takes in enumerate(fixture.takes):
            component = components.get(takes.component)
            if component is None:
                continue
            if takes.face not in {face.id for face in listed(component.set_down_faces)}:
                what = f"set-down face of {component.name}"
                at: FieldAt = ("fixture", code, ("takes", i, "face"))
                yield nothing_there(evidence, REFERENCE, at, what, takes.face)
    for code, packing in sorted(evidence.collection.packings.items()):
        if packing.face is not None and packing.face not in every:
            at = ("packing", code, ("face",))
            yield nothing_there(evidence, REFERENCE, at, "set-down face", packing.face)


def plate_rows(evidence: Evidence) -> Iterator[Finding]:
    """Rows of a data plate that contradict the rating, or each other."""
    for code, mover in sorted(evidence.collection.movers.items()):
        yield from _above_rated(evidence, code, mover)
        yield from _grows(evidence, code, mover)


def _row(evidence: Evidence, code: str, index: int) -> At:
    return evidence.at("mover", code, "plate", index, "capacity")


def _above_rated(evidence: Evidence, code: str, mover: Mover) -> Iterator[Finding]:
    for i, row in enumerate(mover.plate):
        if mover.rated is not None and row.capacity.base > mover.rated.base:
            yield _row(evidence, code, i).disagrees(
                "plate-row",
                f"{mover.name}: the plate row at {row.load_centre} says {row.capacity}, more than the rated "
                f"{mover.rated};",
                "read the plate again and correct one of the two.",
            )


def _grows(evidence: Evidence, code: str, mover: Mover) -> Iterator[Finding]:
    """A row farther out, or higher, that says more than one nearer and lower with the same attachment."""
    for i, row in enumerate(mover.plate):
        for other in mover.plate:
            if other is row or other.attachment != row.attachment:
                continue
            farther = row.load_centre.base >= other.load_centre.base
            if (row.height is None) != (other.height is None):
                continue
            higher = row.height is None or (other.height is not None and row.height.base >= other.height.base)
            if farther and higher and row.capacity.base > other.capacity.base:
                yield _row(evidence, code, i).disagrees(
                    "plate-row",
                    f"{mover.name}: the plate says {row.capacity} at {row.load_centre}"
                    f"{f' and {row.height}' if row.height else ''}, more than {other.capacity} at "
                    f"{other.load_centre}{f' and {other.height}' if other.height else ''};",
                    "read the plate again: farther out and higher up a truck lifts less.",
                )
                break


def pallet_rating(evidence: Evidence) -> Iterator[Finding]:
    """Ratings of a pallet that are out of order, or that nobody stands for."""
    for code, pallet in sorted(evidence.collection.pallets.items()):
        ratings = list(enumerate(listed(pallet.ratings)))
        by_spread = {rating.spread: (i, rating) for i, rating in ratings}
        ordered = [by_spread[spread] for spread in _SPREADS if spread in by_spread]
        for (_, harder), (i, easier) in pairwise(ordered):
            if harder.rated.base > easier.rated.base:
                yield evidence.at("pallet", code, "ratings", i, "rated").disagrees(
                    "pallet-rating",
                    f"{pallet.name}: {easier.rated} for a load spread {easier.spread}, less than "
                    f"{harder.rated} for one spread {harder.spread}, which is harder on the boards;",
                    "read the mark again and correct one of the two.",
                )
        for i, rating in ratings:
            if rating.source is None:
                yield evidence.at("pallet", code, "ratings", i).remark(
                    "pallet-rating",
                    f"{pallet.name}: {rating.rated}, load spread {rating.spread}, and no source says so;",
                    "write where the mark or the sheet is that says it.",
                )


def gear_papers(evidence: Evidence) -> Iterator[Finding]:
    """Shop-made fixtures with a rated load and without the papers that make it count."""
    for code, fixture in sorted(evidence.collection.fixtures.items()):
        if fixture.shop_made == "yes" and fixture.rated_load is not None and fixture.standing != "rated":
            yield evidence.at("fixture", code, "rated load").unchecked(
                "shop-made-papers",
                f"{fixture.name} is shop-made and rated {fixture.rated_load}, but some of drawing, material, "
                "design check, proof load with its date and inspection date are missing; it stands as seen "
                "in use, no rating;",
                "write the papers, or leave the rated load out.",
            )


def pallet_inspection(evidence: Evidence) -> Iterator[Finding]:
    """A pallet past its inspection, or a fixture past the day on which its papers were to be reviewed."""
    collection = evidence.collection
    dues = [("pallet", p.id, "inspection due", p.inspection_due, p.name) for p in collection.pallets.values()]
    dues += [("fixture", f.id, "review by", f.review_by, f.name) for f in collection.fixtures.values()]
    for kind, code, field, day, name in sorted(dues, key=lambda due: due[:2]):
        due = (kind, code, (field,), day, code)
        yield from passed(
            evidence, "pallet-inspection", due, f"{name}: {field}", "have it looked at before it is used,"
        )
