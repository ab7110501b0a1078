"""The table from the hook down in words: who carries what, beside what it may carry. One for all faces."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR

from handling_db.lifting.figures import Load, RatingFigure
from handling_db.quantities.sentence import both_units, said, whole


def load_words(load: Load, *, first: str = "kg") -> str:
    """A mass with its doubt, or "at least"."""
    facts = {"low_kg": load.low, "best_kg": load.best, "high_kg": load.high}
    return said("{load:doubt}", facts, first=first)


def own_words(row: RatingFigure, *, first: str = "kg") -> str:
    """What the piece of gear itself weighs; empty for a row that is not one."""
    if row.own is None:
        return "" if row.weighed else "own mass: nobody weighed it"
    where = ", above the cell: on the hoist, in no reading" if row.above_cell else ""
    return f"weighs {load_words(row.own, first=first)}{where}"


def asked_words(row: RatingFigure, *, first: str = "kg") -> str:
    """The most that it is asked, and of what that is made up."""
    if row.demand_kg is None:
        return "asked: not known"
    least = "at least " if row.at_least else ""
    rounding = ROUND_FLOOR if row.at_least else ROUND_CEILING
    sees = f", {row.sees}" if row.sees else ""
    return f"asked {least}{whole(row.demand_kg, first=first, rounding=rounding)}{sees}"


def rated_words(row: RatingFigure, *, first: str = "kg") -> str:
    """What it may carry and on what that rests; past its inspection struck and not used."""
    if row.rating_kg is None:
        return f"no rating to compare with: {row.basis}"
    words = f"rated {whole(row.rating_kg, first=first, rounding=ROUND_FLOOR)} ({row.basis})"
    if row.struck:
        return f"{words}; NOT USED: {row.struck}"
    return f"{words}; not compared: {row.not_compared}" if row.not_compared else words


def verdict_words(row: RatingFigure) -> str:
    """Beyond its rating, not compared, or neither: then nothing, since nothing here is a permission."""
    if row.over:
        return "BEYOND ITS RATING"
    return "not compared" if row.not_compared else ""


def reached_words(row: RatingFigure, *, first: str = "kg") -> str:
    """At which reading its rating is reached, the cell taken as exact."""
    if row.at_kg is None:
        return ""
    return f"reached at a reading of {whole(max(0.0, row.at_kg), first=first, rounding=ROUND_FLOOR)}"


def row_words(row: RatingFigure, *, first: str = "kg") -> str:
    """One row as one line."""
    said = [
        verdict_words(row) if row.over else "",
        own_words(row, first=first),
        asked_words(row, first=first),
        rated_words(row, first=first),
        reached_words(row, first=first),
    ]
    return both_units(f"{row.name}: {'; '.join(text for text in said if text)}")


def line_lines(rows: Sequence[RatingFigure], *, first: str = "kg") -> list[str]:
    """The whole table as lines, what a rating holds under behind it, each caution where it is new."""
    lines: list[str] = []
    for row in rows:
        lines.append(f"{'  ' * row.depth}{row_words(row, first=first)}")
        lines += [both_units(f"{'  ' * row.depth}  holds: {text}") for text in row.cautions]
    return lines
