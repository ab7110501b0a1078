"""Leg rules and formulas as published: angle factors, two unequal legs, and the rules of thumb."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError, needed_mass
from handling_db.quantities.notice import Notice
from handling_db.rigging.factors import LegRule

# From the horizontal: ASME B30.9 by way of OSHA sling guidance, read in a restatement.
FLATTEST = math.radians(30.0)


class FlatLegError(StaticsError):
    """A leg lies flatter than slings are used."""


def angle_factor(from_horizontal: float, *, flat_angle_stated_by: str | None = None) -> float:
    """Tension of a leg over its vertical share: 1 / sin(angle from the horizontal).

    Parameters
    ----------
    from_horizontal : float
        Angle of the leg from the horizontal. [rad]
    flat_angle_stated_by : str, optional
        Who (sling maker, qualified person) says that this sling may be used flatter than 30 degrees.

    Returns
    -------
    float
        1 for a plumb leg, 2 at 30 degrees.

    Raises
    ------
    FlatLegError
        Under 30 degrees and nobody named who allows it; or not rising at all.

    References
    ----------
    .. [1] ASME B30.9 and OSHA sling guidance: no horizontal angle under 30 degrees unless the maker or a
       qualified person says so (read in a restatement, not in the standard).
    """
    degrees = math.degrees(from_horizontal)
    if not 0.0 < from_horizontal <= math.pi / 2 + 1e-9:
        raise FlatLegError(
            f"a leg must rise to the hook: {degrees:.1f}° from the horizontal carries nothing."
        )
    if from_horizontal < FLATTEST - 1e-9 and not flat_angle_stated_by:
        raise FlatLegError(
            f"a leg at {degrees:.1f}° from the horizontal is under 30°, where slings are not used unless "
            "the sling "
            "maker or a qualified person says so. Use longer legs or a spreader, or name who says so."
        )
    return 1.0 / math.sin(from_horizontal)


@dataclass(frozen=True, slots=True)
class RuleOfThumb:
    """What one published rule asks of each leg: a single-leg rating, not a force. [kg]"""

    rule: str
    source: str
    verified: str
    single_leg_rating_kg: float | None  # None where the rule does not cover the case
    says: Notice
    below_statics: bool = False  # of less than what the statics ask


def by_rules(
    rules: tuple[LegRule, ...],
    count: int,
    from_vertical: float,
    mass_kg: float | None,
    *,
    uneven_because: Sequence[Notice] = (),
) -> list[RuleOfThumb]:
    """The single-leg rating that each published rule would ask for, each under its own name.

    Parameters
    ----------
    rules : tuple of LegRule
        Rules as read from the reference data.
    count : int
        Number of legs.
    from_vertical : float
        Lean of the leg that leans most; the rules assume that all lean alike. [rad]
    mass_kg : float, optional
        Mass of the load; None is refused. [kg]
    uneven_because : sequence of Notice
        Why the legs are not even, as `uneven` says; a rule for even legs then gives no figure.

    Returns
    -------
    list of RuleOfThumb
        One per rule; without a figure where the rule does not cover the case, with the reason.

    Raises
    ------
    UnknownMassError
        The mass is not known.
    """
    mass = needed_mass(mass_kg, "rules for multi-leg slings")
    figures = []
    for rule in rules:
        found = rule.multiplier(count, from_vertical)
        if found is None:
            says = Notice("rule does not cover", {"count": count, "lean_deg": math.degrees(from_vertical)})
        elif rule.even_only and uneven_because:
            found, says = None, Notice("rule for even legs", {"because": tuple(uneven_because)})
        else:
            says = Notice("rule counts", {"times": f"{found:.3g}"})
        asks = None if found is None else mass / found
        figures.append(RuleOfThumb(rule.name, rule.source, rule.verified, asks, says))
    return figures


def uneven(leans: Sequence[float], plan_angles: Sequence[float]) -> tuple[Notice, ...]:
    """Reasons in the place of the legs alone why they may not be taken as even; as in `asymmetries`.

    Parameters
    ----------
    leans : sequence of float
        Lean of each leg that carries, from the vertical. [rad]
    plan_angles : sequence of float
        Angles between neighbouring legs seen from above; not looked at with fewer than three legs. [rad]
    """
    give = 1e-9
    fifteen = math.radians(15.0)
    reasons = []
    if len(leans) < 2:
        return ()
    if min(leans) < fifteen - give:
        reasons.append(Notice("leg nearly plumb", {"lean_deg": math.degrees(min(leans))}))
    if max(leans) - min(leans) > fifteen + give:
        reasons.append(Notice("legs lean apart", {"apart_deg": math.degrees(max(leans) - min(leans))}))
    if len(leans) >= 3 and plan_angles and max(plan_angles) - min(plan_angles) > fifteen + give:
        reasons.append(Notice("legs not spread evenly"))
    return tuple(reasons)


def plan_angles(headings: Sequence[float | None]) -> list[float]:
    """Angles between neighbouring legs seen from above, all the way round; plumb legs have none. [rad]

    Parameters
    ----------
    headings : sequence of float or None
        Way of each leg seen from above. [rad]
    """
    ways = sorted(way for way in headings if way is not None)
    if len(ways) < 2:
        return []
    turn = 2.0 * math.pi
    return [(after - before) % turn for before, after in zip(ways, [*ways[1:], ways[0]], strict=True)]
