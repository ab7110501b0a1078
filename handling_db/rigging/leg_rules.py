"""Leg rules and formulas as published: angle factors, two unequal legs, and the rules of thumb."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.mechanics.vectors import Vector, distance
from handling_db.quantities.amount import StaticsError, needed_mass
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
class TwoLegs:
    """Two unequal legs by the level-points formula, and whether the lengths given can exist."""

    tension_1: float
    tension_2: float
    needed_1_m: float  # length that fits distance and height
    needed_2_m: float
    impossible: tuple[str, ...]  # what does not fit; the tensions are then the formula's only


def two_unequal_legs(
    weight: float, across_1: float, across_2: float, length_1: float, length_2: float, height: float
) -> TwoLegs:
    """Tensions of two unequal legs: pick points level, hook plumb over the centre of gravity.

    Parameters
    ----------
    weight : float
        In any unit of force or mass; the tensions come back in the same.
    across_1, across_2 : float
        Horizontal distance of each point from the centre of gravity, one length unit throughout.
    length_1, length_2 : float
        Length of each leg.
    height : float
        Hook over the points.

    Returns
    -------
    TwoLegs
        T1 = W D2 S1 / (H (D1 + D2)), T2 = W D1 S2 / (H (D1 + D2)), and a sentence per length that cannot be.

    Raises
    ------
    StaticsError
        A distance that is not positive.

    References
    ----------
    .. [1] Rigging page of a university's maritime training course (formula as printed).
    """
    for name, value in (("height", height), ("leg 1", length_1), ("leg 2", length_2), ("weight", weight)):
        if not value > 0.0:
            raise StaticsError(f"{name} must be more than 0, not {value!r}.")
    if across_1 < 0.0 or across_2 < 0.0 or across_1 + across_2 == 0.0:
        raise StaticsError("the centre of gravity must lie between the two points.")
    span = across_1 + across_2
    needed = (math.hypot(across_1, height), math.hypot(across_2, height))
    impossible = []
    for number, given, fits, across in (
        (1, length_1, needed[0], across_1),
        (2, length_2, needed[1], across_2),
    ):
        if abs(given - fits) > 0.005 * fits:
            impossible.append(
                f"leg {number} is given as {given:g}, but {across:g} across and {height:g} high need "
                f"{fits:.3f}: "
                "these measures cannot all be right. Measure again."
            )
    return TwoLegs(
        weight * across_2 * length_1 / (height * span),
        weight * across_1 * length_2 / (height * span),
        *needed,
        tuple(impossible),
    )


def length_faults(
    picks: Mapping[str, Vector], hook: Vector, lengths_m: Mapping[str, float], *, within: float = 0.005
) -> tuple[str, ...]:
    """Legs whose stated length does not fit the places of their ends, one sentence each.

    `within` is the part of the length that may be missing or over before it is said; its default is a choice
    of this program.
    """
    faults = []
    for name, point in picks.items():
        fits = distance(point, hook)
        if name in lengths_m and abs(lengths_m[name] - fits) > within * fits:
            faults.append(
                f"leg at {name}: {lengths_m[name]:.3f} m long, but its ends are {fits:.3f} m apart: these "
                "measures "
                "cannot both be right. Measure again."
            )
    return tuple(faults)


@dataclass(frozen=True, slots=True)
class RuleFigure:
    """What one published rule of thumb asks of each leg: a single-leg rating, not a force."""

    rule: str
    source: str
    verified: str
    single_leg_rating_kg: float | None  # None where the rule does not cover the case
    says: str


def by_rules(
    rules: tuple[LegRule, ...],
    count: int,
    from_vertical: float,
    mass_kg: float | None,
    *,
    uneven_because: Sequence[str] = (),
) -> list[RuleFigure]:
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
    uneven_because : sequence of str
        Why the legs are not even, as `uneven` says; a rule for even legs then gives no figure.

    Returns
    -------
    list of RuleFigure
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
            says = f"does not cover {count} legs at {math.degrees(from_vertical):.0f}° from the vertical."
            figures.append(RuleFigure(rule.name, rule.source, rule.verified, None, says))
            continue
        if rule.even_only and uneven_because:
            says = f"holds for even legs only: {' '.join(uneven_because)}"
            figures.append(RuleFigure(rule.name, rule.source, rule.verified, None, says))
            continue
        figures.append(
            RuleFigure(
                rule.name,
                rule.source,
                rule.verified,
                mass / found,
                f"counts {found:.3g} times one leg's rating.",
            )
        )
    return figures


def asymmetries(
    leans: Sequence[float], plan_angles: Sequence[float], load_kg: float, marked_kg: float | None
) -> tuple[str, ...]:
    """Reasons why the legs of a sling may not be taken as symmetric, one sentence each.

    Where there is one, EN 818-6 rates the sling at half of what it is marked, unless a competent person
    decides.

    Parameters
    ----------
    leans : sequence of float
        Lean of each leg from the vertical. [rad]
    plan_angles : sequence of float
        Angles between neighbouring legs seen from above; not looked at with fewer than three legs. [rad]
    load_kg : float
        Mass of the load. [kg]
    marked_kg : float or None
        Rating marked on the sling for this number of legs; None where nobody looked. [kg]

    References
    ----------
    .. [1] EN 818-6: load under 80 % of the marked rating (read in a secondary source); every lean at least
       15 degrees, leans within 15 degrees, plan angles within 15 degrees (from memory).
    """
    reasons = []
    if marked_kg is None:
        reasons.append("nobody looked what the sling is marked with.")
    elif load_kg >= 0.8 * marked_kg:
        reasons.append(f"the load is {load_kg / marked_kg:.0%} of the marked rating, not under 80 %.")
    return (*reasons, *uneven(leans, plan_angles))


def uneven(leans: Sequence[float], plan_angles: Sequence[float]) -> tuple[str, ...]:
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
        reasons.append(f"a leg leans {math.degrees(min(leans)):.0f}°, less than 15° from the vertical.")
    if max(leans) - min(leans) > fifteen + give:
        reasons.append(f"the legs lean {math.degrees(max(leans) - min(leans)):.0f}° apart, more than 15°.")
    if len(leans) >= 3 and plan_angles and max(plan_angles) - min(plan_angles) > fifteen + give:
        reasons.append("seen from above the legs are not spread evenly within 15°.")
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


def equal_leg_tension(weight: float, legs: int, leg_length: float, height: float) -> float:
    """Tension of each of equal legs that share evenly: (W / N) x (L / V), in the unit of the weight.

    Even sharing is an assumption for three and four legs; see `by_rules`.

    Raises
    ------
    StaticsError
        A leg shorter than its height, or fewer than one leg.

    References
    ----------
    .. [1] US Army FM 5-125, slings (symbols read in its glossary, formula from memory).
    """
    if legs < 1 or not 0.0 < height <= leg_length:
        raise StaticsError("equal legs need at least one leg, a height over 0 and a length of at least that.")
    angle_factor(math.asin(height / leg_length))
    return weight / legs * leg_length / height
