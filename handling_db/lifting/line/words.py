"""The table from the hook down in words: who carries what, beside what it may carry. One for all faces."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR

from handling_db.lifting.figures import RatingFigure
from handling_db.lifting.line.table import grouped as grouped
from handling_db.lifting.said.notices import notice_words
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.quantities.sentence import both_units, said, whole


def load_words(load: Amount, *, first: str = "kg") -> str:
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
    sees = f", {row.sees}" if row.sees else ""
    return f"asked {asked_short(row, first=first)}{sees}"


def rated_words(row: RatingFigure, *, first: str = "kg") -> str:
    """What it may carry and on what that rests; past its inspection struck and not used."""
    if row.rating_kg is None:
        return f"no rating to compare with: {notice_words(row.basis, first=first)}"
    basis = notice_words(row.basis, first=first)
    words = f"rated {whole(row.rating_kg, first=first, rounding=ROUND_FLOOR)} ({basis})"
    if row.struck:
        return f"{words}; NOT USED: {notice_words(row.struck, first=first)}"
    if row.not_compared:
        return f"{words}; not compared: {notice_words(row.not_compared, first=first)}"
    return words


def verdict_words(row: RatingFigure) -> str:
    """Beyond its rating, not compared, or neither: then nothing, since nothing here is a permission."""
    if row.over:
        return "BEYOND ITS RATING"
    return "not compared" if row.not_compared else ""


def reached_words(row: RatingFigure, *, first: str = "kg") -> str:
    """At which reading its rating is reached, the cell taken as exact."""
    return "" if row.at_kg is None else f"reached at a reading of {reached_short(row, first=first)}"


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
    """The whole table as lines, what was taken and what a rating holds under behind it."""
    lines: list[str] = []
    for row in grouped(rows):
        lines.append(f"{'  ' * row.depth}{row_words(row, first=first)}")
        lines += [f"{'  ' * row.depth}  {notice_words(one, first=first)}" for one in row.says]
        lines += [f"{'  ' * row.depth}  holds: {notice_words(one, first=first)}" for one in row.cautions]
    return lines


def weighs(row: RatingFigure, *, first: str = "kg") -> str:
    """Its own mass in a cell of the printed table; a row that is no piece of gear has none."""
    if row.own is None:
        return "" if row.weighed else "nobody weighed it"
    return load_words(row.own, first=first) + (", above the cell" if row.above_cell else "")


def asked_short(row: RatingFigure, *, first: str = "kg") -> str:
    """The most that it is asked."""
    if row.demand_kg is None:
        return "not known"
    least = "at least " if row.at_least else ""
    rounding = ROUND_FLOOR if row.at_least else ROUND_CEILING
    return f"{least}{whole(row.demand_kg, first=first, rounding=rounding)}"


def rated_short(row: RatingFigure, *, first: str = "kg") -> str:
    """What it may carry, or that there is no rating or no comparison."""
    if row.rating_kg is None:
        return "no rating"
    apart = ", not compared" if row.not_compared and not row.struck else ""
    return f"{whole(row.rating_kg, first=first, rounding=ROUND_FLOOR)}{apart}"


def reached_short(row: RatingFigure, *, first: str = "kg") -> str:
    """The reading at which its rating is reached, cell exact."""
    return "" if row.at_kg is None else whole(max(0.0, row.at_kg), first=first, rounding=ROUND_FLOOR)


def caution_lines(rows: Sequence[RatingFigure], *, first: str = "kg") -> list[str]:
    """What ratings hold under, each kind of gear once."""
    held: dict[str, list[Notice]] = {}
    for row in rows:
        if row.rating_kg is not None and row.cautions:
            # Without the particulars behind a comma: sizes and lengths do not matter here.
            said_of = held.setdefault((row.what or row.name).partition(",")[0], [])
            said_of += [one for one in row.cautions if one not in said_of]
    return [
        f"{name}: {', '.join(notice_words(one, first=first) for one in several)}"
        for name, several in held.items()
    ]
