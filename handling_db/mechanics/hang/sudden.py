"""Forces in the rigging when something lets go: two cases, each under its own name."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError, needed_mass


@dataclass(frozen=True, slots=True)
class SuddenCase:
    """Forces in the rigging when something lets go, as what a cell would show."""

    case: str
    highest_kg: float
    lowest_kg: float
    goes_slack: bool
    times_weight: float


def let_go_from_overpull(mass_kg: float | None, pull_kg: float) -> SuddenCase:
    """What was holding lets go while the hook pulls with more than the weight.

    The load starts still, under a pull P; the rigging is a spring without loss. It swings about the weight W
    between P and 2 W - P; with P over 2 W the legs go slack and snatch.

    Parameters
    ----------
    mass_kg : float or None
        Mass that comes free, its lowest figure for the worst bounce. [kg]
    pull_kg : float
        Hook reading when it lets go. [kg]

    Raises
    ------
    UnknownMassError
        The mass is not known.
    StaticsError
        A pull that is not over the weight.

    References
    ----------
    .. [1] Mass on a spring let go from rest (any text on vibration).
    """
    mass = needed_mass(mass_kg, "release from over-pull")
    if not pull_kg >= mass:
        raise StaticsError(f"over-pull means more than the weight: {pull_kg!r} kg is not over {mass:g} kg.")
    lowest = 2.0 * mass - pull_kg
    return SuddenCase("release from over-pull", pull_kg, max(0.0, lowest), lowest < 0.0, pull_kg / mass)


def drop_on_slack_legs(mass_kg: float | None, drop_m: float, stretch_m: float | None) -> SuddenCase:
    """Something gives way under the load while the legs are slack, and it falls into them.

    Parameters
    ----------
    mass_kg : float or None
        Mass that falls, its highest figure. [kg]
    drop_m : float
        Fall before the legs are straight. [m]
    stretch_m : float or None
        Stretch of the rigging under the weight at rest. [m]

    Returns
    -------
    SuddenCase
        Highest force W (1 + sqrt(1 + 2 h / stretch)); even a fall of nothing doubles the weight.

    Raises
    ------
    UnknownMassError
        The mass is not known.
    StaticsError
        The stretch is not known or nothing, or a fall below 0.

    References
    ----------
    .. [1] Energy of a weight falling on a spring without loss (any text on strength of materials).
    """
    mass = needed_mass(mass_kg, "fall into slack legs")
    if stretch_m is None:
        raise StaticsError(
            "fall into slack legs: the stretch of the rigging under the load is not known, and without it "
            "there is no "
            "peak; stiff rigging makes it higher. Measure how far the hook rises from taut to lifted."
        )
    if not (drop_m >= 0.0 and stretch_m > 0.0 and math.isfinite(drop_m) and math.isfinite(stretch_m)):
        raise StaticsError("a fall must be 0 or more and a stretch more than 0.")
    times = 1.0 + math.sqrt(1.0 + 2.0 * drop_m / stretch_m)
    return SuddenCase("something gives way under slack legs", mass * times, 0.0, True, times)
