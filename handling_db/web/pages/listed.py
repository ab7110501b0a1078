"""What lists of lifts, turns and units in hand show of each: one kind of figure a list, and it says which."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import ROUND_FLOOR
from typing import Any, TypeVar

from handling_db.database.cache import LastAnswers
from handling_db.database.queries.collection import stamp_of
from handling_db.errors import HandlingError
from handling_db.lifting.said.words import whole
from handling_db.loading import from_database
from handling_db.records.open_job import open_job
from handling_db.records.proved import Records
from handling_db.web.site import today

MOST_WORKED_OUT = 24  # lifts of one list whose figure is worked out; the others say where it stands

_figures: LastAnswers[str] = LastAnswers(500)


@dataclass(frozen=True, slots=True)
class ListedLift:
    """A lift with its one figure: what the hook should read, or reads at the start of a turn."""

    id: str
    name: str
    figure: str


@dataclass(frozen=True, slots=True)
class ListedJob:
    """A unit in hand.

    Parameters
    ----------
    unit, name : str
        Id and name of the unit.
    brief : str
        Temporary ties that are in; empty for none.
    next : str
        What has to happen next, as far as the record says.
    off : int
        How many pieces are off.
    plan : str
        Id of the planned job that it follows; empty for none.
    """

    id: str
    unit: str
    name: str
    serial: str
    shop: str
    brief: str
    next: str
    off: int
    closed: bool
    plan: str = ""


Listed = TypeVar("Listed")


def grouped(several: Iterable[Listed], by: Callable[[Listed], str]) -> list[tuple[str, list[Listed]]]:
    """Several under what they have in common, in the order in which that comes first."""
    groups: dict[str, list[Listed]] = {}
    for one in several:
        groups.setdefault(by(one), []).append(one)
    return list(groups.items())


def question() -> Any:
    """The question of a lift as a page asks it: today, with the published rules."""
    from handling_db.files.rating_factors import rating_factors
    from handling_db.lifting.case import LiftQuestion

    return LiftQuestion(as_of=datetime.date.fromisoformat(today()), factors=rating_factors())


def lifts_listed(
    connection: sqlite3.Connection, groups: Iterable[tuple[str, str]], first: str, *, turned: bool = False
) -> list[ListedLift]:
    """Every lift with what the hook should read, or reads at the start of its turn over an edge.

    Parameters
    ----------
    connection : sqlite3.Connection
    groups : iterable of (id, name)
    first : str
        kg or lb.
    turned : bool
    """
    figure = _at_start if turned else _hook

    def work_out(code: str) -> str:
        try:
            records = from_database(connection, code, ("lift group",), "handled").records
            return figure(records, code, first) or "no figure"
        except HandlingError:
            return "no figure"

    def kept(code: str) -> str:
        """Worked out once for the records as they are on this day."""
        key = (stamp_of(connection), today(), turned, code, first)
        return _figures.get(key, lambda: work_out(code))

    return [
        ListedLift(code, name or code, kept(code) if place < MOST_WORKED_OUT else "on its page")
        for place, (code, name) in enumerate(groups)
    ]


def _hook(records: Records, code: str, first: str) -> str | None:
    from handling_db.lifting.case import hook_expected

    load = hook_expected(records, code, question()).load
    if load is None:
        return None
    # what has no mass is in no figure: the known part is rounded down
    return whole(load.best, first=first) if load.high is not None else at_least(load.best, first)


def at_least(kg: float, first: str) -> str:
    """``at least 392 kg (864 lb)``, rounded down. [kg]"""
    return f"at least {whole(kg, first=first, rounding=ROUND_FLOOR)}"


def _at_start(records: Records, code: str, first: str) -> str | None:
    from handling_db.lifting.turn.answer import hook_at_start

    found = hook_at_start(records, code, question())
    return None if found is None else whole(found, first=first)


def jobs_listed(connection: sqlite3.Connection, handled: Any) -> list[ListedJob]:
    """Units in hand, those with temporary ties in first, closed ones last.

    Parameters
    ----------
    connection : sqlite3.Connection
    handled : Collection
    """
    names = dict(connection.execute("select code, name from component"))
    found = []
    for _, job in sorted(handled.jobs.items()):
        still = open_job(job.as_written())
        shop = handled.shops.get(job.shop or "")
        found.append(
            ListedJob(
                id=job.id,
                unit=job.unit,
                name=names.get(job.unit, job.unit),
                serial=str(job.serial or ""),
                shop=shop.name if shop else "",
                brief=still.brief if still else "",
                next=_next(job, handled),
                off=len(job.off),
                closed=job.closed is not None,
                plan=job.follows if job.follows in handled.job_plans else "",
            )
        )
    return sorted(found, key=lambda job: (job.closed, not job.brief))


def _next(job: Any, handled: Any) -> str:
    """The first temporary tie to come out, and by when; and the next step of the job it follows."""
    if job.closed is not None:
        return f"Closed on {job.closed.on}."
    plan = handled.job_plans.get(job.follows or "")
    said = []
    if plan is not None:
        done = {str(one.step) for one in job.steps_done}
        steps = enumerate(plan.steps, 1)
        left = [(n, step) for n, step in steps if str(n) not in done and (step.id or "") not in done]
        said.append(
            f"Next, step {left[0][0]}: {left[0][1].what}." if left else "Every step is written as done."
        )
    if job.open_temporary_ties:
        tie = job.open_temporary_ties[0]
        said.append(f"Out {tie.out_by}: {tie.what}.")
    return " ".join(said) or "No temporary tie is in, as far as anybody wrote down."
