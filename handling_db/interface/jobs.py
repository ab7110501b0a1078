"""A whole job in steps: what hangs, what stands and what holds after every step."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Required, TypedDict, Unpack

from handling_db.interface.given import Span, needed, ranges
from handling_db.loading import named
from handling_db.records.proved import Records
from handling_db.serialise import Answer, marked_by

if TYPE_CHECKING:
    from handling_db.jobs.steps.answer import StepsAnswer
    from handling_db.jobs.steps.beside import StepsBeside
    from handling_db.jobs.steps.changed import WhatIf
    from handling_db.rigging.factors import Factors


class AskedOfSteps(TypedDict, total=False):
    """What is asked besides the planned job.

    Parameters
    ----------
    as_of : date
        Past which inspections and notes are over. There is no default: a day left out would look at none.
    rules : Factors
        `rules()`, or a shop's own. There is no default: without them no angle is taken off a rating.
    assume : mapping of component to range, optional
        For parts that nobody weighed.
    set : mapping of parameter to text, optional
        Another build: ``{"discs": "12"}``.
    build : str, optional
        A named build.
    shop : str, optional
        Another shop.
    without : sequence of str, optional
        Steps left out, by id or number.
    moved : sequence of (step, after), optional
        Steps that come after another one; ``0``: first of all.
    """

    as_of: Required[datetime.date]
    rules: Required[Factors]
    assume: Mapping[str, Span] | None
    set: Mapping[str, str] | None
    build: str | None
    shop: str | None
    without: Sequence[str]
    moved: Sequence[tuple[str, str]]


def what_if(**asked: Unpack[AskedOfSteps]) -> WhatIf:
    """What is asked to be changed about a plan."""
    from handling_db.jobs.steps.changed import WhatIf

    return WhatIf(
        build=asked.get("set") or {},
        build_name=asked.get("build"),
        shop=asked.get("shop"),
        without=tuple(asked.get("without", ())),
        moved=tuple(asked.get("moved", ())),
    )


def steps(
    records: Records, name: str, **asked: Unpack[AskedOfSteps]
) -> Answer[StepsAnswer] | Answer[StepsBeside]:
    """A planned job, step by step; with a change asked for, beside the plan as it is. [kg, m, degrees]

    Parameters
    ----------
    records : Records
    name : str
        Id or name of a job plan.
    asked
        As `AskedOfSteps`: `as_of` and `rules` always.

    Raises
    ------
    HandlingError
        Nothing goes by the name, the unit cannot be followed, or what is asked cannot be read.
    TypeError
        The day or the rules were left out.
    """
    from handling_db.jobs.steps.beside import beside
    from handling_db.jobs.steps.changed import changed_plan
    from handling_db.jobs.steps.figures import steps_answer
    from handling_db.jobs.steps.lifts import StepsQuestion
    from handling_db.jobs.steps.said.as_json import steps_json
    from handling_db.jobs.steps.said.words import beside_text, steps_text

    needed(asked, "as_of", "rules")
    question = StepsQuestion(asked["as_of"], asked["rules"], ranges(asked.get("assume")))
    plan = records.job_plans[named(records, name, ("job plan",))[1]]
    change = what_if(**asked)
    marks = marked_by(records, ("job plan", plan.id))
    as_planned = changed_plan(records, plan, type(change)())
    if not change.asked:
        planned = steps_answer(records, as_planned, question)
        return Answer(planned, records.first_unit, steps_text, steps_json, True, marks)
    # what is asked first: a name that is not there is told before the long work
    other = steps_answer(records, changed_plan(records, plan, change), question)
    planned = steps_answer(records, as_planned, question)
    return Answer(beside(planned, other), records.first_unit, beside_text, steps_json, True, marks)
