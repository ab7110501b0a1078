"""Answers about a fleet as JSON. Masses in kilograms; null is not known, and never nothing."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, TypedDict

from handling_db.fleet.disagree import Disagreements
from handling_db.fleet.missing import MissingInFleet
from handling_db.fleet.total import FleetTotal
from handling_db.fleet.where_used import UsedIn


class FleetShopJson(TypedDict):
    """One shop of a fleet."""

    shop: str
    stamp: str
    components: int


class RingJson(TypedDict):
    """Components that contain each other; the first stands at the end again."""

    shop: str
    components: list[str]


class TopJson(TypedDict):
    """A unit that goes into nothing, filled. `high_kg` null: at least. [kg]"""

    id: str
    name: str
    best_kg: float | None
    low_kg: float | None
    high_kg: float | None
    complete: bool
    unknown_pieces: float
    plan_kg: float | None


class ApartJson(TypedDict):
    """A total that is not what the shop's own program says."""

    id: str
    build: str
    state: str


class FleetTotalJson(TypedDict):
    """What was added up, and what stands against it."""

    file: str
    shops: list[FleetShopJson]
    part_lines: int
    totals: int
    levels: int
    at_least: int
    nobody_knows: int
    in_rings: int
    rings: list[RingJson]
    apart: list[ApartJson]
    heaviest: list[TopJson]


class UnweighedJson(TypedDict):
    """A part without a mass, how much of it there is, and what other shops have. [kg]"""

    id: str
    build: str
    name: str
    maker: str | None
    part_number: str | None
    state: str
    goes_into: int
    pieces: float
    other_shops: int
    low_kg: float | None
    high_kg: float | None


class OpenListJson(TypedDict):
    """An assembly that is "at least" for its own sake."""

    id: str
    build: str
    name: str
    why: str


class FleetMissingJson(TypedDict):
    """What nobody knows in a fleet."""

    parts: int
    first: list[UnweighedJson]
    open_lists: list[OpenListJson]
    in_rings: int


class SaidThereJson(TypedDict):
    """What one shop says one piece weighs. `high_kg` null: at least. [kg]"""

    id: str
    name: str
    maker: str | None
    part_number: str
    best_kg: float
    low_kg: float
    high_kg: float | None
    basis: str
    printed: str | None
    source_kind: str | None


class NumberApartJson(TypedDict):
    """A part number of which figures cannot all be true. [kg]"""

    build: str
    states: list[str]
    gap_kg: float
    said: list[SaidThereJson]


class FleetDisagreeJson(TypedDict):
    """What several shops say of the same parts."""

    shared: int
    compared: int
    no_maker: int
    apart: list[NumberApartJson]


class HolderJson(TypedDict):
    """The part itself or what holds it. `height` null: in or above a ring."""

    id: str
    build: str
    name: str
    maker: str | None
    part_number: str | None
    height: int | None
    pieces: float
    goes_into_nothing: bool


class FleetWhereUsedJson(TypedDict):
    """A part in every shop that has it, and everything that holds it."""

    parts: list[HolderJson]
    holders: list[HolderJson]
    in_rings: int


_IN_KG = ("best", "low", "high", "gap")


def _plain(value: Any) -> dict[str, Any]:
    """The fields of an answer, masses under names that say their unit."""
    return {f"{name}_kg" if name in _IN_KG else name: told for name, told in asdict(value).items()}


def total_json(found: FleetTotal, out: str) -> FleetTotalJson:
    """A roll-up as JSON."""
    return {
        "file": out,
        "shops": [{"shop": shop.id, "stamp": shop.stamp, "components": shop.nodes} for shop in found.shops],
        "part_lines": found.lines,
        "totals": found.totals,
        "levels": found.levels,
        "at_least": found.at_least,
        "nobody_knows": found.nothing,
        "in_rings": found.in_rings,
        "rings": [{"shop": ring.shop, "components": list(ring.components)} for ring in found.rings],
        "apart": [
            {"id": f"{shop}:{code}", "build": build, "state": state}
            for shop, code, build, state in found.apart
        ],
        "heaviest": [
            {
                "id": top.id,
                "name": top.name,
                "best_kg": top.best,
                "low_kg": top.low,
                "high_kg": top.high,
                "complete": top.high is not None,
                "unknown_pieces": top.unknown,
                "plan_kg": top.plan,
            }
            for top in found.tops
        ],
    }


def missing_json(found: MissingInFleet) -> FleetMissingJson:
    """What nobody knows as JSON."""
    first = [_plain(part) for part in found.first]
    for part in first:
        part["other_shops"] = part.pop("others")
    lists = [_plain(one) for one in found.open_lists]
    return {"parts": found.parts, "first": first, "open_lists": lists, "in_rings": found.in_rings}  # type: ignore[typeddict-item]


def disagree_json(found: Disagreements) -> FleetDisagreeJson:
    """Disagreements as JSON."""
    apart: list[NumberApartJson] = [
        {
            "build": one.build,
            "states": list(one.states),
            "gap_kg": one.gap,
            "said": [_plain(said) for said in one.said],  # type: ignore[misc]
        }
        for one in found.apart
    ]
    return {"shared": found.shared, "compared": found.compared, "no_maker": found.no_maker, "apart": apart}


def where_used_json(found: UsedIn) -> FleetWhereUsedJson:
    """Where a part is used as JSON."""

    def plain(one: Any) -> HolderJson:
        told = _plain(one)
        told["goes_into_nothing"] = told.pop("top")
        told["height"] = None if one.height < 0 else one.height
        del told["asked"]
        return told  # type: ignore[return-value]

    return {
        "parts": [plain(one) for one in found.asked],
        "holders": [plain(one) for one in found.holders],
        "in_rings": found.in_rings,
    }
