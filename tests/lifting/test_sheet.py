"""What a lift sheet has to say beside its figures, in small: landing, breaking loose, edges, threads, notes.

One plate of 400 kg on a foot; every figure beside a test is worked out by hand.
"""

from __future__ import annotations

import datetime
import math

import pytest

from handling_db.files.rating_factors import rating_factors
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LiftAnswer
from handling_db.lifting.reading import reading_answer
from handling_db.lifting.said.words import edge_words, set_down_words, tag_line_words
from tests.from_text import SCALE, collection
from tests.telling import kinds, told, words

DAY = datetime.date(2026, 11, 25)
RECORDS = """
- component: stand
  name: Stand
  kind: assembly
  datum: {{at: middle of the plate, x: forward, y: left, z: up}}
  parts listed: all
  attitudes: [{{id: flat, name: lying flat}}]
  parts:
    - {{component: plate, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}
    - {{component: rail, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}
    - {{component: foot, quantity: 1, at: [0 mm, 0 mm, -500 mm]}}
- {{component: foot, name: Foot, kind: part, masses: [{{printed: 50 kg, plus or minus: 1 kg, source: scale}}]}}
- {{component: rail, name: Rail, kind: part, masses: [{{printed: 30 kg, plus or minus: 1 kg, source: scale}}]}}
- component: plate
  name: Plate
  kind: part
  centre: {centre}
  masses: [{{printed: 400 kg, plus or minus: 1 kg, source: scale}}]
  pick points:
    - {{id: left, name: left eye, at: [0 mm, -500 mm, 100 mm], direction: z, {point}}}
    - {{id: right, name: right eye, at: [0 mm, 500 mm, 100 mm], direction: z, {point}}}
  set down faces:
    - id: underside
      name: underside
      may rest: {may}
      corners:
        [[-50 mm, -500 mm, -100 mm], [50 mm, -500 mm, -100 mm], [50 mm, 500 mm, -100 mm], [-50 mm, 500 mm, -100 mm]]
      square to: -z
- {{gear: sling, name: two-leg sling, kind: chain sling, own mass: 10.0 kg, plus or minus: 0.5 kg, length: 900 mm, legs: 2, tag: [{{legs: 2, up to: 45 deg, rated: 1.4 t}}]}}
- {{mover: crane, name: Crane, kind: crane, cell error: 5 kg, rated: 2 t}}
- {{joint: seat, name: Seat, within: stand, between: [plate, foot], plane: {{at: [0 mm, 0 mm, -100 mm], square to: z}}, ties: [{{id: bolts, kind: bolts, what: bolts, there: yes, count: 4}}]}}
- lift group: plate-off
  name: Plate off the stand
  root: stand
  takes: [[plate], [rail]]
  parts joints: [seat]
  attitude: flat
  trapped: none
  packing: none
  checked by: rigger
  gear: [{{gear: sling, count: 1}}]
  picks: [{{point: left, sling: sling, length: {left}}}, {{point: right, sling: sling, length: {right}}}]
  mover: crane
  set down: {{on: bench, face: underside{rated}}}
  {group}
"""


GIVEN = {
    "centre": "[0 mm, 0 mm, 0 mm]",
    "point": "through: none, blocked by: none, checked by: rigger",
    "may": "yes",
    "left": "900 mm",
    "right": "900 mm",
    "rated": "",
    "group": "remark: none",
    "more": "",
}


def lifted(**texts: str) -> LiftAnswer:
    given = GIVEN | texts
    found = collection(SCALE + RECORDS.format(**given) + given["more"])
    return lift_answer(found, "plate-off", LiftQuestion(as_of=DAY, factors=rating_factors()))


# Landing.


def test_it_stands_with_its_tip_angle_before_anything_is_unhooked() -> None:
    """Half of the base is 50 mm, the centre 100 mm up: atan(50 / 100) = 26 degrees, rounded down."""
    answer = lifted()

    assert "goes over at 26°" in next(text for text in told(answer) if text.startswith("Landing:"))
    assert not any("stand" in kind for kind in kinds(answer)[:1])


def test_a_centre_outside_the_face_stands_first() -> None:
    """30 of 430 kg at 0 and 400 at x = 80: the centre is at 74.4 mm, 24 mm outside of 50."""
    answer = lifted(centre="[80 mm, 0 mm, 0 mm]")

    assert answer.set_down.outside_m == pytest.approx(400 * 0.080 / 430 - 0.050)
    assert answer.set_down.surely
    assert "does not stand" in kinds(answer)
    assert "it does not stand where it is set down" in told(answer)[0]  # beside that it hangs tilted
    assert "is 24 mm outside it" in set_down_words(answer)


def test_a_centre_that_may_be_outside_is_said_to_be_so() -> None:
    """At x = 53.7 mm the centre of both is at 49.95 mm: a kilogram more of the plate puts it outside."""
    answer = lifted(centre="[53.7 mm, 0 mm, 0 mm]")

    assert not answer.set_down.surely
    assert "may not stand" in kinds(answer)
    assert "it may not stand where it is set down" in told(answer)[0]


def test_a_face_it_must_not_rest_on_stands_first() -> None:
    assert kinds(lifted(may="no"))[0] == "must not rest"


@pytest.mark.parametrize(
    ("rated", "kind"),
    [
        (", rated: 430 kg, rated by: sign", "landing place over"),  # 432 kg and 10.5 kg of sling
        (", rated: 500 kg, rated by: sign", ""),
        (", rated: none, rated by: foreman", "landing place not rated"),
        ("", "landing place not rated"),
    ],
)
def test_the_landing_place_beside_what_it_gets(rated: str, kind: str) -> None:
    answer = lifted(rated=rated)

    assert answer.landing.load_kg == pytest.approx(432 + 10.5)
    assert [k for k in kinds(answer) if k.startswith("landing")] == ([kind] if kind else [])


# Breaking loose.


def test_even_legs_leave_the_hook_plumb_as_far_as_they_are_even() -> None:
    """Legs of one chain sling count as within 5 mm: 905 and 895 mm on points 1000 mm apart, law of cosines."""
    answer = lifted()

    assert answer.breaking.off_m == pytest.approx(0.0, abs=1e-9)
    assert answer.breaking.off_high_m == pytest.approx((0.905**2 - 0.895**2) / 2.0, abs=1e-6)
    assert "hook plumb" in kinds(answer)


def test_a_short_leg_draws_the_hook_off_plumb_while_it_is_held() -> None:
    """Legs of 900 and 910 mm on points 1000 mm apart: by the law of cosines the hook stands 9 mm to one side.

    (910^2 - 900^2) / (2 x 1000) = 9.05 mm, towards the short leg.
    """
    answer = lifted(right="910 mm")

    assert answer.breaking.off_m == pytest.approx((0.910**2 - 0.900**2) / 2.0, abs=1e-6)
    assert answer.breaking.towards == "right", "the left eye is at -y, and y is left"
    said = next(text for text in told(answer) if text.startswith("Breaking loose"))
    assert "10 mm right of plumb" in said
    assert "up to twice that" in said


def test_what_the_hook_should_hold_before_the_last_tie() -> None:
    """Plate 400 +- 1, rail 30 +- 1, sling 10 +- 0.5."""
    answer = lifted()

    assert answer.breaking.hold_low_kg == pytest.approx(437.5)
    assert answer.breaking.hold_high_kg == pytest.approx(442.5)
    assert any("should hold 437 kg" in text and "443 kg" in text for text in told(answer))


def test_without_an_upper_figure_there_is_none_to_hold() -> None:
    bare = collection(
        SCALE
        + RECORDS.format(
            centre="[0 mm, 0 mm, 0 mm]",
            point="through: none",
            may="yes",
            left="900 mm",
            right="900 mm",
            rated="",
            group="remark: none",
        )
        .replace("through: none", "through: none, checked by: rigger")
        .replace(", masses: [{printed: 30 kg, plus or minus: 1 kg, source: scale}]", "")
    )
    answer = lift_answer(bare, "plate-off", LiftQuestion(as_of=DAY))

    assert "nothing to hold before the last tie" in kinds(answer)
    assert "hold before the last tie" not in kinds(answer)


# Edges, tag lines, threads, what covers a point.


@pytest.mark.parametrize(
    ("group", "kind", "said"),
    [
        ("remark: none", "edges nobody looked", "over an edge: nobody looked"),
        ("edges: none", "", "over an edge: none, checked by rigger"),
        ("edges: [{what: left leg over the rim, protected: no}]", "edge not protected", "NOT PROTECTED"),
        (
            "edges: [{what: left leg over the rim}]",
            "edge protection nobody looked",
            "whether it is protected: nobody looked",
        ),
        ("edges: [{what: left leg over the rim, protected: yes, by: corner pad}]", "", "by corner pad"),
    ],
)
def test_edges_are_three_valued(group: str, kind: str, said: str) -> None:
    answer = lifted(group=group)

    assert [k for k in kinds(answer) if k.startswith("edge")] == ([kind] if kind else [])
    assert said in edge_words(answer)


def test_tag_lines_are_three_valued() -> None:
    assert tag_line_words(lifted()) == "tag lines: nobody looked"
    assert tag_line_words(lifted(group="tag lines: none")) == "tag lines: none, checked by rigger"
    assert (
        tag_line_words(lifted(group="tag lines: [{at: rail end, what: rope}]")) == "tag lines: rail end: rope"
    )


LOOKED = "through: none, blocked by: none, checked by: rigger"


@pytest.mark.parametrize(
    ("thread", "kind"),
    [
        ("thread: M16, engagement: 23 mm", "thread too short"),  # 1.44 times
        ("thread: M16, engagement: 24 mm", ""),  # 1.5 times
        ("thread: 3/4-10, engagement: 28 mm", "thread too short"),  # 19.05 mm x 1.5 = 28.6 mm
        ("thread: M16", "thread nobody looked"),
        ("thread: some thread", "thread nobody looked"),
    ],
)
def test_threads_are_compared_with_one_and_a_half_times_their_size(thread: str, kind: str) -> None:
    answer = lifted(point=f"{LOOKED}, {thread}")

    assert {k for k in kinds(answer) if k.startswith("thread")} == ({kind} if kind else set())


@pytest.mark.parametrize(
    ("cover", "brief"),
    [
        ("through: none, checked by: rigger", "nobody looked"),
        (LOOKED, "no, says rigger"),
        ("through: none, checked by: rigger, blocked by: [{part: rail}]", "yes"),
        ("through: none, checked by: rigger, blocked by: [{part: foot}]", "once Foot is off"),
    ],
)
def test_the_leg_table_says_whether_a_point_is_blocked(cover: str, brief: str) -> None:
    answer = lifted(point=cover)

    assert answer.legs is not None
    assert [leg.blocked for leg in answer.legs.legs] == [brief, brief]
    assert ("point blocked" in kinds(answer)) is (brief == "yes")


# Notes.

NOTE = """
- {{note: {id}, about: {{{about}}}, kind: {kind}, text: Look first., told by: shop, author: fitter, on: 2026-01-01, status: {status}{more}}}
"""


@pytest.mark.parametrize(
    ("about", "kind", "touches"),
    [
        ("joint: seat", "order", True),
        ("tie: bolts", "tie", True),
        ("lift group: plate-off", "difference", True),
        ("pick point: left", "pick point", True),
        ("component: plate", "balance", True),  # a side of the joint, and it has the picks
        ("component: foot", "access", True),  # the other side
        ("component: rail", "stored energy", True),  # in the lift
        ("component: rail", "balance", False),  # in the lift, but no side of anything
        ("component: plate", "hand", False),  # for the bench
    ],
)
def test_notes_that_touch_the_lift_stand_on_it(about: str, kind: str, touches: bool) -> None:
    found = lifted(more=NOTE.format(id="n", about=about, kind=kind, status="draft", more=""))

    assert [note.id for note in found.notes] == (["n"] if touches else [])
    assert ("stored energy" in kinds(found)) is (kind == "stored energy")


def test_what_is_stored_in_a_piece_that_is_off_already_is_elsewhere() -> None:
    note = NOTE.format(id="n", about="component: rail", kind="stored energy", status="draft", more="")
    job = "- {{job: j, unit: stand, opened: {{on: 2026-01-01, by: fitter}}{off}}}\n"
    off = ", off: [{of: [rail], on: 2026-01-02, by: fitter}]"
    for text, energy in ((job.format(off=""), True), (job.format(off=off), False)):
        found = collection(SCALE + RECORDS.format(**GIVEN) + note + text)
        answer = lift_answer(found, "plate-off", LiftQuestion(job=found.jobs["j"]))
        assert ("stored energy" in kinds(answer)) is energy


def test_withdrawn_and_replaced_notes_are_left_out_and_old_ones_marked() -> None:
    more = NOTE.format(id="a", about="joint: seat", kind="order", status="withdrawn", more=", reason: wrong")
    more += NOTE.format(id="b", about="joint: seat", kind="order", status="draft", more="")
    more += NOTE.format(id="c", about="joint: seat", kind="order", status="draft", more=", replaces: b")
    more += NOTE.format(
        id="d", about="joint: seat", kind="order", status="draft", more=", review by: 2026-11-24"
    )

    assert [(note.id, note.stale) for note in lifted(more=more).notes] == [("c", False), ("d", True)]


# A reading that is too low.


@pytest.mark.parametrize(
    ("seen", "first", "fits"),
    [
        (440.0, "inside what it may weigh", []),
        # 410 +- 5: from 22.5 to 37.5 kg are missing; the rail weighs 29 to 31.
        (410.0, "reads too low", ["Rail may not be on the hook."]),
        # 430 +- 5: from 2.5 to 17.5 kg; the sling weighs 10.
        (430.0, "reads too low", ["Two-leg sling: the cell may have been zeroed with it on, or it hangs above the cell."]),
        (200.0, "reads too low", []),
    ],
)  # fmt: skip
def test_a_reading_that_is_too_low(seen: float, first: str, fits: list[str]) -> None:
    given = RECORDS.format(
        centre="[0 mm, 0 mm, 0 mm]", point=LOOKED, may="yes", left="900 mm", right="900 mm", rated="", group="remark: none"
    )  # fmt: skip
    answer = reading_answer(collection(SCALE + given), "plate-off", seen, LiftQuestion(as_of=DAY))

    assert answer.says[0].kind == first
    assert words(answer.parts) == fits
    carries = [notice for notice in answer.says if notice.kind == "something else still carries"]
    assert "bolts (to come out)" in str(carries[0].facts["what"]) if carries else seen == 440.0


def test_a_reading_that_is_too_high_names_what_could_hold_it() -> None:
    given = RECORDS.format(
        centre="[0 mm, 0 mm, 0 mm]", point=LOOKED, may="yes", left="900 mm", right="900 mm", rated="", group="remark: none"
    )  # fmt: skip
    answer = reading_answer(collection(SCALE + given), "plate-off", 900.0, LiftQuestion(as_of=DAY))

    kinds = [notice.kind for notice in answer.says]
    assert kinds == ["reads too high", "could hold that", "or nobody listed it"]


def test_the_band_of_the_reading_has_two_ends() -> None:
    """437.5 to 442.5 kg, the cell 5 kg either way."""
    reading = lifted().reading

    assert reading.look_again_kg == pytest.approx(447.5)
    assert reading.look_again_below_kg == pytest.approx(432.5)
    assert math.isclose(reading.look_again_kg - reading.look_again_below_kg, 15.0)
