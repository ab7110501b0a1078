"""The worked example of the demo: a lift group from raw masses and places to hook, legs, turn and joint.

Our own example, invented; its expected figures are a regression and no validation.
"""

from __future__ import annotations

import math

import pytest

from handling_db.mechanics.tipping import stand
from handling_db.mechanics.turn.edge_turn import TurnedPiece, Turning, over_edge
from handling_db.mechanics.turn.joint_turn import bolts_about, joint_step
from handling_db.quantities.amount import Amount
from handling_db.rigging.hook import RatedItem, ReadoutError, expected_reading, stop_figures
from handling_db.rigging.legs import carry
from tests.plumb import hook_over
from tests.telling import words

# id: (lot, each kg, quantity, place in mm, half-width of each)
LINES = {
    "gear case": ("gear", 158, 1, (150, 0, -265), 0.5),
    "gear case cover": ("gear", 52, 1, (-10, 0, -265), 0.5),
    "input flange": ("gear", 8.3, 1, (-75, 0, 0), 0.1),
    "input shaft": ("gear", 14.9, 1, (115, 0, 0), 0.1),
    "input gear": ("gear", 17.7, 1, (140, 0, 0), 0.1),
    "input bearing": ("gear", 3.2, 2, (140, 0, 0), 0.05),
    "idler shaft": ("gear", 9.1, 1, (140, 0, -240), 0.1),
    "idler gear": ("gear", 24.6, 1, (140, 0, -240), 0.1),
    "idler bearing": ("gear", 2.7, 2, (140, 0, -240), 0.05),
    "output gear": ("gear", 25.6, 1, (140, 0, -510), 0.1),
    "splined sleeve": ("gear", 14.1, 1, (240, 0, -510), 0.1),
    "sleeve bearing": ("gear", 4.9, 2, (140, 0, -510), 0.05),
    "oil pump": ("gear", 8.8, 1, (40, -190, -430), 0.5),
    "suction screen": ("gear", 1.9, 1, (60, -250, -600), 0.05),
    "auxiliary drive, inferred": ("gear", 22.3, 1, (150, 350, -300), 9.5),
    "adapter plate": ("gear", 8.3, 1, (150, 320, -300), 0.4),
    "harness": ("gear", 0.9, 1, (200, 300, -200), 0.05),
    "speed sensor": ("gear", 0.15, 2, (260, 120, -420), 0.02),
    "gear case bolts": ("gear", 3.1, 1, (20, 0, -265), 0.3),
    "differential case": ("upper", 134, 1, (480, 0, -510), 0.5),
    "rear cover": ("upper", 30, 1, (665, 0, -510), 0.5),
    "extension tube": ("front kit", 17.4, 1, (-130, 0, -510), 0.5),
    "planet carrier": ("upper", 47, 1, (420, 0, -510), 0.1),
    "ring gear": ("upper", 23.6, 1, (420, 0, -510), 0.1),
    "ring gear hub": ("upper", 15.1, 1, (480, 0, -510), 0.1),
    "sun gear": ("upper", 6.1, 1, (420, 0, -510), 0.1),
    "planet gear": ("upper", 2.4, 5, (420, 0, -510), 0.02),
    "planet pin": ("upper", 1.18, 5, (420, 0, -510), 0.02),
    "clutch drum": ("upper", 15.48, 1, (570, 0, -510), 0.3),
    "clutch hub": ("upper", 6.4, 1, (570, 0, -510), 0.05),
    "clutch piston": ("upper", 7.36, 1, (620, 0, -510), 0.05),
    "end plate": ("upper", 3.09, 1, (520, 0, -510), 0.05),
    "friction disc": ("upper", 0.418, 8, (570, 0, -510), 0.005),
    "steel plate": ("upper", 0.579, 8, (570, 0, -510), 0.005),
    "springs and rings": ("upper", 1.35, 1, (600, 0, -510), 0.05),
    "front output shaft": ("front kit", 23.57, 1, (90, 0, -510), 0.3),
    "rear output shaft": ("upper", 19, 1, (590, 0, -510), 0.1),
    "front output flange": ("front kit", 9.8, 1, (-270, 0, -510), 0.1),
    "front output bearing": ("front kit", 4, 2, (-130, 0, -510), 0.05),
    "rear output flange": ("upper", 9.8, 1, (760, 0, -510), 0.1),
    "rear output bearing": ("upper", 4, 2, (640, 0, -510), 0.05),
    "brake disc": ("upper", 14.7, 1, (735, 0, -510), 0.1),
    "brake caliper": ("caliper", 16.4, 1, (735, -190, -470), 0.1),
    "cover bolts and seals": ("upper", 5.2, 1, (600, 0, -510), 0.1),
    "joint bolt": ("joint", 0.167, 14, (300, 0, -510), 0.005),
    "dowel": ("joint", 0.123, 2, (300, 0, -510), 0.005),
    "lubrication pipe": ("joint", 0.18, 3, (300, 210, -400), 0.01),
}
REAR_UP = (1.0, 0.0, 0.0)
CELL = ReadoutError(of_reading=0.01)
OIL_IN_UPPER = Amount(0.4, 1.0, 1.6)
RIGGING = Amount(10.5, 10.8, 11.1)


def lot(*names: str) -> tuple[Amount, tuple[float, float, float]]:
    """Mass with worst-case doubt, and centre of gravity in metres."""
    held = [line for line in LINES.values() if line[0] in names]
    mass = math.fsum(each * count for _, each, count, _, _ in held)
    half = math.fsum(doubt * count for _, _, count, _, doubt in held)
    x, y, z = (
        math.fsum(each * count * place[i] for _, each, count, place, _ in held) / mass / 1000
        for i in range(3)
    )
    return Amount.around(mass, half), (x, y, z)


def ear(clock_degrees: float) -> tuple[float, float, float]:
    """Pick ear on the rear cover rim: from +y towards +z, radius 250 about the output axis."""
    angle = math.radians(clock_degrees)
    return (0.665, 0.250 * math.cos(angle), -0.510 + 0.250 * math.sin(angle))


def whole_shares(mass_lots: tuple[str, ...], clock: tuple[int, ...]) -> list[float]:
    _, centre = lot(*mass_lots)
    picks = {str(at): ear(at) for at in clock}
    case = carry(picks, hook_over(centre, 1.0, REAR_UP), centre, up=REAR_UP)
    shares = [leg.solved_share for leg in case.legs]
    assert None not in shares
    return [100 * share for share in shares if share is not None]


def test_the_lift_group_with_the_caliper_off():
    mass, centre = lot("upper")

    assert mass.best == pytest.approx(372.1, abs=0.05)
    assert mass.best - mass.low == pytest.approx(2.7, abs=0.05)
    assert [1000 * c for c in centre] == pytest.approx([519, 0, -510], abs=0.5)


def test_level_ears_share_alike_and_nine_hundred_millimetre_legs_lean_sixteen_degrees():
    mass, centre = lot("upper")
    picks = {str(at): ear(at) for at in (90, 210, 330)}
    hook = (0.665 + math.sqrt(0.9**2 - 0.25**2), 0.0, -0.510)

    case = carry(picks, hook, centre, mass.best, up=REAR_UP)

    assert case.balanced
    assert [leg.share_high for leg in case.legs] == pytest.approx([1 / 3] * 3, abs=1e-9)
    assert [90.0 - math.degrees(leg.from_horizontal) for leg in case.legs] == pytest.approx([16] * 3, abs=0.5)
    assert [leg.tension_kg for leg in case.legs] == pytest.approx([129] * 3, abs=0.5)


def test_the_brake_moves_the_shares():
    assert whole_shares(("upper", "caliper"), (90, 210, 330)) == pytest.approx([33.8, 35.0, 31.3], abs=0.05)


def test_dodging_to_the_left_ear_leaves_one_leg_slack():
    assert whole_shares(("upper", "caliper"), (90, 270, 330)) == pytest.approx([51.3, 52.4, -3.7], abs=0.05)


def test_dodged_it_rolls_to_the_left_and_two_legs_carry():
    mass, centre = lot("upper", "caliper")
    picks = {str(at): ear(at) for at in (90, 270, 330)}

    case = carry(picks, hook_over(centre, 1.0, REAR_UP), centre, mass.best, up=REAR_UP)

    assert mass.best == pytest.approx(388.5, abs=0.05)
    assert case.slack == ("330",)
    assert not case.balanced
    assert case.rest is not None
    assert case.rest.slack == ("330",)
    assert case.rest.low_side is not None
    assert case.rest.low_side[1] < -0.99  # y is right: low on the left
    carrying = [leg for leg in case.rest.legs if not leg.slack]
    assert sum(leg.share_high for leg in carrying) == pytest.approx(1.0)


def test_expected_reading_and_look_again():
    group, _ = lot("upper")

    expected = expected_reading({"lift group": group, "trapped oil": OIL_IN_UPPER, "rigging": RIGGING}, CELL)

    assert expected.load.best == pytest.approx(384, abs=0.5)
    assert (expected.load.high - expected.load.low) / 2 == pytest.approx(4, abs=0.5)
    assert expected.look_again_kg is not None
    assert math.ceil(expected.look_again_kg) == 392


def test_stop_figures():
    group, _ = lot("upper")
    expected = expected_reading({"lift group": group, "trapped oil": OIL_IN_UPPER, "rigging": RIGGING}, CELL)
    other, _ = lot("gear")
    other_half = Amount(other.low + 0.5, other.best + 1.2, (other.high or 0) + 1.9)

    stop = stop_figures(
        expected,
        rated=[RatedItem("hoist", 2000.0, 2000.0, "the reading")],
        break_loose_part=0.10,
        other_half=other_half,
    )

    assert other_half.best == pytest.approx(393, abs=0.5)
    assert math.floor(stop.at_kg) == 422
    assert words([stop.reason]) == ["the shop's limit for breaking loose, 10% over the expected reading"]
    both = next(limit for limit in stop.limits if limit.reason.kind == "both halves come up")
    assert "the other half 393 kg (866 lb) make 777 kg" in words([both.reason])[0]
    assert both.at_kg < 777


def in_edge_frame(place):
    """From the edge under the front face, 0.31 m to the left of the middle."""
    return (place[0] + 0.017, place[1] + 0.31, place[2] + 0.655)


def turn():
    near, near_centre = lot("gear", "joint")
    far, far_centre = lot("upper")
    # 2.2 kg of oil in all, as if each half held its part in its middle.
    pieces = [
        TurnedPiece("near", Amount.exact(near.best + 1.2), in_edge_frame(near_centre)),
        TurnedPiece(
            "far", Amount.exact(far.best + OIL_IN_UPPER.best), in_edge_frame(far_centre), beyond=True
        ),
    ]
    turning = Turning(pieces, in_edge_frame((0.665, 0.0, -0.510)), 0.62)
    return turning, over_edge(turning, step=math.radians(10))


def test_turning_onto_the_front_face():
    turning, case = turn()
    at = {round(math.degrees(step.turned)): step.hook[1] for step in case.steps}

    assert turning.mass()[1] == pytest.approx(769, abs=0.5)
    assert [at[0], at[20], at[40], at[50]] == pytest.approx([373, 285, 146, 18], abs=0.7)
    assert case.goes_over is not None
    assert math.degrees(case.goes_over) == pytest.approx(51, abs=0.5)
    assert case.worst.turned == 0.0


def test_stability_once_on_its_face():
    _, centre = lot("gear", "upper", "joint")

    # On the front face x is up; the edge on the output side is z = -655.
    height = centre[0] + 0.017
    face = [(-0.3, -0.655), (0.3, -0.655), (0.3, 0.2), (-0.3, 0.2)]
    case = stand(face, (centre[1], centre[2]), height)
    output_side = next(edge for edge in case.edges if edge.start[1] == edge.end[1] == -0.655)

    assert height * 1000 == pytest.approx(331, abs=0.5)
    assert math.degrees(output_side.tips_at) == pytest.approx(39, abs=0.5)


def test_the_joint_during_the_turn():
    turning, _ = turn()
    joint = in_edge_frame((0.300, 0.0, -0.510))

    at = {a: joint_step(turning, joint, math.radians(a)) for a in (0, 20, 40, 50)}

    # Its 1.0 kg of oil sits at the centre of the upper half; dry it would be -534, -207, 213, 472.
    assert [at[a].moment_nm[1] for a in at] == pytest.approx([-536, -208, 213, 473], abs=1.0)
    assert at[50].shear_n[1] / 1000 == pytest.approx(2.2, abs=0.05)


def test_hook_slack_axis_level():
    turning, _ = turn()
    studs = {str(a): 0.254 * math.sin(math.radians(a)) for a in (45, 135, 225, 315)}

    slack = joint_step(turning, in_edge_frame((0.300, 0.0, -0.510)), 0.0, hook_slack=True)
    about = bolts_about(studs, 0.254, 0.290, slack.moment_nm[1], slack.shear_n[1])
    by_pivot = {one.pivot: one for one in about}

    assert slack.moment_nm[1] == pytest.approx(800, abs=0.5)
    bolts = by_pivot["flange edge"].bolts
    assert [bolt.pull_n / 1000 for bolt in bolts[:2]] == pytest.approx([0.8, 0.8], abs=0.05)
    assert [bolt.shear_n / 1000 for bolt in bolts] == pytest.approx([0.9] * 4, abs=0.05)
    # By hand, T = M d / sum(d2): tilting about the bolts themselves asks more of the upper pair.
    assert [one.pivot for one in about] == ["last bolts", "foot of the bolt circle", "flange edge"]
    assert about[0].most_n == pytest.approx(slack.moment_nm[1] / (2 * 2 * 0.254 * math.sin(math.pi / 4)))


def test_upper_half_on_its_joint_flange():
    _, centre = lot("upper")
    flange = [
        (0.290 * math.cos(math.radians(a)), -0.510 + 0.290 * math.sin(math.radians(a))) for a in range(360)
    ]

    case = stand(flange, (centre[1], centre[2]), centre[0] - 0.300)

    assert (centre[0] - 0.300) * 1000 == pytest.approx(219, abs=0.5)
    assert math.degrees(case.weakest.tips_at) == pytest.approx(53, abs=0.5)
