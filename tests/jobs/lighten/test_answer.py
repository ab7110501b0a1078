"""What comes off first in the demo, and in small units whose figures are written out beside each."""

from __future__ import annotations

import datetime
from fractions import Fraction
from typing import Any

import pytest

from handling_db.jobs.lighten.answer import lighten_answer
from handling_db.jobs.lighten.asked import LightenQuestion
from handling_db.jobs.lighten.figures import LightenAnswer
from handling_db.jobs.lighten.words import headline, lighten_text
from handling_db.lifting.answer import lift_answer
from handling_db.records.collection import Collection
from tests.from_text import SCALE, collection

DAY = datetime.date(2026, 11, 25)
PARTED = "section-broken-loose-tarrowby"


def ask(records: Collection, what: str, **given: Any) -> LightenAnswer:
    under = given.pop("under", None)
    question = LightenQuestion(
        what=what, under_kg=None if under is None else Fraction(str(under)), as_of=DAY, **given
    )
    return lighten_answer(records, question)


@pytest.fixture(scope="module")
def parted(demo: Collection) -> LightenAnswer:
    return ask(demo, PARTED)


def names(answer: LightenAnswer) -> list[list[str]]:
    return [[one.id for one in option.off] for option in answer.options]


def test_off_the_truck_it_is_under_the_jib_of_the_second_shop(demo: Collection) -> None:
    """451.006 of the parts at most, 1.601 of oil, 11.1 of gear: 463.7 beside 500; nothing breaks loose."""
    answer = ask(demo, "section-off-the-truck")

    assert answer.limit.kg == 500.0
    assert answer.limit.loose_share is None
    assert answer.now.asked_kg == pytest.approx(463.707, abs=2e-3)
    assert (answer.fewest, answer.options) == (0, ())
    assert "at most 464 kg" in headline(answer)
    assert "nothing has to come off" in headline(answer)


def test_where_it_has_to_break_loose_it_is_over(parted: LightenAnswer) -> None:
    """463.707 with a tenth of the whole reading on it: 510.08."""
    answer = parted

    assert answer.limit.loose_share == pytest.approx(0.10)
    assert answer.now.asked_kg == pytest.approx(510.078, abs=2e-3)
    assert "at most 511 kg" in headline(answer)
    assert (answer.fewest, answer.proved) == (1, True)


def test_the_rear_flange_alone_is_a_knifes_edge(parted: LightenAnswer) -> None:
    """9.9 of 451.006 off, a tenth on top: 499.19 beside 500."""
    answer = parted
    flange = next(o for o in answer.options if [one.id for one in o.off] == ["rear-output-flange"])
    caliper = next(o for o in answer.options if [one.id for one in o.off] == ["parking-brake-caliper"])

    assert flange.rest.margin_kg == pytest.approx(0.812, abs=2e-3)
    assert flange.rest.edge
    assert not caliper.rest.edge
    assert "KNIFE'S EDGE" in lighten_text(answer)


def test_the_brake_and_the_flange_come_off_where_nothing_is_left_held_by_nothing(
    parted: LightenAnswer,
) -> None:
    """The caliper and the flange hold the disc in, so all three: what the foreman of the story does."""
    answer = parted
    (careful,) = answer.careful

    assert [one.id for one in careful.off][-1] == "parking-brake-disc"
    assert {one.id for one in careful.off} == {
        "parking-brake-caliper",
        "parking-brake-disc",
        "rear-output-flange",
    }
    assert answer.careful_proved
    assert all(one.by == "hands" for one in careful.off)
    assert careful.hook_kg == 0.0


def test_nothing_that_carries_or_holds_comes_off_in_silence(demo: Collection, parted: LightenAnswer) -> None:
    said = {one.id: {n.kind for n in one.says} for option in parted.options for one in option.off}
    cover = ask(demo, "lock-clutch-pack", under=30)
    loud = ask(demo, "differential-section", under=425, state="drained", break_loose=False)

    assert "holds in" in said["parking-brake-caliper"]
    assert "stored energy" in said["parking-brake-caliper"]
    assert "holds in" in said["rear-output-flange"]
    assert all("nobody looked what it holds" in {n.kind for n in o.says} for o in cover.options)
    off = [one for option in loud.options for one in option.off if one.id == "rear-cover"]
    assert off
    for one in off:
        assert {"carries the picks", "holds in", "closes oil in"} <= {n.kind for n in one.says}


def test_the_rest_is_the_figure_of_a_lift_that_leaves_it_behind(demo: Collection) -> None:
    """The recorded lift without front kit and caliper, and the one with everything on and those off."""
    lift = lift_answer(demo, "upper-half-lift")
    left = ask(demo, "upper-half-lift", shop="low-tarrowby")

    assert left.now.pieces is not None
    assert left.now.pieces == lift.group
    assert left.now.load == lift.reading.expected


def test_what_is_left_behind_may_be_left_on_as_a_figure(demo: Collection) -> None:
    """372.056 ± 2.68 with oil and gear, each piece put back at most, a tenth on top; all of them: 510.08."""
    answer = ask(demo, "upper-half-lift", shop="low-tarrowby")
    figures = {one.names: one.rest.asked_kg for one in answer.left_on}
    everything = max(figures, key=len)

    assert figures["Parking brake caliper",] == pytest.approx(426.181 + 16.5 * 1.1, abs=2e-3)
    assert figures["Front output shaft",] == pytest.approx(426.181 + 23.87 * 1.1, abs=2e-3)
    assert figures[everything] == pytest.approx(510.078, abs=2e-3)
    assert "may" not in headline(answer)


WHOLE = (
    SCALE
    + """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts:
    - {component: base, quantity: 1}
    - {component: box, quantity: 1}
    - {component: lid, quantity: 1}
  masses:
    - {printed: 300 kg, plus or minus: 1 kg, state: dry, counts: as listed, without: none, checked by: me, source: scale}
- component: base
  name: Base
  kind: part
  masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]
- {component: box, name: Box, kind: part}
- component: lid
  name: Lid
  kind: part
  holds in: [{part: box}]
  masses: [{printed: 20 kg, plus or minus: 1 kg, source: scale}]
"""
)


def test_a_piece_that_nobody_weighed_counts_at_its_least_where_it_comes_off() -> None:
    """Box: 300 ± 1 less 100 ± 1 less 20 ± 1 is 177 to 183. Without lid and box the rest is the base, 101 at most.

    With the lid off alone it is 301 - 19 = 282 at most, not 301 - 21.
    """
    records = collection(WHOLE)
    lid = ask(records, "unit", under=283)
    box = ask(records, "unit", under=150)

    assert names(lid) == [["lid"]]
    assert lid.options[0].rest.asked_kg == pytest.approx(282.0, abs=1e-6)
    assert names(box) == [["lid", "box"]]
    assert box.options[0].rest.asked_kg == pytest.approx(101.0, abs=1e-6)
    # The base alone off leaves 301 - 99 = 202 at most.
    assert [ask(records, "unit", under=kg).fewest for kg in ("201.9", "202.1")] == [2, 1]


def test_without_an_upper_figure_nothing_is_under() -> None:
    records = collection(
        WHOLE.replace(
            "    - {printed: 300 kg, plus or minus: 1 kg, state: dry, counts: as listed, without: none, checked by: me, source: scale}\n",
            "",
        ).replace("  masses:\n- component: base", "- component: base")
    )
    answer = ask(records, "unit", under=150)

    assert answer.now.asked_kg is None
    assert names(answer) == [["lid", "box"]]
    assert "no upper figure" in lighten_text(answer)
    assert answer.options[0].off[1].by == "not known"


def test_more_than_a_limit_is_said_and_how_far_off_everything_is() -> None:
    answer = ask(collection(WHOLE), "unit", under=5)

    assert (answer.fewest, answer.proved) == (None, True)
    assert answer.all_off is not None
    assert answer.all_off.asked_kg is not None
    assert "No choice of pieces" in headline(answer)
    assert "With everything off that may come off" in lighten_text(answer)


JOINT = (
    SCALE
    + """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: left, quantity: 1}, {component: right, quantity: 1}, {component: bolt, quantity: 4}]
- component: left
  name: Left
  kind: part
  masses: [{printed: 100 kg, plus or minus: 1 kg, source: scale}]
- component: right
  name: Right
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: shaft, quantity: 1}]
- component: case
  name: Case
  kind: part
  masses: [{printed: 60 kg, plus or minus: 1 kg, source: scale}]
- component: shaft
  name: Shaft
  kind: part
  masses: [{printed: 10 kg, plus or minus: 1 kg, source: scale}]
- component: bolt
  name: Bolt
  kind: part
  masses: [{printed: 0.5 kg, plus or minus: 0.1 kg, source: scale}]
- joint: seam
  name: Seam
  within: unit
  between: [left, right]
  ties listed: all
  checked by: me
  ties:
    - {id: bolts, kind: bolts, what: bolts, there: yes, part: [bolt], count: 4, after: [shaft-out]}
    - {id: shaft-out, kind: shaft, what: shaft across the seam, there: yes, part: [right, shaft], count: 1}
"""
)


def test_a_side_comes_off_after_the_shaft_across_the_joint_and_its_bolts_in_order() -> None:
    answer = ask(collection(JOINT), "unit", under=110)
    option = next(o for o in answer.options if o.off[-1].id == "right")

    assert answer.fewest == 2
    assert [one.id for one in option.off] == ["shaft", "right"]
    assert [tie.id for tie in option.off[1].ties] == ["bolts"]  # the shaft is out by then
    assert option.off[1].load is not None
    assert option.off[1].load.high == pytest.approx(61.0)
    assert answer.not_offered == ("Bolt",)


def test_a_limit_is_never_met_by_taking_off_bolts() -> None:
    answer = ask(collection(JOINT), "unit", under="173.3")  # 2 kg of bolts would do by weight

    assert all(one.id != "bolt" for option in answer.options for one in option.off)
    assert answer.fewest == 1


def test_every_caution_and_no_permission(parted: LightenAnswer) -> None:
    text = lighten_text(parted).lower()

    for word in ("safe", " ok", "permitted", "allowed"):
        assert word not in text
    assert "figures, not permission" in text
    assert "stored energy" in text
