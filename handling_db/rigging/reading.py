"""A reading seen at the hook beside the expected one, and what could explain the difference."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError, newtons
from handling_db.rigging.hook import Expected, Stop


@dataclass(frozen=True, slots=True)
class OpenTie:
    """Something that may still hold: not ticked off, or nobody looked."""

    name: str
    state: str  # "in", "nobody looked", "temporary"
    holds_up_to_n: float | None = None  # where somebody knows it [N]


@dataclass(frozen=True, slots=True)
class ReadingBeside:
    """A seen reading beside the expected one."""

    seen_kg: float
    excess_low_kg: float | None  # least and most by which it is over, cell error counted; negative: under
    excess_high_kg: float | None
    ties: tuple[OpenTie, ...]  # open ties that could explain the excess, largest known hold first
    says: tuple[str, ...]


def reading_seen(
    seen_kg: float, expected: Expected, ties: Sequence[OpenTie], *, stop: Stop | None = None
) -> ReadingBeside:
    """Compare a seen reading with the expected one, and list what could explain the difference.

    Parameters
    ----------
    seen_kg : float
        Steady reading of the cell. [kg]
    expected : Expected
        What it should be.
    ties : sequence of OpenTie
        Everything not known to be out.
    stop : Stop, optional
        Stop figures, to say when one is reached.

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
    says = list(expected.says)
    if expected.load.high is None:
        says.append("an excess cannot be told from the missing mass.")
    over = excess_low is not None and excess_low > 0.0
    possible: list[OpenTie] = []
    if excess_high > 0.0:
        least = newtons(max(0.0, excess_low or 0.0))
        possible = [tie for tie in ties if tie.holds_up_to_n is None or tie.holds_up_to_n >= least]
        possible.sort(key=lambda tie: -(math.inf if tie.holds_up_to_n is None else tie.holds_up_to_n))
    if expected.load.high is None and possible:
        says.append("still open: " + "; ".join(f"{tie.name} ({tie.state})" for tie in possible) + ".")
    if over:
        assert excess_low is not None
        says.append(
            f"{excess_low:.0f} to {excess_high:.0f} kg ({newtons(excess_low) / 1000:.2f} to "
            f"{newtons(excess_high) / 1000:.2f} kN) over what the load should weigh."
        )
        if possible:
            says.append(
                "still open and able to hold that: "
                + "; ".join(f"{t.name} ({t.state})" for t in possible)
                + "."
            )
        says.append("or something nobody listed: fastened, stuck, or lifted along with it.")
    elif excess_high < 0.0:
        says.append(
            f"{-excess_high:.0f} kg or more under what the load should weigh: part of it still rests on "
            "something, or "
            "something listed is not on the hook."
        )
    elif expected.load.high is not None:
        says.append("inside what the load may weigh; that does not show that everything is loose.")
    if stop is not None and seen_kg + error >= stop.at_kg:
        says.append(f"stop: {seen_kg:g} kg reaches {math.floor(stop.at_kg)} kg ({stop.reason}).")
    return ReadingBeside(seen_kg, excess_low, excess_high, tuple(possible), tuple(says))
