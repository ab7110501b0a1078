"""Which of two is heavier, as lines of text."""

from __future__ import annotations

from handling_db.lookup.heavier import CANNOT_TELL, FIRST, Heavier
from handling_db.lookup.words import FIGURES_NOT_PERMISSION
from handling_db.quantities.display import at_least, pair, span
from handling_db.weights.answer import StateFigure


def heavier_text(found: Heavier, first: str) -> str:
    """Both ranges and the verdict, as lines."""
    if found.verdict == CANNOT_TELL:
        head = f"Cannot tell which is heavier: {found.because}."
    else:
        one, other = (found.first, found.second) if found.verdict == FIRST else (found.second, found.first)
        least = found.least or 0
        by = (
            f"at least {pair(least, least / 10, first=first)}"
            if found.most is None
            else span(least, found.most, first=first)
        )
        head = f"{one.name} is heavier than {other.name}, by {by}."
    lines = [head]
    for side in (found.first, found.second):
        if side.high is not None:
            told = span(side.low, side.high, first=first)
        else:
            known = StateFigure("", side.best, side.low, 2 * side.best - side.low, False, "")
            told = f"{at_least(known, first=first)}, nobody weighed {', '.join(side.missing)}"
        lines.append(f"  {side.name} ({side.what}): {told}")
    return "\n".join([*lines, "", FIGURES_NOT_PERMISSION])
