"""The demo's own worked example for moves. Our own figures: an example carried through, not a validation.

All inputs are the raw ones of the invented scenario: masses with half-widths, places in millimetres.
"""

from __future__ import annotations

import math

import pytest

from handling_db.carrying.demand import Demand, against_rating, with_allowance
from handling_db.carrying.forklift import TruckPlate, truck_figures
from handling_db.carrying.hands import HandLine, hand_limit
from handling_db.carrying.pallets import NOTHING, gross
from handling_db.carrying.plate import moment_figures
from handling_db.quantities.amount import Amount

# Differential section: part, each kg, quantity, half-width each.
SECTION = [
    ("differential case", 134, 1, 0.5),
    ("rear cover", 30, 1, 0.5),
    ("front extension tube", 17.4, 1, 0.5),
    ("planet carrier", 47, 1, 0.1),
    ("ring gear", 23.6, 1, 0.1),
    ("ring gear hub", 15.1, 1, 0.1),
    ("sun gear", 6.1, 1, 0.1),
    ("planet gear", 2.4, 5, 0.02),
    ("planet pin", 1.18, 5, 0.02),
    ("clutch drum", 15.48, 1, 0.3),
    ("clutch hub", 6.4, 1, 0.05),
    ("clutch piston", 7.36, 1, 0.05),
    ("end plate", 3.09, 1, 0.05),
    ("friction disc", 0.418, 8, 0.005),
    ("steel plate", 0.579, 8, 0.005),
    ("springs and rings", 1.35, 1, 0.05),
    ("front output shaft", 23.57, 1, 0.3),
    ("rear output shaft", 19, 1, 0.1),
    ("front output flange", 9.8, 1, 0.1),
    ("front output bearing", 4, 2, 0.05),
    ("rear output flange", 9.8, 1, 0.1),
    ("rear output bearing", 4, 2, 0.05),
    ("brake disc", 14.7, 1, 0.1),
    ("brake caliper", 16.4, 1, 0.1),
    ("bolts, retainers, seals", 5.2, 1, 0.1),
]
FRONT_KIT = {"front extension tube", "front output shaft", "front output flange", "front output bearing"}
OIL = (0.4, 1.0, 1.6)
RIGGING = (10.5, 10.8, 11.1)
PALLET = (38.0, 38.0, 38.0)


def _sum(parts):
    best = math.fsum(each * count for _, each, count, _ in parts)
    half = math.fsum(doubt * count for _, _, count, doubt in parts)
    return best - half, best, best + half


WHOLE = _sum(SECTION)
PARTED = _sum([part for part in SECTION if part[0] not in FRONT_KIT | {"brake caliper"}])


def test_masses_of_the_section_and_of_the_parted_half():
    assert (round(WHOLE[1], 1), round(WHOLE[2] - WHOLE[1], 1)) == (447.2, 3.8)
    assert (round(PARTED[1], 1), round(PARTED[2] - PARTED[1], 1)) == (372.1, 2.7)


def test_gross_of_the_parked_half():
    """Saddle pallet 38 kg, trapped oil 1.0 +-0.6 kg: heaviest believable about 415 kg."""
    total = gross(piece=PARTED, oil=OIL, packing=NOTHING, pallet=PALLET)

    assert math.ceil(total.high_kg) == 415
    assert total.complete


@pytest.mark.parametrize(("centre", "figures"), [(0.6, (1250, 1347)), (1.5, (500, 702))])
def test_forklift_figures(centre, figures):
    """1.5 t at 500 mm, 380 mm from axle to fork face; lower first, the plate governs."""
    got = moment_figures(
        rated_capacity_kg=1500, rated_load_centre=0.5, load_centre=centre, axle_to_fork_face=0.38
    )

    assert figures == tuple(round(kg) for _, kg in got.figures)
    assert got.figures[0][0] == "by load centre"


def test_parked_half_on_the_forklift():
    total = gross(piece=PARTED, oil=OIL, packing=NOTHING, pallet=PALLET)

    got = truck_figures(
        total.with_pallet,
        TruckPlate(rated_capacity_kg=1500, rated_load_centre=0.5, axle_to_fork_face=0.38),
        load_centre=0.6,
        lift_height=None,
    )

    assert [(one.what, round(one.rating_kg)) for one in got.beside] == [
        ("moment by load centre", 1250),
        ("moment by front axle", 1347),
    ]


def test_whole_unit_on_a_jib_is_not_a_matter_of_figures():
    """At least 819.5 kg: already above both bare-fork figures at 1500 mm, before the jib takes its part."""
    unit = Demand(name="transfer box", low_kg=819.5, high_kg=None, missing=("auxiliary drive",))

    got = truck_figures(
        unit,
        TruckPlate(rated_capacity_kg=1500, rated_load_centre=0.5, axle_to_fork_face=0.38),
        load_centre=1.5,
        lift_height=1.0,
        attachment="jib",
    )

    assert [one.word for one in got.beside] == ["not known"]
    assert all(unit.low_kg > kg for _, kg in got.moment.figures)
    assert [against_rating(unit, name, kg).word for name, kg in got.moment.figures] == ["above", "above"]


def test_second_shop_is_short_with_the_true_figures():
    """451.0 + 1.0 + 10.8 = 463 kg; with 10 % to break it loose 510 kg against a 500 kg jib hoist."""
    hook = Demand(
        name="differential section on the hook",
        low_kg=WHOLE[0] + OIL[1] + RIGGING[1],
        high_kg=WHOLE[2] + OIL[1] + RIGGING[1],
    )
    loose = with_allowance(hook, 0.10, "break-loose")

    assert (math.ceil(hook.high_kg), math.ceil(loose.high_kg)) == (463, 510)
    assert against_rating(hook, "jib hoist", 500).word == "below"
    beside = against_rating(loose, "jib hoist", 500)
    assert beside.word == "above"
    assert pytest.approx(beside.left_kg, abs=0.05) == -9.1


def test_second_shop_with_the_doubt_of_oil_and_rigging_as_well():
    """All three at their highest: one kilogram more; the lowest with 10 % is 499.7 kg."""
    low, high = WHOLE[0] + OIL[0] + RIGGING[0], WHOLE[2] + OIL[2] + RIGGING[2]
    loose = with_allowance(Demand(name="hook", low_kg=low, high_kg=high), 0.10, "break-loose")

    assert (math.ceil(high), math.ceil(1.1 * high)) == (464, 511)
    assert against_rating(loose, "jib hoist", 500).word == "may be above"


def test_second_shop_looks_fine_with_the_handbook():
    """920 lb is 417.3 kg; with rigging 428 and 471 kg. That leaves out the trapped oil: 429 and 472."""
    handbook = 920 * 0.45359237

    dry = handbook + RIGGING[1]
    assert (round(dry), round(1.1 * dry)) == (428, 471)
    oily = Demand(name="by the handbook", low_kg=dry + OIL[1], high_kg=dry + OIL[1])
    loose = with_allowance(oily, 0.10, "break-loose")
    assert (round(oily.high_kg), round(loose.high_kg)) == (429, 472)
    assert against_rating(loose, "jib hoist", 500).word == "below"


def test_parts_above_the_hand_limit():
    """Six lines above 25 kg each, and the auxiliary drive that nobody weighed."""
    gear_section = [
        ("gear case", 158, 1, 0.5),
        ("gear case cover", 52, 1, 0.5),
        ("input gear", 17.7, 1, 0.1),
        ("input shaft", 14.9, 1, 0.1),
        ("idler gear", 24.6, 1, 0.1),
        ("output gear", 25.6, 1, 0.1),
        ("splined sleeve", 14.1, 1, 0.1),
    ]
    parts = [
        HandLine(name, name, "1", Amount.around(each, doubt))
        for name, each, _, doubt in gear_section + SECTION
    ]
    parts.append(HandLine("drive", "auxiliary drive", "1", None))

    got = hand_limit(parts, limit_kg=25, rule="Up to 25 kg by hand.", call="foreman")

    assert tuple(line.name for line in got.above) == (
        "gear case",
        "differential case",
        "gear case cover",
        "planet carrier",
        "rear cover",
        "output gear",
    )
    assert (got.may_be_above, [line.name for line in got.not_known]) == ((), ["auxiliary drive"])
