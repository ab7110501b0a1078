"""How the figure of a piece narrowed: its limits as weighings came in, one line a day on one axis of mass."""

from __future__ import annotations

from markupsafe import Markup

from handling_db.lookup.words import limits_words
from handling_db.web.drawings.intervals import IntervalRow, interval_drawing
from handling_db.weights.answer import WeightAnswer


def narrowed_drawing(answer: WeightAnswer, *, first: str = "kg") -> Markup | None:
    """The limits before the first weighing and after each that changed them, the oldest first.

    Returns
    -------
    Markup or None
        None where no weighing changed anything.
    """
    rows = [
        IntervalRow(
            f"Since {one.since}" if one.since else "Before these weighings",
            limits_words(one, first=first),
            one.low,
            one.high,
        )
        for one in answer.headline.rests.narrowed
    ]
    return interval_drawing(rows, f"How the figure of {answer.name} narrowed, dry", first=first)
