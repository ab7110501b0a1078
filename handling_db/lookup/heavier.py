"""Which of two is heavier: worst-case ranges compared, and "cannot tell" where they overlap."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.lookup.json_forms import CAUTIONS, Form
from handling_db.records.open_job import OpenJob
from handling_db.weights.answer import Number

# As exact as the figures come; asked of two ranges, not of two best figures.
FIRST, SECOND, CANNOT_TELL = "first", "second", "cannot tell"


@dataclass(frozen=True, slots=True)
class ComparedWeight:
    """What one thing weighs, in words of who compares it.

    Parameters
    ----------
    name : str
    what : str
        In which state and with what on.
    low, best : Number
        Of the known part where something in it has no mass. [kg]
    high : Number or None
        None where something in it has no mass. [kg]
    missing : tuple of str
        Names of what has no mass.
    jobs : tuple of OpenJob
        With temporary ties in on the unit.
    """

    name: str
    what: str
    low: Number
    best: Number
    high: Number | None
    missing: tuple[str, ...] = ()
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class Heavier:
    """Which of two is heavier.

    Parameters
    ----------
    verdict : str
        first, second, or cannot tell.
    least, most : Number or None
        By how much the heavier one is heavier; None where there is no limit. [kg]
    because : str
        Why it cannot be told; empty otherwise.
    """

    first: ComparedWeight
    second: ComparedWeight
    verdict: str
    least: Number | None
    most: Number | None
    because: str

    @property
    def jobs(self) -> tuple[OpenJob, ...]:
        """Those with temporary ties in on either, each once."""
        return tuple(dict.fromkeys((*self.first.jobs, *self.second.jobs)))


def heavier(first: ComparedWeight, second: ComparedWeight) -> Heavier:
    """Compare two worst-case ranges.

    One is heavier only where its least is over the other's most. A thing with a part nobody weighed has no
    most: it may be told to be the heavier one, never the lighter one.
    """
    for one, other, verdict in ((first, second, FIRST), (second, first, SECOND)):
        if other.high is not None and one.low > other.high:
            most = None if one.high is None else one.high - other.low
            return Heavier(first, second, verdict, one.low - other.high, most, "")
    unknown = [name for side in (first, second) for name in side.missing]
    if unknown:
        because = f"nobody weighed {', '.join(dict.fromkeys(unknown))}, and the known parts do not decide it"
    else:
        because = "the ranges overlap"
    return Heavier(first, second, CANNOT_TELL, None, None, because)


Form("SideJson", ComparedWeight, "One side of a comparison. [kg]", "name what low_kg best_kg high_kg missing")
HEAVIER = Form(
    "HeavierJson",
    Heavier,
    "Which of two is heavier, by least and by most; null where there is no limit. [kg]",
    "first second heavier=verdict by_least_kg=least by_most_kg=most because? jobs",
    CAUTIONS,
)
