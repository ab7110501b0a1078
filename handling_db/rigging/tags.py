"""What a sling's tag says: the row for an angle, and what one leg may carry by it.

A tag for several legs is a figure for even legs. What one of them may carry follows from it by the factor
that published rules give for the angle of the row; where they differ, the largest factor counts, since it
leaves the least for one leg. Angles are printed in three ways: from the vertical, from the horizontal, or
between two legs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError
from handling_db.rigging.factors import LegRule

CONVENTIONS = ("vertical", "horizontal", "included")
_GIVE = 1e-6  # [deg], as in factors
# Printed ratings are moved to preferred numbers: up to this part from the product. EN 818-4, secondary table.
ROUNDED = 0.042


@dataclass(frozen=True, slots=True)
class TagRow:
    """One line of a tag.

    Parameters
    ----------
    legs : int
        For how many legs.
    lean : float or None
        Up to which angle of the legs from the vertical; None where the line gives no angle. [deg]
    rated_kg : float
        [kg]
    """

    legs: int
    lean: float | None
    rated_kg: float


def lean_of(printed: float, convention: str) -> float:
    """The lean from the vertical that a printed angle stands for. [deg]

    Parameters
    ----------
    printed : float
        As on the tag. [deg]
    convention : str
        ``vertical``; ``horizontal``: 90 - printed; ``included``, between two opposite legs: half of it.

    Raises
    ------
    StaticsError
        Another convention, or an angle that no leg can have.
    """
    if convention not in CONVENTIONS:
        raise StaticsError(f"angles count from {convention!r}; write one of {', '.join(CONVENTIONS)}.")
    lean = {"vertical": printed, "horizontal": 90.0 - printed, "included": printed / 2.0}[convention]
    if not 0.0 <= lean <= 90.0:
        raise StaticsError(f"{printed:g}° ({convention}) is no angle that a leg can have.")
    return lean


def row_for(rows: Sequence[TagRow], legs: int, lean: float) -> TagRow | None:
    """The line for so many legs that covers a lean, the narrowest; None where there is none. Lean in deg.

    A line for one leg without an angle holds for the pull along the leg, whichever way it leans. One for
    several legs without an angle holds for plumb legs only.
    """
    fitting = []
    for row in rows:
        if row.legs != legs:
            continue
        limit = row.lean if row.lean is not None else (90.0 if legs == 1 else 0.5)
        if lean <= limit + _GIVE:
            fitting.append((limit, row.rated_kg, row))
    # the narrowest; of two alike the lower
    return min(fitting, key=lambda entry: entry[:2])[2] if fitting else None


@dataclass(frozen=True, slots=True)
class OneLeg:
    """What one leg of a sling may carry along itself, and on what that rests."""

    rating_kg: float
    row: TagRow
    factor: float  # the row's rating over this one
    rule: LegRule | None  # None: the tag's own line for one leg, or legs that no published rule covers


def one_leg(rows: Sequence[TagRow], lean: float | None, rules: Sequence[LegRule]) -> OneLeg | None:
    """What one leg may carry by its tag: the lowest of its own line and of the lines for several legs.

    Parameters
    ----------
    rows : sequence of TagRow
    lean : float or None
        Largest lean of its legs; None where it is not known: then every line counts. [deg]
    rules : sequence of LegRule
        Published rules; only those that ratings of tags are made by count.

    Returns
    -------
    OneLeg or None
        None where no line covers the lean.
    """
    found = []
    for count in sorted({row.legs for row in rows}):
        used = [row for row in rows if row.legs == count]
        # What one leg may carry does not change with its lean, so once a line covers it every line tells, and
        # the lowest of them counts: printed figures are moved to round numbers, up as well as down. A line
        # without an angle tells it for every lean: read as for plumb legs, the strictest.
        if lean is not None and row_for(rows, count, lean) is None:
            used = [row for row in used if row.lean is None]
        for row in used:
            factor, rule = _factor(row, rules)
            found.append(OneLeg(row.rated_kg / factor, row, factor, rule))
    least = min(found, key=lambda leg: (round(leg.rating_kg, 6), leg.row.legs), default=None)
    own = min((leg for leg in found if leg.row.legs == 1), key=lambda leg: leg.rating_kg, default=None)
    if own is not None and least is not None and least.rating_kg >= own.rating_kg * (1.0 - ROUNDED):
        return own  # what the tag says of one leg itself; the others differ by their rounding only
    return least


def _factor(row: TagRow, rules: Sequence[LegRule]) -> tuple[float, LegRule | None]:
    """The largest published factor between one leg and the row, with its rule."""
    if row.legs == 1:
        return 1.0, None
    lean = math.radians(row.lean or 0.0)
    best: tuple[float, LegRule] | None = None
    for rule in rules:
        times = rule.multiplier(row.legs, lean) if rule.rates_tags else None
        if times is not None and (best is None or times > best[0]):
            best = (times, rule)
    # No rule covers it: no more than every leg carrying alike can have been counted.
    return best if best is not None else (row.legs * max(math.cos(lean), 1e-9), None)


@dataclass(frozen=True, slots=True)
class Whole:
    """What a sling may carry on the legs that do carry."""

    rating_kg: float
    row: TagRow
    legs: int  # that carry
    factor: float  # times one leg; 1 where the tag has a line of its own
    rule: LegRule | None


def whole(
    rows: Sequence[TagRow], legs: int, lean: float, rules: Sequence[LegRule], *, slack: bool
) -> Whole | None:
    """The tag for the legs that carry, at their widest lean; None where no line covers it.

    Parameters
    ----------
    rows : sequence of TagRow
    legs : int
        How many carry.
    lean : float
        Largest lean of those. [deg]
    rules : sequence of LegRule
    slack : bool
        A leg of the sling hangs slack: without a line for those left, what one leg may carry times the
        smallest published factor for so many counts.
    """
    row = row_for(rows, legs, lean)
    if row is not None:
        return Whole(row.rated_kg, row, legs, 1.0, None)
    single = one_leg(rows, lean, rules) if slack else None
    if single is None:
        return None
    if legs == 1:
        return Whole(single.rating_kg, single.row, 1, 1.0, single.rule)
    # Plumber than 15 degrees the uniform factors are silent and the cosine is largest: the stricter is read
    # there.
    at = math.radians(max(lean, 15.0))
    times = [
        (found, rule)
        for rule in rules
        if rule.rates_tags and (found := rule.multiplier(legs, at)) is not None
    ]
    if not times:
        return None
    factor, rule = min(times, key=lambda entry: entry[0])
    return Whole(single.rating_kg * factor, single.row, legs, factor, rule)
