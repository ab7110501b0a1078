"""Recorded choices in totals, plans and answers: a person's act, with role, day and reason."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.balance.together.reach import AllEvidence
from handling_db.lookup import words as wording
from handling_db.lookup.history import changes
from handling_db.lookup.plan import plan_for
from handling_db.lookup.weight import answer
from handling_db.records.collection import Collection
from handling_db.weights.answer import StateFigure
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold
from tests.from_text import SCALE, collection

PUMP = """
- component: pump
  name: Pump
  kind: part
  masses:
    - {id: weighed, printed: 40.0 kg, plus or minus: 0.5 kg, source: scale}
    - {id: listed, printed: 46 kg, plus or minus: 1 kg, source: list}
"""
CHOICE = (
    "- {choice: c1, component: pump, %s, by: foreman, on: 2026-11-01, reason: Another pump was on the scale.}"
)
WHOLE = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: pump, quantity: 1}]
  masses:
    - {id: plate, printed: PLATE kg, plus or minus: 1 kg, source: book, state: dry, counts: as listed,
       without: none, checked by: fitter}
- {choice: c2, component: unit, statement: plate, by: foreman, on: 2026-11-01, reason: The plate is new.}
"""


def figure(found: Collection, code: str) -> tuple[Fraction, Fraction | None]:
    tree = unfold(found)
    totals = Totals(found, tree, "dry")
    node = tree.start[(code, ())]
    return totals.of(node).mass.best, plan_for(totals, node, AllEvidence(totals.collection)).plan


def test_without_a_choice_the_ranking_hands_up_and_the_larger_upper_figure_is_planned_with() -> None:
    assert figure(collection(SCALE + PUMP), "pump") == (40, 47)


def test_a_settled_choice_hands_up_its_figure_and_plans_with_it_alone() -> None:
    low = collection(SCALE + PUMP + CHOICE % "statement: weighed")
    assert figure(low, "pump") == (40, Fraction("40.5"))
    high = collection(SCALE + PUMP + CHOICE % "statement: listed")
    assert figure(high, "pump") == (46, 47)


def test_the_answer_says_who_chose_when_and_why() -> None:
    found = collection(SCALE + PUMP + CHOICE % "statement: listed")
    (state,) = answer(found, "pump", state="dry").states
    assert state.basis == "statement"
    assert state.chosen == "46 kg chosen by foreman on 2026-11-01: Another pump was on the scale"
    assert wording.state_words(state).endswith(f"statement; {state.chosen}")


def test_where_nobody_chose_the_answer_says_nothing_of_it() -> None:
    (state,) = answer(collection(SCALE + PUMP), "pump", state="dry").states
    assert state.chosen == ""
    assert "chosen" not in wording.state_words(state)


def test_an_open_conflict_changes_nothing() -> None:
    found = collection(SCALE + PUMP + CHOICE % "owner: foreman, settle by: 2027-01-01")
    assert figure(found, "pump") == (40, 47)


def test_a_choice_for_another_state_or_build_does_not_speak() -> None:
    found = collection(SCALE + PUMP + CHOICE % "statement: listed, state: filled")
    assert figure(found, "pump") == (40, 47)
    found = collection(SCALE + PUMP + CHOICE % "statement: listed, build: {discs: 8}")
    assert figure(found, "pump") == (40, 47)


def test_a_choice_for_a_figure_that_is_gone_has_no_effect() -> None:
    found = collection(SCALE + PUMP + CHOICE % "statement: nothing")
    assert figure(found, "pump") == (40, 47)


@given(st.integers(10, 90))
def test_a_chosen_whole_never_changes_the_sum_nor_plans_below_it(plate: int) -> None:
    found = collection(SCALE + PUMP + WHOLE.replace("PLATE", str(plate)))
    best, plan = figure(found, "unit")
    assert best == 40
    # Nobody chose between the two figures of the pump, so it may be 47 kg, and no unit is lighter than its part.
    assert plan == max(plate + 1, 47)


# A unit of which one part has no mass, with figures that say what they count and one that does not.
OPEN_UNIT = """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{component: pump, quantity: 1}, {component: valve, quantity: 1}]
  masses:
    - {id: plate, printed: 60 kg, plus or minus: 1 kg, source: book, state: dry, counts: as listed,
       without: none, checked by: fitter}
    - {id: light, printed: 30 kg, plus or minus: 1 kg, source: list, state: dry, counts: as listed,
       without: none, checked by: fitter}
    - {id: vague, printed: 75 kg, plus or minus: 1 kg, source: list, state: dry}
- {component: valve, name: Valve, kind: part}
"""
TAKES = "- {choice: c3, component: unit, statement: %s, by: foreman, on: 2026-11-01, reason: Looked at both.}"


def state_of(text: str, code: str = "unit") -> StateFigure:
    (state,) = answer(collection(SCALE + PUMP + text), code, state="dry").states
    return state


def test_a_chosen_whole_stands_for_its_parts_and_says_who_chose_it() -> None:
    state = state_of(OPEN_UNIT + TAKES % "plate")
    assert (state.basis, state.best, state.planning) == ("whole, not from parts", 60, 61)
    assert state.chosen == "60 kg chosen by foreman on 2026-11-01: Looked at both"


def test_without_the_choice_the_vague_figure_raises_the_plan() -> None:
    state = state_of(OPEN_UNIT)
    assert (state.planning, state.raised_by, state.chosen) == (76, "75 kg", "")


def test_nobody_can_choose_away_the_parts_that_are_known() -> None:
    """A whole of 30 kg over parts of 40: outweighed already, so it stands for nothing and plans nothing."""
    state = state_of(OPEN_UNIT + TAKES % "light")
    assert (state.best, state.complete, state.planning) == (40, False, None)


def test_where_the_known_parts_may_come_to_more_than_the_chosen_whole_a_second_figure_stands_beside_it() -> (
    None
):
    near = OPEN_UNIT.replace("printed: 30 kg", "printed: 39 kg")
    assert near != OPEN_UNIT
    state = state_of(near + TAKES % "light")
    # No whole is planned with less than a part of it, and one figure allows the pump 47 kg.
    assert (state.best, state.planning) == (39, 47)
    assert state.rests.second_open  # if the pump weighs 46 kg, nothing bounds the valve


def test_a_choice_among_dry_figures_leaves_a_filled_one_in_the_plan() -> None:
    filled = OPEN_UNIT.replace("vague, printed: 75 kg", "vague, printed: 75 kg").replace(
        "source: list, state: dry}", "source: list, state: filled}"
    )
    found = collection(SCALE + PUMP + filled + TAKES % "plate")
    (state,) = answer(found, "unit", state="filled").states
    assert (state.planning, state.raised_by) == (76, "75 kg")


def test_a_choice_beside_a_complete_sum_is_named_though_the_sum_stands() -> None:
    state = state_of(WHOLE.replace("PLATE", "30"))
    assert (state.basis, state.best, state.planning) == ("sum of parts", 40, 47)
    assert state.chosen.startswith("30 kg chosen by foreman on 2026-11-01: The plate is new")


def test_with_something_off_a_choice_about_the_whole_says_nothing_of_the_plan() -> None:
    found = collection(SCALE + PUMP + WHOLE.replace("PLATE", "90"))
    (state,) = answer(found, "unit", state="dry", without=["pump"]).states
    assert (state.planning, state.chosen) == (0, "")


def test_a_choice_in_one_state_leaves_both_figures_of_a_part_in_the_plan() -> None:
    taken = CHOICE % "statement: weighed, state: filled"
    found = answer(collection(SCALE + PUMP + taken), "pump")
    assert [state.planning for state in found.states] == [47, 47, 47]  # a pump weighs the same in every state


def test_a_question_opened_again_is_planned_with_the_larger_figure() -> None:
    later = """
- {choice: c9, component: pump, by: fitter, on: 2026-11-02, reason: The plate was of another pump.,
   owner: foreman, settle by: 2027-01-01}
"""
    settled = CHOICE % "statement: weighed"
    assert figure(collection(SCALE + PUMP + settled + later), "pump") == (40, 47)


def test_a_guess_by_eye_may_be_chosen_because_a_person_then_stands_for_it() -> None:
    guessed = PUMP + "    - {id: looked, printed: 55 kg, plus or minus: 5 kg, source: eye}\n"
    assert figure(collection(SCALE + guessed), "pump") == (40, 47)
    assert figure(collection(SCALE + guessed + CHOICE % "statement: looked"), "pump") == (55, 60)


figures = st.lists(st.tuples(st.integers(10, 99), st.sampled_from(["dry", "filled", ""])), max_size=4)


@pytest.mark.slow
@given(figures, st.integers(0, 3), st.sampled_from(["all", "some"]), st.sampled_from(["dry", "filled"]))
def test_choosing_never_plans_below_the_figure_handed_up_nor_below_the_parts(
    said: list[tuple[int, str]], taken: int, parts_listed: str, state: Literal["dry", "filled"]
) -> None:
    lines = [
        f"    - {{id: s{i}, printed: {kg} kg, plus or minus: 1 kg, source: book, counts: as listed, "
        f"without: none, checked by: fitter{f', state: {of}' if of else ''}}}"
        for i, (kg, of) in enumerate(said)
    ]
    unit = (
        f"- component: unit\n  name: Unit\n  kind: assembly\n  parts listed: {parts_listed}\n"
        "  parts: [{component: pump, quantity: 1}]\n"
        + ("  masses:\n" + "\n".join(lines) + "\n" if lines else "")
    )
    chosen = TAKES % f"s{taken}"
    before, after = (collection(SCALE + PUMP + text) for text in (unit, unit + chosen))
    highs = []
    for found in (before, after):
        tree = unfold(found)
        totals = Totals(found, tree, state)
        node = tree.start[("unit", ())]
        high = plan_for(totals, node, AllEvidence(totals.collection)).plan
        highs.append(high)
        if high is not None:
            # Two figures that agree leave less than either: the lower of their upper limits is enough.
            read = [witness.mass.high for witness in totals.witnesses_at(node)]
            least = min([totals.of(node).mass.high, *read])
            assert high >= least
            if totals.settled(node) is not None:
                assert high >= totals.sum_of(node).mass.high
    if parts_listed == "all":  # else a whole that the known parts outweigh leaves no upper figure
        assert None not in highs


def test_history_of_a_component_tells_of_a_choice_and_of_the_figure_it_moved() -> None:
    before, after = collection(SCALE + PUMP), collection(SCALE + PUMP + CHOICE % "statement: listed")
    told = {(one.what, one.kind, one.id) for one in changes(before, after, component="pump")}
    assert told == {("new", "choice", "c1"), ("changed", "component", "pump")}
    assert not changes(before, after, component="valve")
