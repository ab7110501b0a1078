"""Plain answers about conflicts and choices: what is apart, what was decided, what stays open."""

from __future__ import annotations

import pytest

from handling_db.balance.explained import choices_of, conflicts, explain_answer, inferred_figures
from handling_db.lookup.numbers.words import choice_words, conflict_words
from handling_db.records.collection import Collection
from handling_db.records.kinds.choice import Choice
from handling_db.weights.compare import Judge
from tests.checker.test_scale import KNOWN, collection, component, figure


def part(*masses):
    return collection([component("pump", masses=masses)])


def test_two_figures_apart_are_a_conflict_with_the_slip_that_would_explain_it():
    found = conflicts(Judge(part(figure(10, id="kg"), figure("22.05", id="lb"))), "pump")

    assert [(one.one_id, one.other_id) for one in found] == [("kg", "lb")]
    assert float(found[0].gap) == pytest.approx(22.05 - 10 - 0.2)
    assert "unit" in {kind for kind, _ in found[0].causes}
    assert "lie between them. It would be explained if" in conflict_words(found[0])


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({}, figure("10.15", id="b")),
        ({"serials": {"from": "1", "to": "4"}}, figure(22, id="b", serials={"from": "5", "to": "9"})),
        ({}, figure(22, id="b", **KNOWN)),
    ],
    ids=["they touch", "other units", "it counts something else"],
)
def test_no_conflict_where(one, other):
    assert conflicts(Judge(part(figure(10, id="a", **one), other)), "pump") == ()


def choice(**change):
    given = {
        "choice": "first", "component": "pump", "statement": "a", "by": "foreman", "on": "2026-10-01",
        "reason": "Weighed again.",
    }  # fmt: skip
    return Choice.model_validate({name: value for name, value in {**given, **change}.items() if value})


def test_choices_say_who_decided_what_and_why():
    records = part(figure(10, id="a"), figure(12, id="b"))
    figures = Judge(records).totals("dry").witnesses_of("pump")
    still = choice(
        choice="second", statement=None, owner="data keeper", on="2026-11-01", **{"settle by": "2026-12-01"}
    )
    told = [choice_words(one) for one in choices_of([choice(), still], "pump", figures)]

    assert told == [
        "Open since 2026-11-01, said foreman: data keeper has it until 2026-12-01. Weighed again.",
        "2026-10-01, foreman: use Scale: 10 kg. Weighed again.",
    ]
    assert choices_of([choice()], "other", figures) == ()


def test_a_choice_of_a_figure_that_is_gone_says_so():
    figures = Judge(part(figure(10, id="b"))).totals("dry").witnesses_of("pump")

    assert "a figure that is no longer in force" in choice_words(choices_of([choice()], "pump", figures)[0])


def test_what_agrees_has_no_explanation():
    records = collection(
        [component("a", masses=[figure(5)]), component("whole", ["a"], [figure(5, **KNOWN)])]
    )
    found = explain_answer(records, "whole")

    assert found.figures == 1
    assert found.explained == ()
    assert found.conflicts == ()


def test_nothing_is_inferred_for_what_has_a_mass(demo: Collection):
    judge = Judge(demo)

    assert inferred_figures(judge, ["gear-case"]) == ()
    assert [one.id for one in inferred_figures(judge, ["auxiliary-drive"])] == ["auxiliary-drive"]
