"""Where it goes: the demo's parked half, and pieces with gaps, from records to figures.

The demo's figures are our own example carried through, not a validation.
"""

from __future__ import annotations

import datetime
import math
import re
from fractions import Fraction
from string import Formatter

import pytest

from handling_db.carrying.checks import MovingInputError
from handling_db.errors import HandlingError, UnknownNameError
from handling_db.moving.answer import move_answer
from handling_db.moving.dock_scale import against_scale
from handling_db.moving.load import MoveError
from handling_db.moving.notices import CLAUSES, KINDS, notice_words, told
from handling_db.moving.question import MoveQuestion
from handling_db.moving.texts import read_question
from handling_db.moving.words import gross_words, plan_words
from handling_db.quantities.notice import Notice
from tests.from_text import with_nothing_around

DRIVE = {"auxiliary-drive": (Fraction("22.3"), Fraction("22.3"))}


def ask(collection, what, **more):
    return move_answer(collection, MoveQuestion(what=what, **more))


@pytest.fixture(scope="module")
def parked(demo):
    return ask(demo, "upper-half-lift")


def test_gross_of_the_parked_half(parked):
    """Half 372.1 + trapped oil 1.0 + saddle pallet 38, every doubt at its highest: about 415 kg."""
    assert math.ceil(parked.gross.high) == 415
    assert parked.gross.best == pytest.approx(372.056 + 1.0005 + 38.0)
    assert gross_words(parked) == "Gross: plan with 415 kg (915 lb)"


def test_it_stands_on_its_flange(parked):
    """219 mm up on 580 mm across: over at 53 degrees on a level floor; doubt and slope come off."""
    on_face = parked.standing[0]
    assert on_face.face == "joint-flange"
    assert round(on_face.height_m * 1000) == 219
    assert {round(edge.best_tips_at) for edge in on_face.edges} == {53}
    assert on_face.weakest.tips_at < 53 - 3 + 0.1
    assert on_face.slope == pytest.approx(3)


def test_on_its_pallet_it_is_one_body_only_if_tied(parked):
    packed = parked.standing[1]
    assert packed.weakest.best_base_m == pytest.approx(0.4)
    assert any("only if the piece is tied" in text for text in told(packed.says))


def test_turned_unit_on_its_front_face(demo):
    """39 degrees towards the output side, which is down as installed; 331 mm above the face."""
    answer = ask(demo, "turn-onto-front-face", face="front-face", pallet="none", assumed=DRIVE)
    weakest = answer.standing[0].weakest
    assert (weakest.towards, round(weakest.best_tips_at)) == ("the output side", 39)
    assert round(answer.standing[0].height_m * 1000) == 331
    assert answer.assumed == ("Auxiliary drive",)


def test_forklift_figures_both_ways_in(parked):
    bare = [t for t in parked.trucks if t.id == "quay-forklift" and not t.attachment]
    assert [truck.side for truck in bare] == ["low x", "high x"]
    for truck in bare:
        assert truck.look_up_m == pytest.approx(0.6)
        assert [round(one.rating_kg) for one in truck.beside] == [1250, 1347]
        assert told(parked.cautions)[0].startswith("The plate governs")


def test_jib_counts_only_by_its_own_rows(parked):
    (jib,) = [truck for truck in parked.trucks if truck.attachment]
    assert [round(kg) for _, kg in jib.moments] == [500, 702]
    assert [one.word for one in jib.beside] == ["not known"]
    assert any("counts only by its own plate rows" in text for text in told(jib.says))


def test_plate_rows_are_used_and_not_interpolated(demo):
    answer = ask(demo, "upper-half-lift", shop="low-tarrowby", lift_height=2.0)
    ratings = {one.rating_kg for truck in answer.trucks for one in truck.beside}
    assert ratings == {650.0}


def test_pallet_floor_and_way(parked):
    assert (parked.pallet.used, parked.pallet.beside.rating_kg) == ("any", 600.0)
    assert notice_words(parked.pallet.stacking).startswith("Not to be stacked")
    rack = next(floor for floor in parked.floors if floor.id == "rack")
    assert [one.rating_kg for one in rack.beside] == pytest.approx([480.0, 600.0])
    store = next(way for way in parked.ways if way.id == "bay-to-store")
    assert store.turned == "does not go through"
    assert store.straight == "not recorded"


def test_feet_share_at_most_half_each(parked):
    assert len(parked.feet) == 6
    assert max(foot.highest_kg for foot in parked.feet) == pytest.approx(parked.gross.high / 2)
    assert sum(foot.even_kg for foot in parked.feet) == pytest.approx(parked.gross.high)


def test_open_ties_stand_on_it_even_when_no_job_is_named(parked):
    assert [tie.count for tie in parked.ties] == ["2", "4"]
    assert "job qsn-1187" in parked.ties[1].by
    assert any("Open here: qsn-1187" in text for text in told(parked.not_known))


def test_a_job_confirms_the_build(demo):
    answer = ask(demo, "upper-half-lift", job="qsn-1187")
    assert answer.serial == "1187"
    assert ("discs", "8", True) in answer.build


def test_what_a_weighed_whole_leaves_bounds_the_piece_as_the_look_up_says(demo):
    answer = ask(demo, "gear-section", state="dry")
    assert (answer.gross.low, answer.gross.high) == (pytest.approx(385.28), pytest.approx(397.67))
    assert "which face it stands on" in answer.no_centre


def test_an_unknown_mass_gives_at_least_and_no_centre(demo):
    answer = ask(with_nothing_around(demo, "auxiliary-drive"), "gear-section", state="dry")
    assert answer.gross.high is None
    assert plan_words(answer.gross) == "AT LEAST 369.2 kg (813.9 lb)"
    assert gross_words(answer).endswith("no upper figure: no mass for Auxiliary drive")
    assert notice_words(answer.first).startswith("AT LEAST: no mass for Auxiliary drive")
    assert answer.centre is None
    assert all(one.word == "not known" for truck in answer.trucks for one in truck.beside)


def test_a_range_for_the_unknown_gives_figures_and_is_named(demo):
    answer = ask(demo, "gear-section", state="dry", assumed={"auxiliary-drive": (Fraction(19), Fraction(25))})
    assert answer.gross.high == pytest.approx(372.54 + 25)
    assert answer.assumed == ("Auxiliary drive",)


def test_share_of_a_fluid_listed_above_is_not_nothing(demo):
    wet = ask(demo, "differential-section", state="drained")
    dry = ask(demo, "differential-section", state="dry")
    filled = ask(demo, "differential-section", state="filled")
    assert dry.missing == wet.missing == filled.missing == ()
    assert dry.gross.high == pytest.approx(451.006)
    # None to all: 24 and at most 25 L of 0.87 to 0.875 kg/L when filled, at most 4 L of them when drained.
    assert filled.gross.low == wet.gross.low == dry.gross.low
    assert filled.gross.high == pytest.approx(451.006 + 25 * 0.875, abs=0.2)
    assert wet.gross.high == pytest.approx(451.006 + 4 * 0.875, abs=0.05)


def test_fluid_inside_a_whole_counts_by_its_state(demo):
    filled = ask(demo, "transfer-box", state="filled", assumed=DRIVE)
    drained = ask(demo, "transfer-box", state="drained", assumed=DRIVE)
    assert filled.gross.best - drained.gross.best == pytest.approx((24 - 2.5) * 0.87)


def test_a_pallet_nobody_weighed_gives_at_least(demo):
    answer = ask(demo, "upper-half-lift", pallet="flat-pallet-tarrowby", packing="none")
    assert answer.gross.high is None
    assert answer.missing == ("pallet: Flat pallet, Low Tarrowby",)
    assert answer.pallet.beside.rating_kg is None


def test_inspections_past_are_said_first(demo):
    answer = move_answer(demo, MoveQuestion(what="upper-half-lift"), as_of=datetime.date(2027, 3, 1))
    assert told(answer.not_known)[0] == "Forklift, Quay Shed Nine: inspection was due on 2027-01-29."
    assert "Saddle pallet: inspection was due on 2027-02-28." in told(answer.not_known)


def test_slope_that_was_asked_comes_off(demo):
    level = ask(demo, "upper-half-lift", slope=0.0).weakest
    steep = ask(demo, "upper-half-lift", slope=math.radians(10)).weakest
    assert level.tips_at - steep.tips_at == pytest.approx(10)


@pytest.mark.parametrize(
    ("question", "error", "words"),
    [
        ({"what": "nothing"}, UnknownNameError, "there is no lift group and no component 'nothing'"),
        ({"what": "upper-half-lift", "pallet": "x"}, UnknownNameError, "there is no pallet 'x'; there are:"),
        ({"what": "upper-half-lift", "route": "x"}, UnknownNameError, "has no route 'x'"),
        ({"what": "upper-half-lift", "face": "x"}, MoveError, "no face goes by 'x'"),
        ({"what": "oil-charge"}, MoveError, "is a fluid; ask about what it is in, with a state"),
        ({"what": "upper-half-lift", "state": "dry"}, MoveError, "says itself what fluid is trapped"),
    ],
)
def test_wrong_questions_say_what_there_is(demo, question, error, words):
    with pytest.raises(error, match=re.escape(words)):
        move_answer(demo, MoveQuestion(**question))


@pytest.mark.parametrize(
    ("texts", "more", "words"),
    [
        ({"lift_height": "300"}, {}, "lift height '300'"),
        ({"slope": "60 deg"}, {}, "write a slope from 0 deg to 45 deg"),
        ({"state": "wet"}, {}, "is not one of: dry, drained, filled"),
        ({}, {"assume": ["pump"]}, "write PART=LOW to HIGH"),
        ({}, {"sets": ["discs"]}, "write PARAM=VALUE"),
    ],
)
def test_texts_that_cannot_be_read_say_what_to_write(texts, more, words):
    with pytest.raises(HandlingError, match=re.escape(words)):
        read_question("upper-half-lift", texts, **more)


def test_texts_become_a_question():
    question = read_question(
        "box",
        {"lift_height": "300 mm", "slope": "3 deg", "shop": " shed ", "pallet": ""},
        sets=["discs=12"],
        assume=["pump=19 kg to 25 kg"],
    )
    assert question.lift_height == pytest.approx(0.3)
    assert question.slope == pytest.approx(math.radians(3))
    assert (question.shop, question.pallet) == ("shed", None)
    assert question.assumed == {"pump": (19, 25)}


def test_nothing_gives_permission(demo, parked):
    words = " ".join(map(str, (parked, ask(demo, "gear-section"))))
    assert not re.search(r"\b(safe|ok|okay|allowed|permitted)\b", words, re.IGNORECASE)
    assert told(parked.cautions)[-1].startswith("Figures, not permission")


def dock(collection, reading, doubt, what="upper-half-lift", **more):
    return against_scale(ask(collection, what, **more), reading, doubt)


def test_a_reading_that_touches_the_gross_is_apart_from_the_net(demo):
    found = dock(demo, 413.0, 1.0)
    assert [line.word for line in found.lines] == ["the ranges touch", "apart"]
    assert notice_words(found.lines[1].says) == "the scale is heavier"
    assert any("net or gross" in text for text in told(found.ask))


def test_a_reading_apart_says_by_how_much(demo):
    gross = dock(demo, 420.0, 1.0).lines[0]
    assert gross.apart_low_kg == pytest.approx(419.0 - 414.837, abs=0.01)
    assert gross.apart_high_kg == pytest.approx(421.0 - 407.283, abs=0.01)


def test_with_a_part_missing_it_cannot_be_checked(demo):
    """W.low - S.high to W.high - S.low, with the known parts 365.86 to 372.54 kg."""
    bare = with_nothing_around(demo, "auxiliary-drive")
    line = dock(bare, 391.0, 0.5, "gear-section", state="dry").lines[0]
    assert line.word == "cannot be checked"
    pattern = "Auxiliary drive would together have to weigh {} to {}"
    assert notice_words(line.says) == pattern.format("18.0 kg (39.6 lb)", "25.6 kg (56.5 lb)")
    assert notice_words(line.says, first="lb") == pattern.format("39.6 lb (18.0 kg)", "56.5 lb (25.6 kg)")


def test_known_parts_heavier_than_the_scale_are_apart(demo):
    bare = with_nothing_around(demo, "auxiliary-drive")
    line = dock(bare, 360.0, 0.5, "gear-section", state="dry").lines[0]
    assert (line.word, notice_words(line.says)) == ("apart", "the known parts alone are heavier")


@pytest.mark.parametrize(
    ("reading", "doubt", "words"),
    [
        (413.0, None, "the doubt of the scale is not recorded"),
        (None, 1.0, "the reading of the scale is not recorded"),
        (1.0, 2.0, "is as large as its reading"),
    ],
)
def test_a_scale_without_figures_is_refused(parked, reading, doubt, words):
    with pytest.raises(MovingInputError, match=words):
        against_scale(parked, reading, doubt)


@pytest.mark.parametrize("kind", [*KINDS, *CLAUSES])
def test_every_kind_is_whole_words_from_its_facts(kind):
    """A whole sentence, or for a clause a part of one; every mass in both units, the reader's first."""
    pattern = {**KINDS, **CLAUSES}[kind]
    facts = {}
    for _, name, how, _ in Formatter().parse(pattern):
        if name is not None:
            figure = 12.5 if name.endswith(("_kg", "_m", "_deg")) else "500 kg hoist"
            facts[name] = ("500 kg hoist",) if how == "and" else figure
    words = notice_words(Notice(kind, facts), first="lb")

    assert "{" not in words
    assert kind in CLAUSES or (words[0].isupper() or words[0].isdigit())
    assert (words[-1] in ".?") == (kind in KINDS and kind != "open")
    assert not re.search(r"\d kg(?!\))", words)
