"""What a fleet's answers hold as JSON: names with their units, and only what a reader can use."""

from __future__ import annotations

from typing import TypedDict

from handling_db.fleet.folders import FleetShop
from handling_db.fleet.total import FleetTotal, Top
from handling_db.fleet.where_used import Holder, UsedIn
from handling_db.lookup.json_forms import Form


class ApartJson(TypedDict):
    """A total that is not what the shop's own program says."""

    id: str
    build: str
    state: str


def _apart(found: FleetTotal) -> list[ApartJson]:
    return [{"id": f"{shop}:{code}", "build": b, "state": state} for shop, code, b, state in found.apart]


Form("FleetShopJson", FleetShop, "One shop of a fleet.", "shop=id stamp components=nodes")
Form(
    "TopJson",
    Top,
    "A unit that goes into nothing, filled. `high_kg` null: at least. [kg]",
    "id name best_kg low_kg high_kg",
    ("complete", bool, lambda top: top.high is not None),
    "unknown_pieces=unknown plan_kg",
)
Form(
    "HolderJson",
    Holder,
    "The part itself or what holds it. `height` null: in or above a ring.",
    "id build name maker part_number",
    ("height", int | None, lambda one: None if one.height < 0 else one.height),
    "pieces goes_into_nothing=top",
)
TOTAL = Form(
    "FleetTotalJson",
    FleetTotal,
    "What was added up, and what stands against it.",
    "shops part_lines=lines totals levels at_least nobody_knows=nothing in_rings rings",
    ("apart", list[ApartJson], _apart),
    "heaviest=tops",
)
WHERE_USED = Form(
    "FleetWhereUsedJson",
    UsedIn,
    "A part in every shop that has it, and everything that holds it.",
    "parts=asked holders in_rings",
)
