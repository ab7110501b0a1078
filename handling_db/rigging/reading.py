"""A reading seen at the hook beside the expected one, and what could explain the difference."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError, newtons
from handling_db.rigging.hook import Expected


@dataclass(frozen=True, slots=True)
class OpenTie:
    """Something that may still hold: not ticked off, or nobody looked."""

    name: str
    holds_up_to_n: float | None = None  # where somebody knows it [N]


@dataclass(frozen=True, slots=True)
class ReadingBeside:
    """A seen reading beside the expected one."""

    seen_kg: float
    excess_low_kg: float | None  # least and most by which it is over, cell error counted; negative: under
    excess_high_kg: float | None
    ties: tuple[OpenTie, ...]  # open ties that could explain the excess, largest known hold first


def reading_seen(seen_kg: float, expected: Expected, ties: Sequence[OpenTie]) -> ReadingBeside:
    """Compare a seen reading with the expected one, and list what could explain the difference.

    Parameters
    ----------
    seen_kg : float
        Steady reading of the cell. [kg]
    expected : Expected
        What it should be.
    ties : sequence of OpenTie
        Everything not known to be out.

    Returns
    -------
    ReadingBeside
        Excess as an interval. A tie whose known hold is smaller than the least excess is left out: alone it
        cannot explain it.

    Raises
    ------
    StaticsError
        A reading that cannot be.
    """
    if not (math.isfinite(seen_kg) and seen_kg >= 0.0):
        raise StaticsError(f"a reading is 0 kg or more, not {seen_kg!r}.")
    error = 0.0 if expected.cell is None else expected.cell.at(seen_kg)
    excess_low = None if expected.load.high is None else seen_kg - error - expected.load.high
    excess_high = seen_kg + error - expected.load.low
    possible: list[OpenTie] = []
    if excess_high > 0.0:
        least = newtons(max(0.0, excess_low or 0.0))
        possible = [tie for tie in ties if tie.holds_up_to_n is None or tie.holds_up_to_n >= least]
        possible.sort(key=lambda tie: -(math.inf if tie.holds_up_to_n is None else tie.holds_up_to_n))
    return ReadingBeside(seen_kg, excess_low, excess_high, tuple(possible))
