"""What the checker says of recorded choices."""

from __future__ import annotations

import datetime

from handling_db.checker import check
from handling_db.findings import Finding, Verdict
from tests.from_text import SCALE, collection
from tests.weights.test_choices import CHOICE, OPEN_UNIT, PUMP, TAKES

DAY = datetime.date(2026, 12, 1)
DRY_TAKEN = TAKES % "plate, state: dry"
OPEN = CHOICE % "owner: fitter, settle by: 2026-11-30"
RULES = ("choice-reference", "choice-without-effect", "conflict-overdue")


def found(text: str, *rules: str, as_of: datetime.date | None = None) -> list[Finding]:
    wanted = rules or RULES
    return [one for one in check(collection(SCALE + PUMP + text), as_of=as_of) if one.rule in wanted]


def test_a_choice_that_holds_gives_no_finding() -> None:
    assert found(CHOICE % "statement: weighed", as_of=DAY) == []


def test_a_component_that_is_not_there_is_a_fault_of_the_choice() -> None:
    (one,) = found(TAKES % "plate")
    assert (one.verdict, one.about) == (Verdict.FAULT, "c3")
    assert str(one).startswith("records.yml:")
    assert "there is no component 'unit'; correct the id, or take the choice out." in str(one)


def test_replacing_what_is_not_there() -> None:
    (one,) = found(CHOICE % "statement: weighed, replaces: c0")
    assert one.verdict is Verdict.FAULT
    assert "there is no choice 'c0';" in one.sentence


def test_replacing_a_choice_about_something_else() -> None:
    other = (TAKES % "plate").replace("by: foreman", "by: foreman, replaces: c1")
    (one,) = found(OPEN_UNIT + other + "\n" + CHOICE % "statement: weighed", "choice-reference")
    assert one.sentence == "choice 'c1' is about 'Pump', not about the same;"


def test_choices_that_replace_each_other_are_all_out_of_force_and_said_so() -> None:
    second = (CHOICE % "statement: listed, replaces: c1").replace("c1,", "c2,", 1)
    both = found(CHOICE % "statement: weighed, replaces: c2" + "\n" + second)
    assert [one.verdict for one in both] == [Verdict.FAULT, Verdict.FAULT]
    assert "choice 'c1' replaces itself by way of 'c2'" in both[0].sentence


def test_two_choices_side_by_side() -> None:
    second = (CHOICE % "statement: listed").replace("c1", "c2").replace("2026-11-01", "2026-11-02")
    (one,) = found(CHOICE % "statement: weighed" + "\n" + second)
    assert one.sentence == "choice c1 about Pump has no effect, because choice c2 stands beside it;"


def test_a_figure_of_another_state() -> None:
    (one,) = found(OPEN_UNIT.replace("state: dry", "state: filled") + DRY_TAKEN)
    assert "which is of another state or build, or was weighed packed" in one.sentence


def test_a_figure_that_does_not_say_what_it_counts_cannot_stand_for_the_whole() -> None:
    (one,) = found(OPEN_UNIT + TAKES % "vague")
    assert one.rule == "choice-without-effect"
    assert "so it cannot stand for the whole;" in one.sentence
    assert found(OPEN_UNIT + TAKES % "plate") == []


def test_overdue_is_said_only_when_asked_for_a_day_after_it() -> None:
    assert found(OPEN) == []
    assert found(OPEN, as_of=datetime.date(2026, 11, 30)) == []
    assert [one.rule for one in found(OPEN, as_of=DAY)] == ["conflict-overdue"]


def test_what_was_settled_since_is_not_overdue() -> None:
    settled = (CHOICE % "statement: weighed").replace("c1", "c2").replace("2026-11-01", "2026-11-20")
    assert "conflict-overdue" not in {one.rule for one in found(f"{OPEN}\n{settled}", as_of=DAY)}


def test_figures_apart_name_who_has_the_open_question() -> None:
    (one,) = found(OPEN, "statements-apart")
    assert one.remedy == (
        "Weigh it again, or replace the wrong one. It is with fitter until 2026-11-30. "
        "Until then plan with 47.0 kg (104 lb)."
    )


def test_figures_apart_say_who_chose_and_no_longer_what_else_to_plan_with() -> None:
    (one,) = found(CHOICE % "statement: weighed", "statements-apart")
    assert one.remedy == (
        "Weigh it again, or replace the wrong one. 40.0 kg was chosen by foreman on 2026-11-01."
    )


def test_figures_apart_without_a_choice_name_nobody() -> None:
    (one,) = found("", "statements-apart")
    assert one.remedy.endswith("replace the wrong one. Until then plan with 47.0 kg (104 lb).")


def test_a_whole_apart_from_its_parts_names_who_has_the_question() -> None:
    unit = OPEN_UNIT.replace(", {component: valve, quantity: 1}", "").split("- {component: valve")[0]
    choice = (TAKES % "x").replace("statement: x", "owner: fitter, settle by: 2027-01-01")
    sums = found(unit + choice, "parts-sum")
    apart = [one.remedy for one in sums if one.verdict is Verdict.DISAGREES]
    assert apart
    assert all(remedy.endswith("It is with fitter until 2027-01-01.") for remedy in apart)
