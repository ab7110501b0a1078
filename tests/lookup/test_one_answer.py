"""One piece, one answer: look-up, move, lift and stored rows agree about it, and refuse only without a bound."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import handling_db as hd
from handling_db.cli import main
from handling_db.database.queries.weight import stored_answer
from handling_db.interface.lifting import rules
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.said.words import lift_lines
from handling_db.loading import day
from handling_db.lookup.weight import answer
from handling_db.lookup.words import headline, rests_words
from handling_db.moving.answer import move_answer
from handling_db.moving.notices import told as sentences
from handling_db.moving.question import MoveQuestion
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.texts import STATES
from handling_db.records.proved import Records
from handling_db.records.written import version
from tests.from_text import collection
from tests.oracles.whole_evidence import Case

NEAR = 1e-6  # [kg]
REFUSAL = "no upper figure"

# A second shop: contradicting weighings, a list that is not complete, a figure that waits, several fluids.
OTHER_SHOP = """\
- {source: scale, name: Floor scale, kind: weighed}
- {source: hook, name: Crane cell, kind: hook reading}
- {source: guessed, name: Outside of it, kind: guess}
- {component: grease, name: Grease, kind: fluid, fluid: {litres: 3 L, density: 0.9 kg/L, stays: 3 L}}
- {component: oil, name: Oil, kind: fluid, fluid: {litres: 20 L, litres plus or minus: 1 L, density: 0.87 kg/L, stays: 2 L}}
- component: winch
  name: Winch
  kind: assembly
  parts listed: all
  parts: [{component: gearbox, quantity: 1}, {component: drum, quantity: 1}, {component: oil, quantity: 1}]
  masses:
    - {printed: 402 kg, plus or minus: 2 kg, state: drained, counts: as listed, without: none, checked by: me, source: scale}
- component: gearbox
  name: Gearbox
  kind: assembly
  parts listed: some
  parts: [{component: case, quantity: 1}, {component: gear, quantity: 3}, {component: grease, quantity: 1}]
- component: case
  name: Case
  kind: part
  masses:
    - {printed: 40.0 kg, plus or minus: 0.2 kg, source: scale}
    - {printed: 60.0 kg, plus or minus: 0.2 kg, source: scale}
- {component: gear, name: Gear, kind: part, masses: [{printed: 21 kg, plus or minus: 1 kg, source: scale}]}
- component: drum
  name: Drum
  kind: part
  masses: [{printed: 180 kg, plus or minus: 5 kg, source: scale}, {printed: 190 kg, plus or minus: 2 kg, source: hook}]
- {component: hatch, name: Hatch, kind: part}
- {component: stay, name: Stay, kind: assembly, parts listed: all, parts: [{component: hatch, quantity: 2}]}
"""


def other_shop() -> Collection:
    return collection(OTHER_SHOP)


def random_shop() -> Collection:
    return collection(Case(np.random.default_rng(11), planted=True).text())


def _pieces(records: Collection) -> list[str]:
    return [code for code, component in sorted(records.components.items()) if component.fluid is None]


def _agree(records: Collection, every: int) -> int:
    """Look-up, move and lift of every piece, in one state each where `every` says so; how many were asked."""
    asked = 0
    for number, code in enumerate(_pieces(records)):
        states = STATES if every == 1 else (STATES[number % 3],)
        for state in states:
            (told,) = answer(records, code, state=state).states
            moved = move_answer(records, MoveQuestion(what=code, state=state))
            plan = None if told.planning is None else float(told.planning)
            where = f"{code} {state}: {told.low} to {plan}, move {moved.gross}"
            assert moved.gross.high == (None if plan is None else pytest.approx(plan, abs=NEAR)), where
            assert moved.gross.low == pytest.approx(float(told.low), abs=NEAR), where
            if plan is None:
                assert moved.missing, where
                assert moved.gross.best == pytest.approx(float(told.best), abs=NEAR), where
            else:
                assert REFUSAL not in " ".join(sentences((moved.first, *moved.not_known))), where
            if state == "dry":
                lifted = group_mass(records, _alone(code)).pieces
                if lifted is not None:
                    assert lifted.high == moved.gross.high, where
                    assert lifted.low == moved.gross.low, where
            asked += 1
    return asked


def _alone(code: str) -> LiftGroup:
    """One component by itself on a hook, empty."""
    return LiftGroup.model_validate(
        {
            "lift group": code,
            "name": code,
            "root": code,
            "takes": [[code]],
            "trapped": "none",
            "packing": "none",
            "checked by": "the test",
        }
    )


@pytest.mark.slow
def test_look_up_move_and_lift_of_the_demo_agree(demo_records: Records) -> None:
    assert _agree(demo_records, every=3) > 50


@pytest.mark.slow
@pytest.mark.parametrize("made", [other_shop, random_shop])
def test_look_up_move_and_lift_of_other_shops_agree_in_every_state(made: object) -> None:
    assert _agree(made(), every=1) >= 18  # type: ignore[operator]


def test_a_drained_gear_section_moves_with_what_its_look_up_plans(demo_records: Records) -> None:
    """Oil that stays and a heavy drive do not go together: the weighed whole holds both."""
    moved = move_answer(demo_records, MoveQuestion(what="gear-section", state="drained"))
    assert moved.gross.high is not None
    assert 398 < moved.gross.high <= 399


@pytest.mark.slow
def test_no_answer_about_a_bounded_piece_of_the_demo_refuses(demo_records: Records) -> None:
    """Every component, lift, turn and move: figures with limits, without a range given by whoever asks."""
    when = day("2026-11-30")
    for code in _pieces(demo_records):
        told = hd.weight(demo_records, code)
        assert told.figures.headline.planning is not None, code
        assert REFUSAL not in told.words("kg"), code
    for code, group in demo_records.lift_groups.items():
        lift = hd.lift(demo_records, code, as_of=when, rules=rules()).figures
        assert lift.lift is not None, code
        assert lift.lift.high is not None, code
        assert lift.centre is not None, (code, lift.no_centre)
        move = hd.move(demo_records, code, as_of=when)
        assert move.figures.gross.high is not None, code
        assert REFUSAL not in move.words("kg"), code
        if group.turn is not None:
            turn = hd.turn(demo_records, code, as_of=when, rules=rules()).figures
            assert not turn.no_figures, code
            assert turn.steps, code


def test_litres_that_nobody_stated_are_none_to_all_of_the_charge(demo_records: Records) -> None:
    when = day("2026-11-30")
    lift = hd.lift(demo_records, "whole-unit-lift", as_of=when, rules=rules()).figures
    filled = answer(demo_records, "transfer-box", state="filled").headline
    assert lift.lift is not None
    assert filled.planning is not None
    assert lift.lift.high == pytest.approx(float(filled.planning), abs=NEAR)
    assert lift.lift.low == pytest.approx(839.5, abs=0.1)
    assert "how much fluid is still inside" in str([n.facts for n in lift.first if n.kind == "nobody looked"])


@pytest.mark.parametrize("code", ["gear-section", "transfer-box", "lock-clutch-pack"])
def test_the_stored_rows_say_the_same(code: str, demo_records: Records, demo_db: Path) -> None:
    with sqlite3.connect(demo_db) as connection:
        connection.row_factory = None
        stored = stored_answer(connection, code)
    for one, other in zip(stored.states, answer(demo_records, code).states, strict=True):
        assert (one.state, one.complete, one.basis) == (other.state, other.complete, other.basis)
        assert float(one.planning or 0) == pytest.approx(float(other.planning or 0), rel=1e-9)
        assert float(one.low) == pytest.approx(float(other.low), rel=1e-9)


WAITING = """\
- {source: scale, name: Floor scale, kind: weighed}
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: case, quantity: 1}, {component: shaft, quantity: 1}]
- {component: case, name: Case, kind: part, masses: [{printed: 310 kg, plus or minus: 1 kg, source: scale}]}
- {component: shaft, name: Shaft, kind: part, masses: [{printed: 20 kg, plus or minus: 1 kg, source: scale}]}
- lift group: up
  name: Unit on the hook
  root: unit
  takes: [[unit]]
  trapped: none
  packing: none
  gear: none
  checked by: rigger
  mover: hoist
- {mover: hoist, name: Hoist, kind: hoist, rated: 500 kg, cell error: 1 %}
"""


def waiting_shop(kg: int, records: str = WAITING) -> Collection:
    """A shop to which another one sent a weighing of its case, which nobody has reviewed."""
    said = (
        f"weighing: w1, of: case, gross: {kg} kg, tare: none, checked by: fitter, plus or minus: 1 kg, state: dry, "
        "source: scale, on: 2026-11-20, by: fitter"
    )
    stamp = version("weighing", collection(f"{records}- {{{said}}}\n").weighings["w1"])
    return collection(
        f"{records}- aside: theirs\n  of: {{kind: weighing, id: w1, version: {stamp}}}\n  shop: mill\n"
        f"  parcel: p1\n  signed: not signed\n  on: 2026-11-25\n  record: {{{said}}}\n"
    )


def test_a_figure_that_waits_lifts_every_plan_and_stands_beside_the_plan_without_it() -> None:
    records = waiting_shop(520)
    for code, high, without in (("case", 521.0, 311.0), ("unit", 542.0, 332.0)):
        told = answer(records, code)
        assert float(told.headline.planning or 0) == high
        assert float(told.headline.rests.without or 0) == without
        words = headline(told)
        assert f"Plan with {high:.0f} kg" in words
        assert f"{without:.0f} kg" in words
        assert "Case 520 kg" in words
        assert "from mill (not signed), waits for review" in words
        assert (float(told.headline.low), float(told.headline.high)) == pytest.approx(
            (309, 311) if code == "case" else (328, 332)
        )
        moved = move_answer(records, MoveQuestion(what=code))
        assert moved.gross.high == high
        assert any("from mill (not signed), waits for review" in gap for gap in sentences(moved.not_known))
        assert any(f"({high:.0f} kg)" in gap for gap in sentences(moved.not_known, "lb")), "pounds first"
    assert answer(records, "shaft").headline.rests.without is None


def test_a_figure_that_waits_lifts_what_carries_a_load_and_not_what_the_hook_should_read() -> None:
    lift = lift_answer(waiting_shop(520), "up")
    assert lift.lift is not None
    assert lift.reading.expected is not None
    assert lift.lift.high == pytest.approx(542)
    assert lift.reading.expected.high == pytest.approx(332)
    assert lift.reading.look_again_kg == pytest.approx(332 * 1.01)
    said = "\n".join(lift_lines(lift))
    assert "Unit planned with 542 kg (1195 lb), 332 kg (732 lb) without Case 520 kg" in said
    assert "from mill (not signed), waits for review" in said


@pytest.mark.parametrize("kg", [300, 520])
@pytest.mark.parametrize("unit", ["", "350 kg", "700 kg"])
@pytest.mark.parametrize("shaft", ["", "30 kg"])
def test_the_plan_without_what_waits_is_the_plan_before_it_came(unit: str, shaft: str, kg: int) -> None:
    """Where a book that does not say what it counts lifts the plan too, the plan without left that out."""
    text = WAITING + "- {source: book, name: Book, kind: nameplate}\n"
    if unit:
        whole = "{component: shaft, quantity: 1}]\n"
        text = text.replace(whole, f"{whole}  masses: [{{printed: {unit}, step: 10 kg, source: book}}]\n")
    if shaft:
        own = "{printed: 20 kg, plus or minus: 1 kg, source: scale}"
        text = text.replace(own, f"{own}, {{printed: {shaft}, step: 1 kg, source: book}}")
    records = waiting_shop(kg, text)
    before = replace(records, asides={})
    for code in ("case", "unit", "shaft"):
        now, then = (answer(one, code).headline for one in (records, before))
        assert (now.planning if now.rests.without is None else now.rests.without) == then.planning, code


@pytest.mark.parametrize("kg", [95, 310])
def test_a_figure_that_waits_and_says_no_more_changes_nothing(kg: int) -> None:
    found = answer(waiting_shop(kg), "unit").headline
    assert float(found.planning or 0) == 332
    assert found.rests.without is None


def test_a_weighing_of_one_serial_is_a_hint_for_another(demo_records: Records) -> None:
    """It bounds what nothing else does, says so, and narrows nothing; for its own serial and for none it counts."""
    for serial, low in ((None, 839.5), (1187, 839.5), (1190, 812.3)):
        (told,) = hd.weight(demo_records, "transfer-box", state="dry", serial=serial).figures.states
        assert float(told.low) == pytest.approx(low, abs=0.1)
        assert float(told.planning or 0) == pytest.approx(844.1, abs=0.2)
        assert bool(told.rests.guess) == (serial == 1190)
    assert "Transfer box 844.0 kg (on serial 1187, how far units differ is not recorded)" in told.rests.guess
    assert told.rests.serial == ""


def test_the_command_asks_about_one_serial(demo_db: Path) -> None:
    said = (
        CliRunner().invoke(main, ["weight", "gear-section", "--serial", "1190", "--db", str(demo_db)]).output
    )
    assert "a guess, because nothing measured bounds it" in said
    assert "on serial 1187" in said


@pytest.mark.slow
def test_which_half_is_heavier_is_decided_as_listed_and_as_parted(demo_records: Records) -> None:
    """Though nobody weighed the drive: the differential section as listed, the gear section as it is parted."""
    when = day("2026-11-30")
    listed = hd.heavier(demo_records, "gear-section", "differential-section", state="dry", as_of=when)
    parted = hd.heavier(demo_records, "upper-half-lift", "lower-half", state="dry", as_of=when)

    assert listed.words("kg").startswith("Differential section is heavier than Gear section")
    assert parted.words("kg").startswith("Gear section as it stays below is heavier than Upper half")


def test_a_lift_of_another_serial_rests_on_no_weighing_of_this_one(demo_records: Records) -> None:
    own, other = (
        hd.lift(
            demo_records, "lower-half", as_of=day("2026-11-30"), rules=rules(), serial=serial
        ).figures.lift
        for serial in (1187, 1190)
    )
    assert own is not None
    assert other is not None
    assert other.low < own.low - 10  # a weighed whole leaves nothing at least for the drive of another unit
    assert other.high is not None
    assert own.high is not None
    assert other.high >= own.high


def test_at_least_counts_no_more_of_a_given_range_than_its_low_end(demo_records: Records) -> None:
    """The gear is not known, so the reading is "at least"; a range of 2 to 8 kg of fluid makes sure of 2 only."""
    asked = {"as_of": day("2026-11-30"), "rules": rules()}
    bare = hd.lift(demo_records, "whole-unit-lift", **asked).figures.reading.expected
    given = hd.lift(
        demo_records, "whole-unit-lift", assume={"fluid": "2 kg to 8 kg"}, **asked
    ).figures.reading.expected
    assert bare is not None
    assert given is not None
    assert given.high is None
    assert given.best == pytest.approx(bare.best + 2, abs=NEAR)


@pytest.mark.parametrize(
    ("source", "told", "not_told"),
    [
        ("weighed", "the weighed Rig leaves", "not a weighing"),
        ("weighbridge", "the weighed Rig leaves", "not a weighing"),
        ("nameplate", "the figure of Rig leaves", "weighed Rig"),
        ("supplier's list", "the figure of Rig leaves", "weighed Rig"),
    ],
)
def test_a_plate_is_never_called_a_weighing(source: str, told: str, not_told: str) -> None:
    records = collection(
        f"""
        - {{source: whole, name: The whole, kind: {source}}}
        - {{source: scale, name: Floor scale, kind: weighed}}
        - component: rig
          name: Rig
          kind: assembly
          parts listed: all
          parts: [{{component: known, quantity: 1}}, {{component: open, quantity: 1}}]
          masses:
            - {{printed: 100 kg, plus or minus: 1 kg, counts: as listed, without: none, checked by: me, source: whole}}
        - {{component: known, name: Known, kind: part, masses: [{{printed: 40 kg, plus or minus: 1 kg, source: scale}}]}}
        - {{component: open, name: Open, kind: part}}
        - {{lift group: up, name: Up, root: rig, takes: [{{of: [open]}}]}}
        """
    )
    about = "\n".join(rests_words(answer(records, "open").headline))
    lifted = group_mass(records, records.lift_groups["up"]).carried[0].inferred

    for text in (about, lifted):
        assert told in text
        assert not_told not in text
