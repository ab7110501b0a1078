"""What a shop has, which fixture a piece needs, and which pieces are above the hand limit, over the demo.

The demo's figures are our own example carried through, not a validation.
"""

from __future__ import annotations

import datetime
import math

import pytest

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.lifting_equation import HandReach
from handling_db.cli.move.hands import duration_of
from handling_db.errors import HandlingError, UnknownNameError
from handling_db.moving.notices import notice_words, told
from handling_db.quantities.notice import Notice
from handling_db.shop.answer import shop_answer
from handling_db.shop.fixtures import fixtures_answer
from handling_db.shop.hands import hands_answer, index_answer
from handling_db.shop.pallets import PalletAsked, few_pallets, pallet_list
from tests.from_text import SCALE, collection, with_nothing_around


@pytest.fixture(scope="module")
def bare(demo):
    """The demo where nothing bounds the auxiliary drive: no whole weighed, no guess."""
    return with_nothing_around(demo, "auxiliary-drive")


@pytest.fixture(scope="module")
def second(demo):
    return shop_answer(demo, "section-off-the-truck", "low-tarrowby", other="quay-shed-nine")


def named(answer, start):
    return next(one for one in answer.movers[0].beside if one.what == start)


def test_true_figures_are_above_the_second_shops_hoist(second):
    """451.0 + 1.0 + 10.8 = 463 and 510 with 10 %; with every doubt 464 and 511."""
    best = "on the hook, fluid and rigging at their best figures"
    worst = "on the hook, every doubt counted"
    loose = ", with 10 % for breaking loose"
    assert math.ceil(named(second, best).high_kg) == 463
    assert math.ceil(named(second, best + loose).high_kg) == 510
    assert named(second, best + loose).word == "above"
    assert math.ceil(named(second, worst).high_kg) == 464
    assert math.ceil(named(second, worst + loose).high_kg) == 511
    assert named(second, worst + loose).word == "may be above"


def test_the_printed_figure_looks_smaller_and_says_what_it_leaves_out(second):
    printed = "by the printed figure 415 kg / 920 lb"
    assert round(named(second, printed).high_kg) == 428
    loose = named(second, f"{printed}, with 10 % for breaking loose")
    assert round(loose.high_kg) == 471
    assert loose.word == "below"
    line = next(demand for demand in second.demands if demand.printed)
    words = notice_words(line.words, first="lb")
    assert "rigging 23.8 lb (10.8 kg); fluid not counted" in words
    assert "the figure disagrees" in words


def test_what_the_second_shop_lacks(second):
    lacks = " | ".join(told(second.lacks))
    assert "no hoist ring is recorded at Low Tarrowby Gear Room" in lacks
    assert "hook: 500 kg (1102 lb) here, 2000 kg (4409 lb) at Quay Shed Nine" in lacks
    assert "load cell on the hook: Quay Shed Nine had one" in lacks
    assert "Saddle pallet: needed for parking" in lacks
    assert "this load is above that" in notice_words(second.movers[0].planning)


def test_an_unknown_mass_gives_at_least(bare):
    answer = shop_answer(bare, "whole-unit-lift", "low-tarrowby")
    assert notice_words(answer.first).startswith("AT LEAST")
    assert answer.demands[0].load.high is None
    assert {one.word for one in answer.movers[0].beside if "printed" not in one.what} == {"above"}
    assert any("Auxiliary drive" in text for text in told(answer.not_known))


def test_a_shop_that_is_not_there(demo):
    with pytest.raises(UnknownNameError, match="there is no shop 'nowhere'; there are: low-tarrowby"):
        shop_answer(demo, "upper-half-lift", "nowhere")


def test_fixture_needed_who_has_one_and_what_was_used(bare):
    answer = fixtures_answer(bare, "gear-section")
    stand = answer.needed[0]
    assert (stand.id, stand.offered, stand.has) == ("ring-stand", True, ("Low Tarrowby Gear Room",))
    assert stand.beside.word == "not known"  # part of the section has no mass
    assert {used.status for used in stand.instead} == {"seen in use, no rating"}
    (made,) = answer.others
    assert (made.id, made.offered) == ("ring-stand-shop-made", False)
    assert "design check" in made.papers_missing


def test_unrated_gear_is_never_offered(demo):
    answer = fixtures_answer(demo)
    assert {line.standing for line in answer.needed} == {"rated"}
    assert all(not line.offered for line in answer.others)
    assert "ring-stand-shop-made" in {line.id for line in answer.others}


def test_shop_made_gear_with_all_papers_shows_them(demo):
    answer = fixtures_answer(demo, "ferry-wheel", as_of=datetime.date(2026, 11, 25))
    saddle = next(line for line in answer.needed if line.id == "half-round-saddle")
    assert saddle.offered
    assert ("proof load", "1000 kg") in saddle.papers
    assert saddle.past  # its inspection was due on 12 November


def test_hands_lists_six_above_and_the_unknown(bare):
    answer = hands_answer(bare, "transfer-box", shop="quay-shed-nine")
    assert [line.id for line in answer.above] == [
        "gear-case",
        "differential-case",
        "gear-case-cover",
        "planet-carrier",
        "rear-cover",
        "output-gear",
    ]
    assert [line.id for line in answer.not_known] == ["auxiliary-drive"]
    assert answer.not_known[0].load is None
    assert "Auxiliary drive" in told(answer.cautions)[0]
    assert told([answer.rule])[0].startswith("Above 25 kg (55 lb) two people")


def test_hands_without_a_shop_has_no_limit_and_knows_nothing(demo):
    answer = hands_answer(demo, "parking-brake")
    assert answer.limit_kg is None
    assert answer.above == answer.below == ()
    assert len(answer.not_known) == 2


REACH = {
    "horizontal": 40.0,
    "vertical": 75.0,
    "travel": 30.0,
    "asymmetry": 0.0,
    "per_minute": 0.2,
    "duration": "short",
    "coupling": "poor",
    "units": "metric",
}


def test_index_of_one_piece_with_its_exclusions(demo):
    """RWL = 23 x 25/40 x 1 x (0.82 + 4.5/30) x 1 x 1 x 0.90, worked out by hand."""
    answer = index_answer(demo, "output-gear", HandReach(**REACH))
    assert answer.load_kg == pytest.approx(25.7)
    assert answer.limit == pytest.approx(23 * 25 / 40 * 0.97 * 0.9)
    assert answer.index == pytest.approx(25.7 / (23 * 25 / 40 * 0.97 * 0.9))
    assert any("two lifting together" in text for text in told(answer.cautions))


def test_no_index_for_what_nobody_weighed(bare):
    answer = index_answer(bare, "auxiliary-drive", HandReach(**REACH))
    assert (answer.load_kg, answer.index) == (None, None)
    assert notice_words(answer.remark) == "No index: Auxiliary drive has no upper figure; weigh it."


def test_index_assumes_nothing(demo):
    with pytest.raises(MovingInputError, match="vertical travel D is not recorded"):
        index_answer(demo, "output-gear", HandReach(**{**REACH, "travel": None}))


def test_pallets_and_fewest_of_them(bare):
    assert {row["id"] for row in pallet_list(bare)} >= {"saddle-pallet", "exchange-pallet"}
    pieces = dict.fromkeys(("gear-case", "differential-case", "gear-case-cover", "auxiliary-drive"), bare)
    packed = few_pallets(pieces, bare, PalletAsked(pallet="saddle-pallet", most_kg=200))
    assert packed.number == 2
    assert packed.proved_smallest
    assert packed.not_placed == (("auxiliary-drive", Notice("mass not known")),)
    assert few_pallets(pieces, bare, PalletAsked(pallet="saddle-pallet")).number == 1


@pytest.mark.parametrize(
    ("limit", "words"),
    [({}, "no limit of mass"), ({"pallet": "flat-pallet-tarrowby"}, "has no rating for a load spread 'any'")],
)
def test_no_limit_is_made_up(demo, limit, words):
    with pytest.raises(MovingInputError, match=words):
        few_pallets({"gear-case": demo}, demo, PalletAsked(**limit))


STAND = """
- {component: box, name: Box, kind: part, masses: [{printed: 100.0 kg, plus or minus: 0.1 kg, source: scale}]}
- fixture: stand
  name: Stand
  kind: stand
  rated load: 500 kg
  own mass: 20.0 kg
  needed by: [{component: box, for: standing}]
  feet: {at: [[-1 m, -1 m], [1 m, -1 m], [1 m, 1 m], [-1 m, 1 m]]}
"""


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("", "4 feet; one foot gets up to 61 kg (133 lb) with the load at the middle, overhang not recorded"),
        (
            "  overhang: 500 mm\n",
            "4 feet; one foot gets up to 91 kg (199 lb) with the load up to 500 mm off the middle",
        ),
    ],
)
def test_what_a_stand_puts_on_the_floor(more, expected):
    """Two feet of four can carry all of 120.15 kg: half each; 0.5 m off, three quarters. Rounded up."""
    line = fixtures_answer(collection(SCALE + STAND + more), "box").needed[0]
    assert notice_words(line.floor) == expected


def test_several_pieces_in_one_job_have_a_composite_index(demo):
    """NIOSH 94-110 p. 28: the hardest piece, and every other its mass over the limit times the step of 1 / FM.

    FM of the table, short job, hands under 75 cm: 1.00 at 0.2 lifts a minute and 0.97 at 0.5, 0.94 at 1, and
    in a straight line between; so 0.98 at 0.4 and 0.964 at 0.6.
    """
    found = index_answer(demo, "output-gear", HandReach(**REACH), ("idler-gear", "input-gear"))
    assert found.job is not None
    own = [index for _, index in found.job.pieces]
    assert own == sorted(own, reverse=True)
    second, third = (index_answer(demo, code, HandReach(**REACH)) for code in ("idler-gear", "input-gear"))
    by_hand = (
        found.index
        + second.load / found.limit * (1 / 0.98 - 1 / 1.00)
        + third.load / found.limit * (1 / 0.964 - 1 / 0.98)
    )
    assert found.job.index == pytest.approx(by_hand, rel=1e-6)


def test_no_index_of_a_job_with_a_piece_that_nobody_weighed(bare):
    found = index_answer(bare, "output-gear", HandReach(**REACH), ("auxiliary-drive",))
    assert found.job is not None
    assert found.job.index is None
    assert "Auxiliary drive has no upper figure" in notice_words(found.job.remark)


def test_a_piece_under_three_kilograms_is_outside_of_the_standard():
    text = (
        f"{SCALE}- {{component: cap, name: Cap, kind: part, masses: [{{printed: 1.0 kg, source: scale}}]}}\n"
    )
    found = index_answer(collection(text), "cap", HandReach(**REACH))
    assert told(found.cautions)[0].startswith("Under 3 kg (7 lb): ISO 11228-1")


def test_spells_of_a_day_give_the_duration():
    assert duration_of(["30/10", "45"]) == "moderate"
    assert duration_of(["30/30", "45"]) == "short"
    with pytest.raises(HandlingError, match="write minutes of lifting and of rest"):
        duration_of(["half an hour"])
