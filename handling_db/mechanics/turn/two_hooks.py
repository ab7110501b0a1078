"""Two plumb hooks on one load: upending and tailing over the whole angle, and two cranes with tilt."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from handling_db.mechanics.body import Body
from handling_db.quantities.amount import Amount, StaticsError, bounded
from handling_db.quantities.notice import Notice

# Places of a load that turns in the upright plane square to its turning edge.
#
# Across is level, away from the edge towards the side that is lifted, and up is up, both as the load lies at
# the start. `turned` is the angle by which the lifted side has come up.

Spot = tuple[float, float]  # across, up [m]

STEP = math.radians(0.1)
RIGHT_ANGLE = math.pi / 2


def turned_spot(spot: Spot, pivot: Spot, turned: float) -> Spot:
    """Where a spot of the load is, from the pivot, after a turn. [m]"""
    across, up = spot[0] - pivot[0], spot[1] - pivot[1]
    c, s = math.cos(turned), math.sin(turned)
    return (across * c - up * s, across * s + up * c)


@dataclass(frozen=True, slots=True)
class HooksStep:
    """One angle of a turn between two plumb hooks. Parts are of the weight."""

    turned: float  # [rad]
    head_part: float  # with the best figures
    tail_part: float
    head_kg: float  # the most over masses and places together [kg]
    tail_kg: float
    tail_least_kg: float  # the least; nothing or less: the tail hook may be slack [kg]
    head_least_kg: float


@dataclass(frozen=True, slots=True)
class HooksTurn:
    """A turn in the air between a head hook and a tail hook.

    The steps go by the formula to the end; the worst of each hook is searched as far as no hook has to push.
    """

    steps: tuple[HooksStep, ...]
    worst_head: HooksStep
    worst_tail: HooksStep
    # Angle at which the tail hook carries nothing, so that it hangs from the head alone, by the best figures;
    # the first and the last at which that may be, the last None where it may carry to the end. [rad]
    tail_slack_at: float | None
    tail_slack_range: tuple[float, float | None] | None
    # The same for the head hook: from there it would have to push, and the load swings over the tail hook.
    head_slack_at: float | None
    head_slack_range: tuple[float, float | None] | None
    head_size_kg: float  # no hook takes more than the whole load: the head hook does when upright [kg]
    says: tuple[Notice, ...]


def two_hooks(
    mass: Amount | None,
    centre: Spot,
    head: Spot,
    tail: Spot,
    *,
    body: Body | None = None,
    to_angle: float = RIGHT_ANGLE,
    step: float = math.radians(1.0),
) -> HooksTurn:
    """Loads on two plumb hooks while the head of a load is raised (upending, tailing).

    By moments about the head pick. With the picks a distance s apart, the centre of gravity p from the head
    along the line of picks and q below it: tail = W (p/s - (q/s) tan(turned)), head = W - tail.

    Parameters
    ----------
    mass : Amount or None
        Mass of the load. [kg]
    centre, head, tail : Spot
        As the load lies at the start; the head is raised. [m]
    body : Body, optional
        The pieces with their limits, in the same plane: x across, z up. Without it the heaviest mass is taken
        with the best centre. [kg, m]
    to_angle : float
        End of the turn. [rad]
    step : float
        Angle between the listed steps; the worst is searched with a finer one. [rad]

    Returns
    -------
    HooksTurn
        Steps up to where the picks are plumb over one another, where statics ends with a jump.

    Raises
    ------
    UnknownMassError
        The mass is unknown or "at least".
    StaticsError
        The picks are plumb over one another at the start.

    References
    ----------
    .. [1] Statics; no printed worked example of a handbook was found. Stepping: 0027/ND Rev 11 (2016), 6.2.5.
    """
    upper = bounded(mass, "turning on two hooks").upper("turning on two hooks")
    apart = (tail[0] - head[0], tail[1] - head[1])
    if abs(apart[0]) < 1e-9 * math.hypot(*apart) or apart == (0.0, 0.0):
        raise StaticsError("the two picks are plumb over one another: two hooks cannot share the load there.")
    if not 0.0 < to_angle <= RIGHT_ANGLE or step <= 0.0:
        raise StaticsError("upending goes from 0° to at most 90°, in steps of more than 0°.")
    # The head comes up: the load turns so that the tail goes under the head.
    sign = -1.0 if apart[0] > 0.0 else 1.0

    def at(turned: float) -> HooksStep | None:
        lever = turned_spot(tail, head, sign * turned)[0]
        if lever * apart[0] <= 1e-9 * math.hypot(*apart) ** 2:
            return None
        part = turned_spot(centre, head, sign * turned)[0] / lever
        if body is None:
            kg = (upper * (1.0 - part), upper * part, upper * part, upper * (1.0 - part))
            return HooksStep(turned, 1.0 - part, part, *kg)
        # Each hook takes of every piece its own part: the most is each piece at the limit that suits it.
        along = np.array([math.cos(turned), 0.0, -sign * math.sin(turned)]) / lever
        least, most = body.moment(along, -float(along @ (head[0], 0.0, head[1])))
        least_head, most_head = body.moment(-along, 1.0 + float(along @ (head[0], 0.0, head[1])))
        return HooksStep(turned, 1.0 - part, part, most_head, most, least, least_head)

    listed = [i * step for i in range(math.floor(to_angle / step + 1e-9) + 1)]
    fine = [min(to_angle, i * STEP) for i in range(math.ceil(to_angle / STEP) + 1)]
    steps = tuple(found for found in map(at, listed) if found is not None)
    searched = [found for found in map(at, fine) if found is not None]
    slack = _first(searched, lambda s: s.tail_part)
    first, last = _first(searched, lambda s: s.tail_least_kg), _first(searched, lambda s: s.tail_kg)
    pushes = _first(searched, lambda s: s.head_part)
    may, must = _first(searched, lambda s: s.head_least_kg), _first(searched, lambda s: s.head_kg)
    held = [s for s in searched if must is None or s.turned < must] or searched[:1]
    worst_head = max(held, key=lambda s: min(s.head_kg, upper))
    worst_tail = max(held, key=lambda s: min(s.tail_kg, upper))
    says = [Notice("head takes it all")]
    if slack is not None and slack < to_angle - 1e-9:
        says.append(Notice("tail slack", {"from_deg": math.degrees(slack)}))
    if worst_tail.turned > STEP:
        most = {"at_deg": math.degrees(worst_tail.turned), "most_kg": min(worst_tail.tail_kg, upper)}
        says.append(Notice("tail takes most later", most))
    if pushes is not None:
        says.append(Notice("head would push", {"from_deg": math.degrees(pushes)}))
    elif may is not None:
        says.append(Notice("may swing over", {"from_deg": math.degrees(may)}))
    if len(searched) < len(fine) and pushes is None:
        says.append(Notice("picks plumb at the end"))
    return HooksTurn(
        steps,
        worst_head,
        worst_tail,
        slack,
        None if first is None else (first, last),
        pushes,
        None if may is None else (may, must),
        upper,
        tuple(says),
    )


def _first(steps: Sequence[HooksStep], carried: Callable[[HooksStep], float]) -> float | None:
    """The first angle at which a hook carries nothing. [rad]"""
    return next((s.turned for s in steps if carried(s) <= 1e-12), None)
