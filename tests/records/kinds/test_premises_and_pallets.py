"""Pallets, packing, plates, floors, doors and routes as records: what is read and what is refused."""

from __future__ import annotations

import pytest

from tests.from_text import collection, reading

PALLET = "- pallet: flat\n  name: Flat pallet\n  kind: flat pallet\n"
PACKING = "- packing: crate\n  name: Crate\n  kind: crate\n  for components: [box]\n"
SHOP = "- shop: shed\n  name: Shed\n"


def faults(text: str) -> str:
    return " | ".join(str(finding) for finding in reading(text).findings)


def test_pallet_reads_what_is_written():
    text = PALLET + (
        "  length: 1200 mm\n  width: 800 mm\n  deck height: 144 mm\n  fork top: 100 mm\n  own mass: 25 kg\n"
        "  plus or minus: 2 kg\n  ratings: [{spread: any, rated: 1000 kg}]\n  fork entry: [low x, high x]\n"
    )
    pallet = collection(text).pallets["flat"]
    assert float(pallet.length.base) == 1.2
    assert pallet.ratings[0].spread == "any"
    assert pallet.fork_entry == ("low x", "high x")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (PALLET + "  plus or minus: 2 kg\n", "'plus or minus' goes with 'own mass'"),
        (
            PALLET + "  deck height: 100 mm\n  fork top: 120 mm\n",
            "'fork top' 120 mm is above 'deck height' 100 mm",
        ),
        (
            PALLET + "  ratings: [{spread: any, rated: 1 t}, {spread: any, rated: 900 kg}]\n",
            "two ratings for the spread 'any'",
        ),
        (PALLET + "  ratings: none\n", "'ratings: none' needs 'checked by'"),
        (PALLET + "  feet: {at: [[0 mm, 0 mm], [1 m, 0 mm]]}\n", "'feet' has fewer than three places"),
        (
            PALLET + "  feet: {at: [[0 mm, 0 mm], [1 m, 0 mm], [0 mm, 1 m]], length: 100 mm}\n",
            "the size of a foot is 'length' and 'width'; write both or neither",
        ),
        (PACKING.replace("  for components: [box]\n", ""), "say what is packed"),
        (PACKING + "  transport ties: none\n", "'transport ties: none' needs 'checked by'"),
        (PACKING + "  drips: none\n", "'drips: none' needs 'checked by'"),
        (PACKING + "  own mass: none\n", "'own mass: none' needs 'checked by'"),
        (SHOP + "  floors: [{id: bay, name: bay, limit: 5 t}]\n", "is not a limit per area"),
        (SHOP + "  floors: [{id: bay, name: bay, limit: 0 kN/m2}]\n", "is not a limit per area"),
    ],
)
def test_what_is_refused_says_why(text, words):
    assert words in faults(text)


def test_nobody_looked_is_not_none():
    looked_not = collection(PACKING).packings["crate"]
    looked = collection(PACKING + "  drips: none\n  checked by: fitter\n").packings["crate"]
    assert looked_not.drips is None
    assert looked.drips == "none"
    assert looked_not.transport_ties is None


@pytest.mark.parametrize("limit", ["5 kN/m2", "500 kg/m2", "100 lb/ft2", "12.5 kN/m2"])
def test_a_limit_per_area_is_kept_as_written(limit):
    floor = collection(SHOP + f"  floors: [{{id: bay, name: bay, limit: {limit}}}]\n").shops["shed"].floors[0]
    assert str(floor.limit) == limit
    assert float(floor.limit.number) == float(limit.split()[0])


def test_plate_rows_and_attachments_of_a_truck():
    text = (
        "- mover: truck\n  name: Truck\n  kind: forklift\n  rated: 1000 kg\n  rated load centre: 600 mm\n"
        "  plate: [{load centre: 600 mm, height: 2900 mm, capacity: 650 kg, attachment: jib}]\n"
        "  attachments: [{name: jib, own mass: 90 kg, reach: 1500 mm}]\n"
    )
    truck = collection(text).movers["truck"]
    assert truck.plate[0].attachment == "jib"
    assert float(truck.attachments[0].reach.base) == 1.5
