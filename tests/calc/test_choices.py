"""Recorded choices in totals, plans and answers: a person's act, with role, day and reason."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from handling_db.calc.answering import answer
from handling_db.calc.planning import plan_for
from handling_db.calc.totals import Totals
from handling_db.calc.tree import unfold
from handling_db.records.collection import Collection
from tests.collections import SCALE, collection

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
    return totals.of(node).mass.best, plan_for(totals, node).high


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
    assert state.basis == "statement, chosen by foreman on 2026-11-01: Another pump was on the scale"


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
    assert plan == max(Fraction("40.5"), plate + 1)
