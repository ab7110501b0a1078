"""A unit in hand with temporary ties in, out of the plain values of its record: cheap, no model."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from handling_db.classes import dataclass
from handling_db.quantities.display import without_count


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A unit in hand with temporary ties in: named wherever that unit is, whether asked for or not.

    Parameters
    ----------
    ties : tuple of str
        What is in, each with its count, and by when it has to be out.
    brief : str
        The same in a few words.
    applied : bool
        Whether it counts in the figures: its serial is the one asked about, or a person said so.
    """

    id: str
    unit: str
    serial: str
    ties: tuple[str, ...]
    brief: str
    applied: bool = False


def open_job(written: Mapping[str, Any]) -> OpenJob | None:
    """The job as its record is written; None where no temporary tie is in."""
    still = [tie for tie in written.get("temporary ties") or () if "out" not in tie]
    if not still:
        return None
    return OpenJob(
        id=str(written["job"]),
        unit=str(written["unit"]),
        serial=str(written.get("serial") or ""),
        ties=tuple(f"{_counted(tie)} (out {tie['out by']})" for tie in still),
        brief=", ".join(_counted(tie).partition(",")[0] for tie in still),
    )


def _counted(tie: Mapping[str, Any]) -> str:
    count = str(tie["count"])
    return f"{count} x {without_count(count, str(tie['what']))}"


def job_words(job: OpenJob) -> str:
    """``job qsn-1187, serial 1187: still in 4 x through-bolts M10 (out before the lift)``."""
    serial = f", serial {job.serial}" if job.serial else ""
    return f"job {job.id}{serial}: still in {'; '.join(job.ties)}"
