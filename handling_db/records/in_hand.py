"""Units in hand: which jobs are about a unit, and what they have put in to hold for the time being."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from handling_db.errors import HandlingError, not_there
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job
from handling_db.records.open_job import OpenJob, open_job


def below(collection: Collection, code: str) -> frozenset[str]:
    """A component and everything that goes into it, as ids."""
    found: set[str] = set()
    stack = [code]
    while stack:
        one = stack.pop()
        if one in found:
            continue
        found.add(one)
        component = collection.components.get(one)
        stack += [line.component for line in component.parts] if component else []
    return frozenset(found)


def jobs_about(collection: Collection, code: str, serial: int | None = None) -> tuple[Job, ...]:
    """Jobs with temporary ties in on a unit that is this component, holds it, or goes into it; by id.

    Parameters
    ----------
    collection : Collection
    code : str
        Component id.
    serial : int, optional
        Where the unit at hand has one: a job on another serial is about another unit and left out. A job
        without a serial stays: nobody can tell.
    """
    under = below(collection, code)
    return tuple(
        job
        for _, job in sorted(collection.jobs.items())
        if job.open_temporary_ties
        and (serial is None or job.serial is None or job.serial == serial)
        and (job.unit in under or code in below(collection, job.unit))
    )


def open_jobs(
    collection: Collection, code: str, serial: int | None = None, applied: str = ""
) -> tuple[OpenJob, ...]:
    """The same as plain answers, with the one that counts in the figures marked.

    Parameters
    ----------
    collection, code, serial
        As in `jobs_about`.
    applied : str
        Id of the job that counts; empty for none.
    """
    found = (open_job(job.as_written()) for job in jobs_about(collection, code, serial))
    return tuple(replace(job, applied=job.id == applied) for job in found if job is not None)


def not_followed(collection: Collection, job: Job, plan_id: str) -> None:
    """Refuse a plan that is not there, is about another unit, or in the middle of another one.

    Raises
    ------
    HandlingError
        The job cannot follow it.
    """
    plan = collection.job_plans.get(plan_id)
    if plan is None:
        raise HandlingError(not_there("job plan", plan_id, sorted(collection.job_plans)))
    if plan.unit != job.unit:
        raise HandlingError(
            f"job plan {plan_id!r} is about {plan.unit!r}, and job {job.id!r} about {job.unit!r}"
        )
    if job.steps_done and job.follows != plan_id:
        raise HandlingError(
            f"job {job.id!r} is in the middle of {job.follows!r}; finish it, or open a new job"
        )


def job_in_hand(collection: Collection, code: str, serial: int | None) -> Job | None:
    """The one open job with this serial number on a unit that is this component or holds it; else None."""
    return _the_one(collection, serial, lambda job: code in below(collection, job.unit))


def job_of_serial(collection: Collection, unit: str, serial: int | None) -> Job | None:
    """The one open job on this unit with this serial number; None where there is none, or several.

    Which of several is meant a person has to say.
    """
    return _the_one(collection, serial, lambda job: job.unit == unit)


def _the_one(collection: Collection, serial: int | None, wanted: Callable[[Job], bool]) -> Job | None:
    if serial is None:
        return None
    jobs = collection.jobs.values()
    found = [job for job in jobs if job.serial == serial and job.closed is None and wanted(job)]
    return found[0] if len(found) == 1 else None
