"""Which of two is heavier, as lines of text."""

from __future__ import annotations

from handling_db.lookup.heavier import CANNOT_TELL, FIRST, ComparedWeight, Heavier
from handling_db.lookup.words import FIGURES_NOT_PERMISSION
from handling_db.quantities.display import at_least, pair, span
from handling_db.records.open_job import job_words
from handling_db.weights.answer import StateFigure


def verdict_words(found: Heavier, first: str) -> str:
    """Which is heavier and by how much, or why nobody can tell."""
    if found.verdict == CANNOT_TELL:
        return f"Cannot tell which is heavier: {found.because}."
    one, other = (found.first, found.second) if found.verdict == FIRST else (found.second, found.first)
    least = found.least or 0
    by = (
        f"at least {pair(least, least / 10, first=first)}"
        if found.most is None
        else span(least, found.most, first=first)
    )
    return f"{one.name} is heavier than {other.name}, by {by}."


def side_words(side: ComparedWeight, first: str) -> str:
    """One of the two with its range, or with what nobody weighed in it."""
    if side.high is not None:
        told = span(side.low, side.high, first=first)
    else:
        known = StateFigure("", side.best, side.low, 2 * side.best - side.low, False, "")
        told = f"{at_least(known, first=first)}, nobody weighed {', '.join(side.missing)}"
    return f"{side.name} ({side.what}): {told}"


def heavier_text(found: Heavier, first: str) -> str:
    """Verdict, what is still in for the time being, and both ranges, as lines."""
    lines = [verdict_words(found, first), *(f"  {job_words(job)}" for job in found.jobs)]
    lines += [f"  {side_words(side, first)}" for side in (found.first, found.second)]
    return "\n".join([*lines, "", FIGURES_NOT_PERMISSION])
