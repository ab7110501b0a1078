"""Pages of planned jobs: the worst first, the states drawn to scale, a row a step, and the sheet to print."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, Any

from handling_db.database.cache import LastAnswers
from handling_db.errors import HandlingError
from handling_db.loading import from_database
from handling_db.records.kinds.job_plan import JobPlan
from handling_db.records.proved import Records
from handling_db.web.drawings.states import ON_PAPER, ON_PHONE, states_strip
from handling_db.web.pages.asked import text_of
from handling_db.web.pages.sending import Visit, shown

if TYPE_CHECKING:
    from handling_db.jobs.progress import ProgressAnswer
    from handling_db.jobs.steps.answer import StepsAnswer
    from handling_db.jobs.steps.beside import StepsBeside
    from handling_db.serialise import Answer

LONGEST = 80
MOST = 20

_worked: LastAnswers[Answer[StepsAnswer] | Answer[StepsBeside]] = LastAnswers(16)


def _asked(args: Any) -> dict[str, Any]:
    """What is changed about a plan, read from an address."""
    from handling_db.lifting.asked import assumed_ranges, settings

    def several(name: str) -> list[str]:
        return [text.strip()[:LONGEST] for text in args.getlist(name)[:MOST] if text.strip()]

    moved = []
    for text in several("move"):
        step, sign, after = text.partition(">")
        if not sign:
            raise HandlingError(f"move={text!r}: write STEP>AFTER, such as move=caliper>drain")
        moved.append((step.strip(), after.strip()))
    return {
        "without": several("without"),
        "moved": moved,
        "set": settings(several("set")),
        "build": text_of(args, "build", LONGEST) or None,
        "shop": text_of(args, "shop", LONGEST) or None,
        "assume": assumed_ranges(several("assume"), "assume=") or None,
    }


@shown("plans.html")
def plans(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """Every planned job, with its steps counted."""
    records = from_database(connection, reach="everything").records
    listed = [
        {
            "id": plan.id,
            "name": plan.name,
            "unit": records.components[plan.unit].name if plan.unit in records.components else plan.unit,
            "steps": len(plan.steps),
            "jobs": [job.id for _, job in sorted(records.jobs.items()) if job.follows == plan.id],
        }
        for _, plan in sorted(records.job_plans.items())
    ]
    return {"plans": listed, "json": {"plans": listed}}


@shown("plan.html")
def plan(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """One planned job: headline, strip of states, one row a step."""
    return _plan(connection, visit, ON_PHONE)


@shown("plan-sheet.html")
def plan_sheet(connection: sqlite3.Connection, visit: Visit) -> dict[str, Any]:
    """The same for printing, with blanks for the reading, the role and the time."""
    return _plan(connection, visit, ON_PAPER)


def _plan(connection: sqlite3.Connection, visit: Visit, columns: int) -> dict[str, Any]:
    import handling_db as hd
    from handling_db.interface.jobs import what_if
    from handling_db.jobs.pictured import step_pictures
    from handling_db.jobs.progress_words import differences_told, progress_json
    from handling_db.jobs.steps.beside import StepsBeside
    from handling_db.jobs.steps.changed import changed_plan
    from handling_db.jobs.steps.said import notices, words
    from handling_db.lifting.said import words as lift_wording

    found = from_database(connection, visit.code, ("job plan",), "everything")
    asked = _asked(visit.request.args)
    first = visit.first
    day = visit.day
    # page, sheet and JSON ask the same, whichever unit stands first
    key = (visit.stamp.stamp, day, found.id, repr(asked))
    answer = _worked.get(key, lambda: hd.steps(found.records, found.id, as_of=day, rules=hd.rules(), **asked))
    figures = answer.figures
    beside = figures if isinstance(figures, StepsBeside) else None
    answered: StepsAnswer = figures.asked if isinstance(figures, StepsBeside) else figures
    record: JobPlan = found.records.job_plans[found.id]
    hand = _in_hand(found.records, record, visit.text("job", LONGEST))
    pictures = step_pictures(found.records, changed_plan(found.records, record, what_if(**asked)))
    return {
        "about": ("job plan", found.id),
        "a": answered,
        "beside": beside,
        "strip": states_strip(answered, pictures, columns=columns),
        "w": words,
        "say": notices,
        "lw": lift_wording,
        "asked": asked,
        "shops": [(shop.id, shop.name) for _, shop in sorted(found.records.shops.items())],
        "names": [(step.id or str(n), f"{n} {step.what}") for n, step in enumerate(record.steps, 1)],
        "jobs": _following(found.records, found.id),
        "hand": hand,
        "otherwise": [] if hand is None else differences_told(hand, first),
        "day": day.isoformat(),
        "json": answer.to_json(first=first, marked=False)
        | ({} if hand is None else {"in_hand": progress_json(hand, first)}),
    }


def _in_hand(records: Records, plan: JobPlan, name: str) -> ProgressAnswer | None:
    """The unit in hand that the page is asked for, beside this plan.

    Raises
    ------
    UnknownNameError, HandlingError
        There is no such job, or it follows another plan.
    """
    from handling_db.jobs.progress import progress_answer
    from handling_db.lifting.asked import job_named

    job = job_named(records, name or None)
    if job is None:
        return None
    if job.follows != plan.id:
        raise HandlingError(f"job {job.id!r} does not follow {plan.name}; write 'follows: {plan.id}' into it")
    return progress_answer(records, job)


def _following(records: Records, code: str) -> list[tuple[str, str]]:
    """Units in hand that follow the plan."""
    return [
        (job.id, f"serial {job.serial}" if job.serial is not None else job.id)
        for _, job in sorted(records.jobs.items())
        if job.follows == code and job.closed is None
    ]
