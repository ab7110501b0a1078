"""Lifts in small: ratings in the line of pull, charts, joints that are crossed, faces, gaps."""

from __future__ import annotations

import datetime
import math

import pytest

from handling_db.errors import UnknownNameError
from handling_db.files.rating_factors import rating_factors
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LiftAnswer, RatingFigure
from handling_db.lifting.said.words import lift_lines
from handling_db.quantities.amount import StaticsError
from tests.from_text import SCALE, collection
from tests.telling import kinds, told, words

DAY = datetime.date(2026, 11, 25)

# A plate of 400 kg, 1 m square, with an eye in the middle of its top and one at each corner.
PLATE = """
- component: stand
  name: Stand
  kind: assembly
  parts listed: all
  attitudes: [{{id: flat, name: lying flat}}]
  parts:
    - {{component: plate, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}
    - {{component: foot, quantity: 1, at: [0 mm, 0 mm, -500 mm]}}
- {{component: foot, name: Foot, kind: part, masses: [{{printed: 50 kg, plus or minus: 1 kg, source: scale}}]}}
- component: plate
  name: Plate
  kind: part
  masses: [{{printed: 400 kg, plus or minus: 4 kg, source: scale}}]
  pick points:
    - {{id: left, name: left eye, at: [0 mm, -500 mm, 100 mm], direction: z, {left}}}
    - {{id: right, name: right eye, at: [0 mm, 500 mm, 100 mm], direction: z, {right}}}
  set down faces:
    - id: underside
      name: underside
      may rest: yes
      corners:
        [[-500 mm, -500 mm, -100 mm], [500 mm, -500 mm, -100 mm], [500 mm, 500 mm, -100 mm], [-500 mm, 500 mm, -100 mm]]
      square to: -z
- gear: sling
  name: two-leg sling
  kind: chain sling
  own mass: 10.0 kg
  plus or minus: 0.5 kg
  length: {length}
  length plus or minus: 0.01 mm
  legs: 2
  tag: [{{legs: 1, rated: 1 t}}, {{legs: 2, up to: 45 deg, rated: 1.4 t}}, {{legs: 2, up to: 60 deg, rated: 1 t}}]
- gear: eye
  name: eye bolt M16
  kind: eye bolt
  own mass: 0.50 kg
  plus or minus: 0.1 kg
  size: M16
  {family}
  tag: [{{rated: 700 kg}}]
  inspection due: {due}
- {{mover: crane, name: Crane, kind: crane, cell error: 5 kg, {mover}}}
- lift group: plate-off
  name: Plate off the stand
  root: stand
  takes: [[plate]]
  attitude: flat
  trapped: none
  packing: none
  checked by: rigger
  gear: [{{gear: sling, count: 1}}, {{gear: eye, count: 2}}]
  picks: [{{point: left, sling: sling, links: [eye]}}, {{point: right, sling: sling, links: [eye]}}]
  mover: crane
  set down: {{on: wood, face: underside, height: 1 m, piece below points: 100 mm}}
  {group}
"""
THROUGH = "through: none, blocked by: none, checked by: rigger"
RATED = f"{THROUGH}, rated: [{{up to: 10 deg, rated: 500 kg}}, {{up to: 50 deg, rated: 300 kg}}], rated by: drawing"


def plate(
    *,
    left: str = THROUGH,
    right: str = THROUGH,
    length: str = "707.2 mm",
    family: str = "family: lifting-eye-din-580",
    due: str = "2027-01-01",
    mover: str = "rated: 2 t",
    group: str = "remark: none",
    more: str = "",
    question: LiftQuestion | None = None,
) -> LiftAnswer:
    text = PLATE.format(
        left=left, right=right, length=length, family=family, due=due, mover=mover, group=group
    )
    asked = question or LiftQuestion(as_of=DAY, factors=rating_factors())
    return lift_answer(collection(SCALE + text + more), "plate-off", asked)


def rating(answer: LiftAnswer, name: str) -> RatingFigure:
    return next(one for one in answer.ratings if one.name.startswith(name))


def test_two_legs_at_forty_five_degrees() -> None:
    answer = plate()

    assert answer.legs is not None
    assert [leg.from_horizontal for leg in answer.legs.legs] == pytest.approx([45, 45], abs=0.02)
    # Half of 400 kg, and of the heaviest 404 kg, over the sine of 45 degrees.
    assert [leg.tension_kg for leg in answer.legs.legs] == pytest.approx([200 * math.sqrt(2)] * 2, rel=5e-4)
    assert [leg.tension_high_kg for leg in answer.legs.legs] == pytest.approx(
        [202 * math.sqrt(2)] * 2, rel=5e-4
    )


def test_an_eye_bolt_counts_by_its_angled_rating_and_family() -> None:
    eye = rating(plate(), "eye bolt M16 at left")

    assert eye.rating_kg == pytest.approx(500)  # DIN 580 prints 500 kg for M16 up to 45 degrees
    assert "DIN 580" in words([eye.basis])[0]
    assert eye.demand_kg == pytest.approx(202 * math.sqrt(2), rel=5e-4)


def test_without_a_family_the_strictest_is_taken() -> None:
    strict = rating(plate(family="shouldered: yes"), "eye bolt M16 at left")

    assert strict.rating_kg == pytest.approx(0.25 * 700)
    assert strict.over


def test_an_eye_without_a_shoulder_has_no_angled_rating() -> None:
    eye = rating(plate(family="shouldered: no"), "eye bolt M16 at left")

    assert eye.rating_kg is None
    assert any("no rating at 45°" in text for text in words(eye.says))


def test_a_point_is_rated_by_the_narrowest_row_that_covers_the_pull() -> None:
    answer = plate(left=RATED)

    assert rating(answer, "left eye").rating_kg == 300
    assert rating(answer, "right eye").rating_kg is None
    assert {point.id: point.proposed for point in answer.points} == {"left": True, "right": False}
    assert any("Not compared with what it gets: right eye (right)" in text for text in told(answer))


def test_a_pull_outside_every_row_has_no_rating() -> None:
    narrow = RATED.replace("50 deg", "40 deg")

    assert rating(plate(left=narrow), "left eye").rating_kg is None


def test_a_demand_over_the_rating_is_a_warning() -> None:
    weak = RATED.replace("300 kg", "250 kg")

    answer = plate(left=weak)

    words = "Left eye (left): gets 286 kg (630 lb), which is more than the 250 kg (551 lb) it is rated for"
    assert any(words in text for text in told(answer))


def test_the_tag_of_the_sling_counts_by_legs_and_lean() -> None:
    steep, flat = plate(length="900 mm"), plate(length="600 mm")

    assert rating(steep, "two-leg sling").rating_kg == 1400
    assert rating(flat, "two-leg sling").rating_kg == 1000
    assert rating(flat, "one leg of two-leg sling").rating_kg == 1000


def test_legs_flatter_than_thirty_degrees_show_their_pull_with_the_refusal() -> None:
    """By hand: 0.55 m legs to points 1 m apart rise asin(sqrt(0.55^2 - 0.5^2) / 0.55) = 24.6 degrees."""
    answer = plate(length="550 mm")

    assert answer.legs is not None
    rise = math.sqrt(0.55**2 - 0.5**2) / 0.55
    leg = answer.legs.legs[0]
    assert leg.from_horizontal == pytest.approx(math.degrees(math.asin(rise)))
    assert leg.tension_kg == pytest.approx(200 / rise)
    assert leg.tension_high_kg is not None
    assert leg.tension_high_kg > 202 / rise
    assert any("24.6° from the horizontal" in text and "not used unless" in text for text in told(answer))


def test_legs_too_short_to_meet_are_refused() -> None:
    answer = plate(length="400 mm")

    assert "cannot meet" in answer.no_legs
    assert answer.first[0].kind == "cannot meet"
    assert "cannot meet" not in {notice.kind for notice in plate().first}


def test_gear_past_its_inspection_limits_nothing_and_says_so() -> None:
    answer = plate(due="2026-11-24")

    assert rating(answer, "eye bolt").struck
    assert not any("eye bolt" in str(limit.reason) for limit in answer.reading.stops)
    assert any("eye bolt M16 at left (inspection was due" in text for text in words(answer.reading.not_known))
    assert plate(due="2026-11-25").reading.not_known != answer.reading.not_known


def test_without_a_day_no_inspection_is_looked_at() -> None:
    assert not rating(
        plate(due="2020-01-01", question=LiftQuestion(factors=rating_factors())), "eye bolt"
    ).struck


def test_rules_of_thumb_are_named_and_side_by_side() -> None:
    legs = plate().legs

    assert legs is not None
    found = {rule.rule: rule.single_leg_rating_kg for rule in legs.rules}
    assert found["uniform rating of chain slings"] == pytest.approx(404 / 1.4)
    assert found["trigonometric method, three of four carry"] == pytest.approx(
        404 / (2 * math.cos(math.pi / 4)), rel=5e-4
    )
    assert all(rule.source and rule.verified for rule in legs.rules)


CHART = "chart: [{radius: 2 m, capacity: 1 t}, {radius: 3 m, capacity: 600 kg}], block mass: 30.0 kg"


def test_a_chart_is_read_on_the_cautious_side_less_the_block() -> None:
    answer = plate(mover=CHART, group="radius: 2.5 m")

    assert answer.mover is not None
    assert answer.mover.rating_kg == pytest.approx(600 - 30.05, abs=0.5)
    assert "smallest of 2 printed neighbours" in words([answer.mover.rating_words])[0]
    assert "nobody looked whether the chart allows for the block" in words([answer.mover.rating_words])[0]


def test_a_chart_that_allows_for_the_block() -> None:
    answer = plate(mover=f"{CHART}, block included: yes", group="radius: 3 m")

    assert answer.mover is not None
    assert answer.mover.rating_kg == 600


@pytest.mark.parametrize(
    ("mover", "group", "why"),
    [
        (CHART, "remark: none", "the radius of this lift is not recorded"),
        (CHART, "radius: 4 m", "outside the chart (2 to 3 m): not rated"),
        ("rated note: none", "remark: none", "no rating is recorded; read its plate"),
        ("rated: 2 t, inspection due: 2026-11-24", "remark: none", "its rating is not used"),
    ],
)
def test_a_crane_without_a_rating_here(mover: str, group: str, why: str) -> None:
    answer = plate(mover=mover, group=group)

    assert answer.mover is not None
    assert answer.mover.rating_kg is None
    assert why in words([answer.mover.rating_words])[0]
    assert any(why in text for text in told(answer))


def test_over_the_rating_and_over_the_shops_threshold() -> None:
    shop = "- {shop: shed, name: Shed, planning: 90 %, break loose: 5 %}\n"
    over = plate(mover="rated: 415 kg, shop: shed", more=shop)
    near = plate(mover="rated: 450 kg, shop: shed", more=shop)

    assert any("more than the rating of Crane" in text for text in told(over))
    assert any("more than 90 % of the rating of Crane" in text for text in told(near))
    # 411 kg with sling and eyes, 5 % more.
    assert near.reading.stops[0].at_kg == pytest.approx(411 * 1.05)


def test_a_fixed_error_of_the_cell() -> None:
    answer = plate()

    assert answer.reading.expected is not None
    assert answer.reading.expected.high is not None
    assert answer.reading.look_again_kg == pytest.approx(answer.reading.expected.high + 5)


def test_a_joint_that_is_crossed_and_not_listed_is_said() -> None:
    joint = "- {joint: feet, name: Feet, within: stand, between: [plate, foot]}\n"

    answer = plate(more=joint)

    assert told(answer)[0].startswith("Nobody looked what holds Feet;")
    assert any("Joint feet is crossed by this lift and not listed" in text for text in told(answer))


def test_a_joint_that_is_not_recorded_is_said() -> None:
    answer = plate(group="parts joints: [feet]")

    assert any("Joint feet is not recorded" in text for text in told(answer))


def test_nothing_unknown_is_no_praise() -> None:
    answer = plate(mover="rated: 2 t, hook height: 4 m", left=RATED, right=RATED)

    assert "no gap recorded" not in kinds(answer), "the stop figure has one"


def test_standing_on_the_recorded_face() -> None:
    down = plate().set_down

    assert down.centre_height_m == pytest.approx(0.1)
    assert down.weakest is not None
    assert down.weakest.tips_at == pytest.approx(math.degrees(math.atan2(0.5, 0.1)))


def test_headroom_without_a_hook_height_is_not_known() -> None:
    answer = plate()

    assert answer.headroom.left_m is None
    assert any("eadroom: not known: hook height" in text for text in told(answer))


def test_something_gives_way_under_slack_legs() -> None:
    asked = LiftQuestion(factors=rating_factors(), drop_m=0.005, stretch_m=0.003)
    answer, bare = plate(question=asked), plate(question=LiftQuestion(drop_m=0.005))

    assert answer.sudden[1].highest_kg is not None
    assert answer.reading.expected is not None
    assert answer.sudden[1].highest_kg / (answer.reading.expected.high or 0) == pytest.approx(3.08, abs=0.01)
    assert bare.sudden[1].highest_kg is None
    assert "the stretch of the rigging under the load is not known" in words([bare.sudden[1].says])[0]


def test_a_longer_leg_hangs_out_of_level() -> None:
    answer = plate(question=LiftQuestion(picks={"left": 1.0, "right": 0.9}))

    assert answer.legs is not None
    assert answer.legs.rest is not None
    assert answer.legs.rest.tilt > 1.0
    assert any(
        "the leg at left is" in text and "longer than the level pose needs" in text
        for text in words(answer.legs.says)
    )


def test_no_such_lift_group_lists_those_there_are() -> None:
    with pytest.raises(UnknownNameError, match="there is no lift group 'x'; there are: none"):
        lift_answer(collection(SCALE), "x")


def test_an_attitude_the_root_does_not_have_is_refused() -> None:
    text = PLATE.replace("attitude: flat", "attitude: upright")

    with pytest.raises(StaticsError, match="Stand has no attitude 'upright'; it has: flat"):
        lift_answer(
            collection(
                SCALE
                + text.format(
                    left=THROUGH,
                    right=THROUGH,
                    length="1 m",
                    family="",
                    due="2027-01-01",
                    mover="rated: 2 t",
                    group="",
                )
            ),
            "plate-off",
        )


def test_every_line_is_printable() -> None:
    assert all(isinstance(line, str) for line in lift_lines(plate()))
