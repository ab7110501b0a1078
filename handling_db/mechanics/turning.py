"""Turning over an edge: hook load over the whole angle, and the angle where a load goes over by itself.

Everything happens in the upright plane square to the turning edge: across (level, away from the edge towards
the side that is lifted) and up, both as the load lies at the start. `turned` is the angle by which the lifted
side has come up. Hooks pull plumb, the edge neither slides nor crushes, and everything moves slowly: these
are figures without snatch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from handling_db.quantities.amount import Amount, StaticsError, bounded, newtons

Spot = tuple[float, float]  # across, up [m]

STEP = math.radians(0.1)
RIGHT_ANGLE = math.pi / 2


def turned_spot(spot: Spot, pivot: Spot, turned: float) -> Spot:
    """Where a spot of the load is, from the pivot, after a turn. [m]"""
    across, up = spot[0] - pivot[0], spot[1] - pivot[1]
    c, s = math.cos(turned), math.sin(turned)
    return (across * c - up * s, across * s + up * c)


def spot_in_plane(
    point: tuple[float, float, float], across: tuple[float, float, float], up: tuple[float, float, float]
) -> Spot:
    """A point in three dimensions, seen in the turning plane with these unit directions. [m]"""
    return (
        math.fsum(p * a for p, a in zip(point, across, strict=True)),
        math.fsum(p * u for p, u in zip(point, up, strict=True)),
    )


@dataclass(frozen=True, slots=True)
class EdgeStep:
    """One angle of a turn over an edge. Parts are of the weight."""

    turned: float  # [rad]
    hook_part: float  # negative: the load goes over by itself and has to be held back
    hook_n: tuple[float, float, float]  # for the low, best and high mass [N]
    hook_kg: tuple[float, float, float]  # as a cell reads it [kg]


@dataclass(frozen=True, slots=True)
class EdgeTurn:
    """A turn over an edge with one plumb hook."""

    steps: tuple[EdgeStep, ...]
    goes_over: float | None  # angle from which it goes over by itself; None: not within the turn [rad]
    goes_over_range: tuple[float, float] | None  # over the patch of the centre of gravity [rad]
    worst: EdgeStep  # the largest hook load, found by fine stepping
    says: tuple[str, ...]


def _hook_part(centre: Spot, pick: Spot, pivot: Spot, turned: float) -> float:
    """Hook force over weight by moments about the edge."""
    lever = turned_spot(pick, pivot, turned)[0]
    if abs(lever) < 1e-9:
        raise StaticsError(
            f"at {math.degrees(turned):.1f}° the hook is plumb over the edge, where it can no longer hold "
            "the turn."
        )
    return turned_spot(centre, pivot, turned)[0] / lever


def goes_over_angle(centre: Spot, pivot: Spot) -> float:
    """Angle at which the centre of gravity stands over the edge: atan(across / up). [rad]"""
    return math.atan2(centre[0] - pivot[0], centre[1] - pivot[1])


def over_edge(
    mass: Amount | None,
    centre: Spot,
    pick: Spot,
    pivot: Spot,
    *,
    to_angle: float = RIGHT_ANGLE,
    patch: Spot = (0.0, 0.0),
    step: float = math.radians(1.0),
) -> EdgeTurn:
    """Hook load while a load is turned over an edge by one plumb hook.

    Parameters
    ----------
    mass : Amount or None
        Mass of everything that turns. [kg]
    centre, pick, pivot : Spot
        Centre of gravity, pick point and edge, as the load lies at the start. [m]
    to_angle : float
        End of the turn. [rad]
    patch : Spot
        Half-widths of the doubt of the centre of gravity, across and up. [m]
    step : float
        Angle between the listed steps; the worst is searched with a finer one. [rad]

    Returns
    -------
    EdgeTurn
        Steps up to where the hook goes slack or the turn ends.

    Raises
    ------
    UnknownMassError
        The mass is unknown or "at least".
    StaticsError
        The load does not lie on the lifted side of the edge, or the pick cannot lift it.

    References
    ----------
    .. [1] Moments about the edge. Stepping fine enough to find the worst: 0027/ND Rev 11 (2016), 6.2.5.
    """
    held = bounded(mass, "turning over an edge")
    if held.high is None:  # bounded() has refused this; the check tells the type checker
        raise AssertionError
    if not 0.0 < to_angle <= math.pi or step <= 0.0:
        raise StaticsError("a turn goes from 0° to at most 180°, in steps of more than 0°.")
    if centre[0] - patch[0] <= pivot[0]:
        raise StaticsError(
            "the centre of gravity is, or may be, beyond the edge already: the load would go over before it "
            "is lifted."
        )
    if pick[0] <= pivot[0]:
        raise StaticsError("the pick point must lie on the lifted side of the edge.")
    masses = (held.low, held.best, held.high)

    def at(turned: float) -> EdgeStep:
        part = _hook_part(centre, pick, pivot, turned)
        kg = (part * masses[0], part * masses[1], part * masses[2])
        return EdgeStep(turned, part, (newtons(kg[0]), newtons(kg[1]), newtons(kg[2])), kg)

    over = goes_over_angle(centre, pivot)
    plumb_pick = goes_over_angle(pick, pivot)
    end = min(to_angle, over)
    if plumb_pick <= end:
        raise StaticsError(
            f"at {math.degrees(plumb_pick):.0f}° the hook comes plumb over the edge before the load goes "
            "over "
            f"({math.degrees(over):.0f}°): from this point one hook cannot turn it."
        )
    angles = [i * step for i in range(math.floor(end / step + 1e-9) + 1)]
    if angles[-1] < end - 1e-9:
        angles.append(end)
    fine = [min(end, i * STEP) for i in range(math.ceil(end / STEP) + 1)]
    corners = [(centre[0] + a * patch[0], centre[1] + b * patch[1]) for a in (-1.0, 1.0) for b in (-1.0, 1.0)]
    ranges = [goes_over_angle(corner, pivot) for corner in corners]
    worst = max((at(angle) for angle in fine), key=lambda s: s.hook_part)
    says = []
    if patch != (0.0, 0.0):
        most = max(
            _hook_part(c, pick, pivot, min(a, goes_over_angle(c, pivot))) for c in corners for a in fine
        )
        says.append(
            f"over the doubt of the centre of gravity the hook takes up to {most * held.high:.0f} kg."
        )
    if over <= to_angle:
        says.append(
            f"goes over by itself at {math.degrees(over):.0f}°: from there a line has to hold it back; one "
            "hook on the "
            "lifted side cannot."
        )
    return EdgeTurn(
        steps=tuple(at(angle) for angle in angles),
        goes_over=over if over <= to_angle else None,
        goes_over_range=(min(ranges), max(ranges)) if over <= to_angle else None,
        worst=worst,
        says=tuple(says),
    )


def hold_back_n(
    mass: Amount | None, centre: Spot, line_at: Spot, pivot: Spot, turned: float, pull: Spot = (1.0, 0.0)
) -> float:
    """Pull of a holding-back line that keeps the load still at an angle past where it goes over. [N]

    Parameters
    ----------
    mass : Amount or None
        Upper figure counts. [kg]
    centre, line_at, pivot : Spot
        Centre of gravity, point of the line, edge, as the load lies at the start. [m]
    turned : float
        Angle reached. [rad]
    pull : Spot
        Direction of the pull in the room, across and up.

    Raises
    ------
    UnknownMassError
        The mass is unknown or "at least".
    StaticsError
        Not past the edge yet, or the line cannot hold the load from there.
    """
    weight = newtons(bounded(mass, "holding back").upper("holding back"))
    beyond = -turned_spot(centre, pivot, turned)[0]
    if beyond < 0.0:
        raise StaticsError(
            f"at {math.degrees(turned):.0f}° the load has not gone over: nothing is held back yet."
        )
    at = turned_spot(line_at, pivot, turned)
    size = math.hypot(*pull)
    # Moment of the pull that turns the load back, towards the lifted side going down.
    lever = (at[1] * pull[0] - at[0] * pull[1]) / size if size else 0.0
    if lever <= 1e-9:
        raise StaticsError("a line from that point in that direction does not hold the load back.")
    return weight * beyond / lever
