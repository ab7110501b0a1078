"""How a recorded lift hangs: the resting pose, the worst over the doubt, and what is announced first.

The right figures come from closed forms beside each test: moments, or the circle of the hook about two points.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np
import pytest

from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LegFigure, LegsFigure, LiftAnswer
from handling_db.lifting.said.words import lift_lines
from handling_db.lifting.two_hooks import two_hook_answer
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from tests.from_text import SCALE, collection
from tests.telling import told, words

Spot = tuple[float, float, float]  # [mm]


def point(at: Spot) -> str:
    return f"[{', '.join(f'{v:g} mm' for v in at)}]"


def hung_text(
    picks: Sequence[Spot],
    lengths: Sequence[float | None],
    pieces: Sequence[tuple[float, float, Spot]] = ((1000.0, 0.001, (0.0, 0.0, 0.0)),),
    *,
    spread: str | None = "0.001 mm",
    sling: str = "",
    shop: str = "",
) -> str:
    """Records of a lift of pieces (mass, doubt, place) by picks, each with a leg of its own; lengths in mm."""
    parts = "".join(
        f"    - {{component: p{i}, quantity: 1, at: {point(at)}}}\n" for i, (*_, at) in enumerate(pieces)
    )
    masses = "".join(
        f"- {{component: p{i}, name: piece {i}, kind: part, "
        f"masses: [{{printed: {mass:g} kg, plus or minus: {doubt:g} kg, source: scale}}]}}\n"
        for i, (mass, doubt, _) in enumerate(pieces)
    )
    points = "".join(
        f"    - {{id: pick-{i}, name: pick {i}, at: {point(at)}}}\n" for i, at in enumerate(picks)
    )
    own = "" if spread is None else f", length plus or minus: {spread}"
    used = "".join(
        f"    - {{point: pick-{i}"
        + ("" if length is None else f", length: {length:g} mm{own}")
        + (", sling: sling" if sling else "")
        + "}\n"
        for i, length in enumerate(lengths)
    )
    text = f"""
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  attitudes: [{{id: as-is, name: as it lies}}]
  parts: [{{component: load, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}]
- component: load
  name: Load
  kind: assembly
  parts listed: all
  pick points:
{points}  parts:
{parts}{masses}{sling}{shop}- lift group: up
  name: Up
  root: unit
  takes: [[load]]
  attitude: as-is
  trapped: none
  packing: none
  gear: none
  checked by: rigger
{"  mover: hoist" if shop else ""}
  picks:
{used}"""
    return SCALE + text


def hung_records(
    picks: Sequence[Spot],
    lengths: Sequence[float | None],
    pieces: Sequence[tuple[float, float, Spot]] = ((1000.0, 0.001, (0.0, 0.0, 0.0)),),
) -> Collection:
    """The same, read."""
    return collection(hung_text(picks, lengths, pieces))


def hung(
    picks: Sequence[Spot],
    lengths: Sequence[float | None],
    pieces: Sequence[tuple[float, float, Spot]] = ((1000.0, 0.001, (0.0, 0.0, 0.0)),),
    *,
    spread: str | None = "0.001 mm",
    sling: str = "",
    shop: str = "",
    question: LiftQuestion | None = None,
) -> LiftAnswer:
    """The answer about such a lift."""
    text = hung_text(picks, lengths, pieces, spread=spread, sling=sling, shop=shop)
    return lift_answer(collection(text), "up", question or LiftQuestion())


def legs_of(answer: LiftAnswer) -> LegsFigure:
    assert answer.legs is not None, answer.no_legs
    return answer.legs


def best(leg: LegFigure) -> float:
    assert leg.tension_kg is not None
    return leg.tension_kg


def most(leg: LegFigure) -> float:
    assert leg.tension_high_kg is not None
    return leg.tension_high_kg


def two_leg_pulls(
    half: float, rise: float, first: float, second: float, mass: float
) -> tuple[float, float, float]:
    """Pulls and tilt [deg] of two legs to points +-half across, `rise` over the centre, by hand.

    The hook is where the circles of the two legs meet; the line from the centre to it is plumb; moments about
    the centre share the load.
    """
    x = (second**2 - first**2) / (4.0 * half)
    z = rise + math.sqrt(first**2 - (x - half) ** 2)
    arms = []
    for at, length in ((half, first), (-half, second)):
        arms.append(abs(at * (z - rise) - rise * (x - at)) / length)
    # Two pulls balance the weight along the plumb line and have no moment about the centre.
    plumb = math.hypot(x, z)
    along = [
        ((x - at) * x + (z - rise) * z) / (plumb * length) for at, length in ((half, first), (-half, second))
    ]
    ratio = arms[0] / arms[1]
    pull = mass / (along[0] + ratio * along[1])
    return pull, ratio * pull, math.degrees(math.atan2(x, z))


@pytest.mark.parametrize(
    ("half", "rise", "lengths", "known"),
    [(150.0, 500.0, (1500.0, 1550.0), 708.2), (100.0, 500.0, (1500.0, 1520.0), 687.3)],
)
def test_unequal_legs_pull_as_they_hang_and_not_as_if_level(
    half: float, rise: float, lengths: tuple[float, float], known: float
) -> None:
    answer = hung([(half, 0, rise), (-half, 0, rise)], lengths)

    pulls = two_leg_pulls(half, rise, *lengths, 1000.0)
    assert pulls[0] == pytest.approx(known, abs=0.05)
    legs = legs_of(answer)
    assert [best(leg) for leg in legs.legs] == pytest.approx(pulls[:2], rel=1e-5)
    assert [most(leg) for leg in legs.legs] == pytest.approx(pulls[:2], rel=1e-4)
    assert legs.rest is not None
    assert legs.rest.tilt == pytest.approx(pulls[2], abs=1e-4)


def test_a_tilt_of_more_than_five_degrees_stands_first() -> None:
    more = hung([(150, 0, 500), (-150, 0, 500)], (1500, 1550))
    less = hung([(150, 0, 500), (-150, 0, 500)], (1500, 1530))

    assert [notice.kind for notice in legs_of(more).notices] == ["hangs tilted"]
    assert any(text.startswith("Left to itself it comes to rest tilted by 8°") for text in told(more))
    assert told(more)[0].startswith("It will hang tilted by 8°")
    assert legs_of(less).notices == ()


def test_the_doubt_of_lengths_is_in_the_most_and_not_in_the_best() -> None:
    answer = hung([(150, 0, 500), (-150, 0, 500)], (1500, 1550), spread="5 mm")

    longest = two_leg_pulls(150.0, 500.0, 1495.0, 1555.0, 1000.0)[0]
    assert best(legs_of(answer).legs[0]) == pytest.approx(708.2, abs=0.05)
    assert most(legs_of(answer).legs[0]) == pytest.approx(longest, rel=1e-4)


def test_lengths_nobody_gave_a_doubt_count_as_they_are_made() -> None:
    chain = "- {gear: sling, name: chain, kind: chain sling, legs: 2, length: 1500 mm, own mass: 9 kg}\n"

    plain = hung([(150, 0, 500), (-150, 0, 500)], (1500, 1550), spread=None)
    one_sling = hung([(150, 0, 500), (-150, 0, 500)], (1500, 1550), spread=None, sling=chain)

    assert [leg.spread_m for leg in legs_of(plain).legs] == pytest.approx([0.015, 0.0155])
    assert any(
        "within ±16 mm, none is recorded (common practice, no source)" in t
        for t in words(legs_of(plain).says)
    )
    assert [leg.spread_m for leg in legs_of(one_sling).legs] == pytest.approx([0.005, 0.005])
    assert any("EN 818-4:1996, Table 2" in text for text in words(legs_of(one_sling).says))


def test_points_under_the_centre_turn_over_and_that_stands_first() -> None:
    answer = hung([(300, 0, -10), (-300, 0, -10)], (1200, 1200))

    legs = legs_of(answer)
    assert legs.stability is not None
    assert legs.stability.turns_over
    assert legs.stability.height_m == pytest.approx(-0.010)
    assert any(
        text.startswith(
            "It will turn over about the line of pick-0 and pick-1, 10 mm under its centre of gravity"
        )
        for text in told(answer)
    )
    assert lift_lines(answer)[0].startswith("IT WILL TURN OVER")
    assert legs.rest is not None
    assert legs.rest.tilt == pytest.approx(180.0)


def test_exact_symmetry_turns_right_over_and_is_no_crash() -> None:
    answer = hung([(300, 0, -200), (-300, 0, -200)], (600, 600))

    assert legs_of(answer).rest is not None
    assert told(answer)[0].startswith("IT WILL TURN OVER")
    # Hanging the wrong way up each leg leans asin(300 / 600) = 30 degrees from plumb.
    assert [best(leg) for leg in legs_of(answer).legs] == pytest.approx(
        [500 / math.cos(math.radians(30))] * 2
    )


def test_points_over_the_centre_are_not_announced() -> None:
    for rise in (30.0, 200.0, 700.0):
        answer = hung([(300, 0, rise), (-300, 0, rise)], (1200, 1200), spread="1 mm")
        assert not any("turn" in notice.kind for notice in legs_of(answer).notices), rise


@pytest.mark.parametrize(("height_mm", "announced"), [(0.4, True), (0.9, True), (1.5, False)])
def test_a_margin_that_is_printed_as_nothing_is_announced(height_mm: float, announced: bool) -> None:
    answer = hung([(300.0, 0.0, height_mm), (-300.0, 0.0, height_mm)], [1200.0, 1200.0])
    kinds = {notice.kind for notice in answer.first}

    assert ("may turn over" in kinds) is announced


def test_four_low_legs_of_which_two_may_be_slack_are_no_turning_over() -> None:
    """The corner that a slack leg leaves is held by the next one: the load settles, it does not turn over."""
    picks = [(x, y, -50.0) for x in (-600.0, 600.0) for y in (-300.0, 300.0)]
    kinds = {notice.kind for notice in hung(picks, [1500.0] * 4, spread="5 mm").first}

    assert "turns over once slack" in kinds
    assert "may turn over" not in kinds


def test_where_it_is_not_balanced_one_pose_is_told() -> None:
    """Two even legs at points beside the centre: the triangle of legs and the centre hang in one plane."""
    picks = [(0.0, 400.0, 300.0), (500.0, 0.0, 200.0)]
    answer = hung(picks, [1000.0, 1000.0])
    first, second = (np.array(pick) / 1000.0 for pick in picks)
    along = (second - first) / np.linalg.norm(second - first)
    foot = first - first @ along * along  # of the centre, on the line of points
    middle = (first + second) / 2.0
    hook = middle + math.sqrt(1.0 - float((first - middle) @ (first - middle))) * foot / np.linalg.norm(foot)
    tilt = math.degrees(math.acos(hook[2] / np.linalg.norm(hook)))
    legs = legs_of(answer)
    told = [text for text in lift_lines(answer) if "comes to rest tilted" in text]

    assert legs.rest is not None
    assert legs.rest.tilt == pytest.approx(tilt, abs=0.01)
    assert f"{tilt:.1f}°" in told[-1]
    assert all(tilt <= float(re.findall(r"by ([\d.]+)°", text)[0]) + 0.05 <= tilt + 1.0 for text in told)


def test_a_line_of_points_that_may_be_under_the_centre_is_announced() -> None:
    """Two masses above one another: the centre is between 0 and 12 mm over or under the points."""
    pieces = ((100.0, 10.0, (0.0, 0.0, 100.0)), (100.0, 10.0, (0.0, 0.0, -100.0)))

    answer = hung([(300, 0, 5), (-300, 0, 5)], (1200, 1200), pieces)

    stability = legs_of(answer).stability
    assert stability is not None
    assert stability.height_m == pytest.approx(0.005)
    assert not stability.turns_over
    # Heaviest above, lightest below: (110 - 90) / 200 * 100 mm = 10 mm over the middle.
    assert stability.margin_least_m == pytest.approx(-0.005, abs=1e-6)
    assert any(
        text.startswith("Within what is known of it it may turn over: the line of pick-0 and pick-1")
        for text in told(answer)
    )


def test_three_low_legs_hold_it_only_while_they_are_taut() -> None:
    ring = [(500 * math.cos(a), 500 * math.sin(a), -50.0) for a in (0, 2 * math.pi / 3, 4 * math.pi / 3)]

    low, high = (hung([(x, y, z + up) for x, y, z in ring], [2000] * 3) for up in (0.0, 300.0))

    stability = legs_of(low).stability
    assert stability is not None
    assert stability.shift_m is not None
    # The hook is h over the points: planes through it and two points cut the level of the centre at
    # 250 mm (h - 50) / h from the middle.
    hook = math.sqrt(2.0**2 - 0.5**2)
    assert stability.shift_m == pytest.approx(0.25 * (hook - 0.05) / hook, rel=1e-3)
    assert stability.height_m < 0.0
    assert [notice.kind for notice in legs_of(low).notices] == ["turns over once slack"]
    assert any("slackens a leg, and it turns over about the line of" in text for text in told(low))
    assert legs_of(high).notices == ()


def test_one_leg_off_the_centre_carries_most_of_it() -> None:
    """By hand: the hook over the middle of the ring, the centre turned under it (sheet of seen cases: 874)."""
    picks = [(500, 0, 300), (-250, 433, 300), (-250, -433, 300)]

    answer = hung(picks, [2000] * 3, ((1000.0, 0.001, (460.0, 0.0, 0.0)),))

    hook = math.sqrt(2.0**2 - 0.5**2) + 0.3
    legs = legs_of(answer)
    assert legs.rest is not None
    assert legs.rest.tilt == pytest.approx(math.degrees(math.atan2(0.46, hook)), abs=1e-3)
    assert best(legs.legs[0]) == pytest.approx(874.4, abs=0.1)


LEFT_RIGHT = (
    (100.0, 5.0, (-400.0, 0.0, 0.0)),
    (100.0, 60.0, (400.0, 0.0, 0.0)),
    (50.0, 0.1, (0.0, 0.0, 0.0)),
)


def test_masses_and_their_centre_are_worst_together() -> None:
    """Right at its heaviest, left at its heaviest too: 179.55 kg plumb on the right lug, over the sine."""
    answer = hung([(-500, 0, 500), (500, 0, 500)], (1000, 1000), LEFT_RIGHT)

    assert 197.7 <= most(legs_of(answer).legs[1]) <= 200.0


def test_two_hooks_take_masses_and_centre_at_their_worst_together() -> None:
    """Tail on the right: 160 x 900 + 50.1 x 500 + 105 x 100 over 1000 mm between the lugs = 179.55 kg."""
    records = hung_records([(-500, 0, 500), (500, 0, 500)], (1000, 1000), LEFT_RIGHT)

    found = two_hook_answer(records, "up", "pick-0", "pick-1")

    assert found.worst_tail is not None
    assert found.worst_tail.tail_kg == pytest.approx(179.55, abs=0.01)
    assert found.worst_tail.turned == pytest.approx(0.0)
    # Head on the left: 105 x 900 + 50.1 x 500 + 160 x 100 over 1000.
    assert found.steps[0].head_kg == pytest.approx(135.55, abs=0.01)
    # The tail is slack where the line of the centre passes under the head: tan = 500 / 500 with the best
    # figures; with right lightest 40 and left heaviest 105 the centre is 133.5 mm left of the middle.
    assert found.tail_slack_at == pytest.approx(45.0, abs=0.1)
    assert found.tail_slack_range is not None
    best_left = (105 * 400 - 40 * 400) / (105 + 40 + 49.9)
    assert found.tail_slack_range[0] == pytest.approx(
        math.degrees(math.atan((500 - best_left) / 500)), abs=0.1
    )


@pytest.mark.slow
def test_two_hooks_under_the_centre_turn_it_over() -> None:
    low = two_hook_answer(
        hung_records([(-500, 0, -20), (500, 0, -20)], (1000, 1000)), "up", "pick-0", "pick-1"
    )
    high = two_hook_answer(
        hung_records([(-500, 0, 20), (500, 0, 20)], (1000, 1000)), "up", "pick-0", "pick-1"
    )

    assert low.under_m == pytest.approx(-0.020)
    assert low.first[0].kind == "turns over"
    assert low.first[0].facts == {
        "about": "the line of pick-0 and pick-1",
        "under": Notice("so much under", {"by_m": pytest.approx(0.02)}),
    }
    assert not any("turn" in notice.kind for notice in high.first)


def square(half: float, rise: float) -> list[Spot]:
    return [(half, half, rise), (-half, half, rise), (-half, -half, rise), (half, -half, rise)]


@pytest.mark.slow
def test_four_even_legs_may_be_carried_by_two_and_share_alike_if_they_stretch() -> None:
    chain = "- {gear: sling, name: chain, kind: chain sling, legs: 4, own mass: 9 kg}\n"

    answer = hung(square(400, 300), [1500] * 4, spread="0 mm", sling=chain)
    loose = hung(square(400, 300), [1500] * 4, spread="0 mm")

    rise = math.sqrt(1.5**2 - 2 * 0.4**2) / 1.5
    for leg in legs_of(answer).legs:
        assert leg.share is None
        assert leg.share_low == pytest.approx(0.0, abs=1e-6)
        assert leg.share_high == pytest.approx(0.5, abs=1e-3)
        assert leg.stiff_share == pytest.approx(0.25, abs=1e-9)
        assert most(leg) == pytest.approx(500 / rise, rel=1e-3)
    assert [leg.stiff_share for leg in legs_of(loose).legs] == [None] * 4
    assert any("25.0% if all stretch alike" in line for line in lift_lines(answer))


def test_one_of_four_that_is_far_too_long_leaves_three() -> None:
    answer = hung(
        square(400, 300), [1500, 1500, 1500, 1600], ((1000.0, 0.001, (20.0, 10.0, 0.0)),), spread="5 mm"
    )

    assert most(legs_of(answer).legs[3]) == 0.0
    assert legs_of(answer).legs[3].slack


def test_places_with_a_doubt_are_in_the_most() -> None:
    """A box of 10 mm about the centre of one mass, points 1000 mm apart: at most 510 mm from one of them."""
    place = "at: [0 mm, 0 mm, 0 mm]"
    records = hung_text([(-500, 0, 500), (500, 0, 500)], (1000, 1000))
    exact = lift_answer(collection(records), "up", LiftQuestion())
    doubt = lift_answer(
        collection(
            records.replace(
                f"component: p0, quantity: 1, {place}",
                f"component: p0, quantity: 1, {place}, at plus or minus: 10 mm",
            )
        ),
        "up",
        LiftQuestion(),
    )

    assert doubt.centre is not None
    assert doubt.centre.high == pytest.approx((0.01, 0.01, 0.01))
    assert any("places count as exact" in text for text in words(legs_of(exact).says))
    assert not any("places count as exact" in text for text in words(legs_of(doubt).says))
    # The load rolls about the line of the points until the hook is in one plane with it and the centre.
    aside = math.hypot(0.01, 0.49)
    up, over = math.sqrt(0.75) * 0.49 / aside + 0.49, math.sqrt(0.75) * 0.01 / aside + 0.01
    tilt = math.atan2(math.hypot(0.01, over), up)
    assert legs_of(doubt).stability is not None
    assert legs_of(doubt).stability.tilt_most == pytest.approx(math.degrees(tilt), rel=1e-3)  # type: ignore[union-attr]
    assert most(legs_of(doubt).legs[1]) > most(legs_of(exact).legs[1]) * 1.01


def test_the_shops_own_figure_decides_from_which_tilt_on_it_is_said() -> None:
    shop = "- {shop: yard, name: Yard, first unit: kg, movers: [hoist], most tilt: 3 deg}\n- {mover: hoist, name: Hoist, kind: hoist, shop: yard}\n"

    common = hung([(150, 0, 500), (-150, 0, 500)], (1500, 1530))
    strict = hung([(150, 0, 500), (-150, 0, 500)], (1500, 1530), shop=shop)

    assert legs_of(common).notices == ()
    assert [notice.kind for notice in legs_of(strict).notices] == ["hangs tilted"]


def test_the_most_that_a_leg_may_lean_decides_which_line_of_a_tag_counts() -> None:
    """500 mm aside and 709.6 mm long a leg leans 44.8 degrees; 5 mm off it may lean more than 45."""
    tag = "tag: [{legs: 2, up to: 45 deg, rated: 1400 kg}, {legs: 2, up to: 60 deg, rated: 1000 kg}]"
    chain = f"- {{gear: sling, name: chain, kind: chain sling, legs: 2, own mass: 9 kg, {tag}}}\n"
    picks = [(500.0, 0.0, 300.0), (-500.0, 0.0, 300.0)]

    ratings = [
        {row.rating_kg for row in hung(picks, (709.6, 709.6), spread=spread, sling=chain).ratings}
        for spread in ("0.01 mm", "5 mm")
    ]

    assert 1400.0 in ratings[0]
    assert 1400.0 not in ratings[1]
    assert 1000.0 in ratings[1]


def test_a_leg_that_may_lie_under_thirty_degrees_is_said() -> None:
    """500 mm aside and 579 mm long a leg rises 30.3 degrees."""
    picks = [(500.0, 0.0, 300.0), (-500.0, 0.0, 300.0)]

    exact, doubt = (legs_of(hung(picks, (579, 579), spread=spread)) for spread in ("0.01 mm", "5 mm"))

    assert "flat leg" not in [notice.kind for notice in exact.notices]
    assert [notice.kind for notice in doubt.notices].count("flat leg") == 2


def test_legs_that_may_be_too_short_to_meet_are_said() -> None:
    just = hung([(-500, 0, 300), (500, 0, 300)], (502, 502), spread="10 mm")
    enough = hung([(-500, 0, 300), (500, 0, 300)], (902, 902), spread="10 mm")

    assert "may not meet" in [notice.kind for notice in legs_of(just).notices]
    assert "may not meet" not in [notice.kind for notice in legs_of(enough).notices]


def test_the_gear_is_asked_what_its_leg_pulls_at_most() -> None:
    chain = "- {gear: sling, name: chain, kind: chain sling, legs: 2, own mass: 9 kg, tag: [{legs: 1, rated: 190 kg}]}\n"

    answer = hung([(-500, 0, 500), (500, 0, 500)], (1000, 1000), LEFT_RIGHT, sling=chain)

    demands = [rating.demand_kg for rating in answer.ratings if rating.demand_kg is not None]
    assert max(demands) >= 197.7


def test_a_length_of_the_sling_alone_counts_level_too() -> None:
    """Legs that may be shortened can be made to hang it level: then the hook is lower and they pull more."""
    chain = "- {gear: sling, name: chain, kind: chain sling, legs: 2, length: 1000 mm, length plus or minus: 0.001 mm}\n"

    free = hung([(-500, 0, 500), (500, 0, 500)], (1000, 1000), LEFT_RIGHT)
    either = hung([(-500, 0, 500), (500, 0, 500)], (None, None), LEFT_RIGHT, sling=chain)

    # Level over its worst centre, 500 - 85 mm from the right lug and 585 from the left, 1 m long.
    assert most(legs_of(either).legs[1]) > most(legs_of(free).legs[1])
    assert most(legs_of(either).legs[1]) == pytest.approx(202.66, abs=0.1)


def test_a_rule_of_thumb_below_the_statics_says_so_in_its_line() -> None:
    from handling_db.files.rating_factors import rating_factors

    picks = [(500, 0, 300), (-250, 433, 300), (-250, -433, 300)]
    asked = LiftQuestion(factors=rating_factors())

    answer = hung(picks, [2000] * 3, ((1000.0, 0.001, (460.0, 0.0, 0.0)),), question=asked)

    least = max(most(leg) for leg in legs_of(answer).legs)
    rules = [rule for rule in legs_of(answer).rules if rule.single_leg_rating_kg is not None]
    assert rules
    for rule in rules:
        assert rule.single_leg_rating_kg is not None
        assert rule.below_statics == (rule.single_leg_rating_kg < least)
    lines = [line for line in lift_lines(answer) if "rule of thumb" in line]
    assert any("LESS than the statics above by" in line for line in lines)
    # Rules alike share a line, and none is lost with its source.
    assert len(lines) < len(legs_of(answer).rules)
    for rule in legs_of(answer).rules:
        (line,) = [line for line in lines if rule.rule in line and rule.source in line]
        assert words([rule.says])[0] in line
