"""Answers about a fleet as JSON. Masses in kilograms; null is not known, and never nothing."""

from __future__ import annotations

from dataclasses import asdict
from typing import TypedDict

from handling_db.fleet.total import FleetTotal
from handling_db.fleet.where_used import Holder, UsedIn


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


def where_used_json(found: UsedIn) -> FleetWhereUsedJson:
    """Where a part is used as JSON."""

    def plain(one: Holder) -> HolderJson:
        told = asdict(one)
        told["goes_into_nothing"] = told.pop("top")
        told["height"] = None if one.height < 0 else one.height
        del told["asked"]
        return told  # type: ignore[return-value]

    return {
        "parts": [plain(one) for one in found.asked],
        "holders": [plain(one) for one in found.holders],
        "in_rings": found.in_rings,
    }
