"""Occurrences below a root: places, pieces, and which side of a lift each is on."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.occurrences import WayError, Ways, occurrences
from handling_db.records.collection import Collection
from handling_db.weights.tree import unfold
from tests.from_text import SCALE, collection

BOX = f"""
{SCALE}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parameters:
    lids: {{default: 1, from: 0, to: 1}}
  parts:
    - {{component: half, quantity: 2, places: [{{at: [0 mm, 0 mm, 0 mm]}}, {{at: [0 mm, 0 mm, 1 m], turned: {{roll: 180 deg}}}}]}}
    - {{component: bolt, quantity: 14, at: [0 mm, 0 mm, 500 mm]}}
    - {{component: lid, quantity: lids, at: [0 mm, 0 mm, 2 m]}}
    - {{component: oil, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}
- component: half
  name: Half
  kind: assembly
  parts listed: all
  parts:
    - {{component: case, quantity: 1, at: [0 mm, 100 mm, 200 mm]}}
    - {{component: pin, quantity: 3, at: [0 mm, 0 mm, 0 mm], id: pins}}
    - {{component: pin, quantity: 1, at: [1 m, 0 mm, 0 mm], id: key}}
- {{component: case, name: Case, kind: part, masses: [{{printed: 100.0 kg, source: scale, plus or minus: 1 kg}}]}}
- {{component: pin, name: Pin, kind: part, masses: [{{printed: 1.0 kg, source: scale, plus or minus: 0.1 kg}}]}}
- {{component: bolt, name: Bolt, kind: part, masses: [{{printed: 0.50 kg, source: scale, plus or minus: 0.01 kg}}]}}
- {{component: lid, name: Lid, kind: part, masses: [{{printed: 5.0 kg, source: scale, plus or minus: 0.1 kg}}]}}
- {{component: oil, name: Oil, kind: fluid, fluid: {{litres: 10 L, density: 0.87 kg/L}}}}
"""


def box(more: str = "") -> Collection:
    return collection(BOX + more)


def ways_of(found: Collection) -> Ways:
    tree = unfold(found, [("unit", {})])
    return Ways(found, tree, occurrences(tree, 0))


def grouped(takes: str, more: str = "") -> GroupMass:
    found = box(f"- {{lift group: g, name: G, root: unit, takes: {takes}{more}}}\n")
    return group_mass(found, found.lift_groups["g"])


def sides(group: GroupMass) -> dict[str, Fraction]:
    return {
        "/".join(o.lines if o.id == "pin" else o.way): side.part
        for o, side in zip(group.ways.found, group.sides, strict=True)
    }


def test_pieces_multiply_down_the_tree() -> None:
    pieces = {"/".join(o.way): o.pieces for o in ways_of(box()).found}

    assert pieces[""] == 1
    assert pieces["half"] == 2
    assert pieces["half/case"] == 2
    assert pieces["bolt"] == 14


def test_places_go_through_every_frame() -> None:
    case = next(o for o in ways_of(box()).found if o.way == ("half", "case"))

    assert [frame.to_parent((0, 0, 0)) for frame in case.frames] == [
        pytest.approx((0, 0.1, 0.2)),
        pytest.approx((0, -0.1, 0.8)),  # turned over: y and z go the other way
    ]


def test_a_way_by_ids_of_components_or_part_lines() -> None:
    ways = ways_of(box())

    assert ways.found[ways.follow(["half", "pins"])].pieces == 6
    assert ways.follow(["unit", "half"]) == ways.follow(["half"])
    assert ways.follow([]) == 0


@pytest.mark.parametrize(
    ("way", "words"),
    [
        (["half", "screw"], "half lists no 'screw' in this build; it has: case, pin, pin"),
        (["half", "pin"], "half lists 'pin' in several lines; write one of: pins, key"),
    ],
)
def test_a_way_that_leads_nowhere_or_twice(way: list[str], words: str) -> None:
    with pytest.raises(WayError, match=words):
        ways_of(box()).follow(way)


def test_the_deepest_mention_wins_and_the_root_is_out() -> None:
    found = sides(grouped("[[half]]", ", leaves: [[half, key]]"))
    keys = [part for way, part in found.items() if way.endswith("/key")]
    pins = [part for way, part in found.items() if way.endswith("/pins")]

    assert found[""] == 0
    assert found["half"] == found["half/case"] == 1
    assert keys == [0]
    assert pins == [1]
    assert found["bolt"] == 0


def test_a_take_below_a_leave_wins() -> None:
    found = sides(grouped("[[unit], [half, case]]", ", leaves: [[half]]"))

    assert (found["half"], found["half/case"], found["bolt"]) == (0, 1, 1)


def test_a_leave_with_a_quantity() -> None:
    group = grouped("[[unit]]", ", leaves: [{of: [bolt], quantity: 2}]")

    assert sides(group)["bolt"] == Fraction(12, 14)
    carried = next(c for c in group.carried if c.id == "bolt")
    assert carried.pieces == 12
    assert carried.mass is not None
    assert carried.mass.best == 6
    assert carried.at is None  # which two stay is not told, so where the middle of the rest lies is not known
    assert any(group.ways.found[i].id == "bolt" for i in group.outside)
    assert group.behind(carried.index) == carried.mass.times(Fraction(2, 12))


def test_fluid_never_follows() -> None:
    group = grouped("[[unit]]")

    at = next(i for i, o in enumerate(group.ways.found) if o.way == ("oil",))
    assert group.sides[at].part == 0
    assert group.sides[at].why.startswith("fluid never follows")
    assert at in group.outside


@pytest.mark.parametrize(
    ("takes", "more", "words"),
    [
        ("[[oil]]", "", "oil is a fluid: write the litres that stay inside under 'trapped' instead"),
        ("[[half]]", ", leaves: [{of: [bolt], quantity: 2}]", "leaves 2 of what is not taken; take it first"),
        ("[[unit]]", ", leaves: [{of: [bolt], quantity: 14}]", "leaves 14 of 14; leave the quantity out"),
        ("[[unit]]", ", leaves: [{of: [half], quantity: 1}, [half, case]]", "left in part only"),
        ("[[half]]", ", leaves: [[unit, half]]", "half is mentioned twice"),
    ],
)
def test_mentions_that_have_no_meaning(takes: str, more: str, words: str) -> None:
    with pytest.raises(WayError, match=words):
        grouped(takes, more)


def test_a_part_that_this_build_does_not_have() -> None:
    left = grouped("[[unit]]", ", build: {lids: '0'}, leaves: [[lid]]")
    assert all(o.id != "lid" for o in left.ways.found)

    with pytest.raises(WayError, match="unit has no 'lid' in this build"):
        grouped("[[lid]]", ", build: {lids: '0'}")


def test_nothing_taken_is_no_lift() -> None:
    with pytest.raises(WayError, match="lift group g takes nothing"):
        grouped("[[half]]", ", leaves: [[half, case], [half, pins], [half, key]]")


def test_joint_parts_are_out_unless_taken() -> None:
    joint = (
        "- joint: seam\n  name: Seam\n  within: unit\n  between: [half, lid]\n"
        "  ties: [{kind: bolts, what: bolts, there: yes, part: [bolt], count: 14}]\n"
    )
    out = box(joint + "- {lift group: g, name: G, root: unit, takes: [[unit]], parts joints: [seam]}\n")
    taken = box(
        joint + "- {lift group: g, name: G, root: unit, takes: [[unit], [bolt]], parts joints: [seam]}\n"
    )

    for found, part in ((out, 0), (taken, 1)):
        group = group_mass(found, found.lift_groups["g"])
        assert sides(group)["bolt"] == part


def test_what_the_job_has_taken_off_is_out_with_all_below() -> None:
    found = box(
        "- {lift group: g, name: G, root: unit, takes: [[unit]]}\n"
        "- {job: j, unit: unit, opened: {on: 2026-01-02, by: fitter}, "
        "off: [{of: [half], on: 2026-01-03, by: fitter}]}\n"
    )
    group = group_mass(found, found.lift_groups["g"], job=found.jobs["j"])

    assert sides(group)["half/case"] == 0
    assert group.pieces is not None
    assert group.pieces.best == pytest.approx(14 * 0.5 + 5)


def test_a_whole_weighed_in_one_stands_for_its_parts_only_if_all_of_it_is_in() -> None:
    weighed = """
- component: pack
  name: Pack
  kind: assembly
  parts listed: some
  parts: [{component: pin, quantity: 2, at: [0 mm, 0 mm, 0 mm]}, {component: bolt, quantity: 1, at: [0 mm, 0 mm, 0 mm]}]
  masses: [{printed: 4.0 kg, plus or minus: 0.1 kg, counts: as listed, without: none, checked by: fitter, source: scale}]
- {component: crate, name: Crate, kind: assembly, parts listed: all, parts: [{component: pack, quantity: 1, at: [0 mm, 0 mm, 0 mm]}]}
- {lift group: all-in, name: All, root: crate, takes: [[pack]]}
- {lift group: less, name: Less, root: crate, takes: [[pack]], leaves: [[pack, bolt]]}
"""
    found = box(weighed)
    whole = group_mass(found, found.lift_groups["all-in"]).pieces
    less = group_mass(found, found.lift_groups["less"])

    assert whole is not None
    assert (whole.best, whole.high) == (4.0, pytest.approx(4.1))
    assert less.pieces is not None
    # What else is in it is at most what was weighed less all that is listed, the bolt that stays among it.
    assert (less.pieces.best, less.pieces.high) == (2.0, pytest.approx(4.1 - 0.49))
    assert less.missing == ()
    assert [one.name for one in less.rest] == ["whatever else belongs to Pack"]
