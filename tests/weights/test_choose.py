"""Which figure is used: by rank, by a recorded choice; and what stays open meanwhile."""

from __future__ import annotations

import datetime

from handling_db.records.kinds.choice import Choice
from handling_db.weights.choose import choose, in_force
from handling_db.weights.compare import Judge
from tests.from_text import SCALE, collection

CASE = collection(
    SCALE
    + """
- component: case
  name: case
  kind: part
  masses:
    - {id: light, printed: 100 kg, plus or minus: 1 kg, source: scale}
    - {id: heavy, printed: 110 kg, plus or minus: 2 kg, source: list}
    - {id: near, printed: 101 kg, plus or minus: 5 kg, source: book}
    - {id: look, printed: 200 kg, source: eye}
"""
)
FIGURES = Judge(CASE).totals("dry").witnesses_of("case")


def choice(name, statement=None, on="2026-10-01", **more):
    given = {"choice": name, "component": "case", "by": "foreman", "on": on, "reason": "looked"}
    if statement is None:
        given |= {"owner": "foreman", "settle by": "2026-12-01"}
    else:
        given["statement"] = statement
    return Choice.model_validate({**given, **more})


def test_by_rank_the_conflict_stays():
    found = choose(FIGURES)

    assert found.witness.id == "light"
    assert found.conflict
    assert [w.id for w in found.apart] == ["heavy"]


def test_a_choice_overrides_rank():
    found = choose(FIGURES, [choice("c", "light")])

    assert (found.witness.id, found.choice.id) == ("light", "c")
    assert not found.conflict
    assert [w.id for w in found.apart] == ["heavy"], "the others are kept and shown"


def test_a_guess_is_taken_only_when_a_person_stands_for_it():
    assert choose([w for w in FIGURES if w.id == "look"]).witness is None
    assert choose(FIGURES, [choice("c", "look")]).witness.id == "look"


def test_an_open_conflict_has_an_owner_and_a_date():
    found = choose(FIGURES, [choice("o")])

    assert found.open.owner == "foreman"
    assert found.overdue(datetime.date(2026, 12, 2))
    assert not found.overdue(datetime.date(2026, 12, 1))
    assert not choose(FIGURES).overdue(datetime.date(2030, 1, 1))


def test_a_choice_of_something_that_is_gone_has_no_effect():
    found = choose(FIGURES, [choice("c", "withdrawn")])

    assert (found.witness.id, found.choice, found.gone.id) == ("light", None, "c")


def test_the_newest_in_force_counts():
    choices = [
        choice("first", "heavy", on="2026-01-01"),
        choice("second", "light", on="2026-02-01"),
        choice("third", "heavy", on="2026-03-01", replaces="nothing"),
        choice("fourth", "light", on="2026-04-01", state="filled"),
        choice("gone", "near", on="2026-05-01"),
        choice("again", "light", on="2026-05-02", replaces="gone", component="other"),
    ]

    assert [c.id for c in in_force(choices, "case", "dry")] == ["third", "second", "first"]
    assert choose(FIGURES, in_force(choices, "case", "dry")).witness.id == "heavy"
    assert choose(FIGURES, in_force(choices, "case", "filled")).witness.id == "light"


def test_opening_the_question_again_undoes_a_choice():
    found = choose(FIGURES, [choice("o", on="2026-11-01"), choice("c", "light")])

    assert found.choice is None
    assert found.open.id == "o"
    assert choose(FIGURES, [choice("c", "light"), choice("o", on="2026-01-01")]).choice.id == "c"
