"""What a joint carries while a load is turned over an edge, over the doubt, and what its bolts take.

Section forces of the side away from the edge, in the joint's own directions, which turn with the load. A
positive moment opens the joint at its upper edge (upper as the load lies at the start), positive axial force
pulls the halves apart, positive shear pushes the side towards the load's own down. A hook or a centre beside
the turning plane through the middle of the joint twists it about its own normal, and bends it sideways.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.mechanics.turn.edge_turn import (
    Factor,
    Limits,
    Turning,
    turned_point,
)
from handling_db.mechanics.vectors import Vector
from handling_db.quantities.amount import StaticsError, newtons

# What each bolt of a joint takes when the joint opens about one edge, as figures for a person.


@dataclass(frozen=True, slots=True)
class BoltShare:
    """What one bolt takes, as figures for a person to judge."""

    bolt: str
    pull_n: float
    shear_n: float


def bolt_shares(
    bolts: Mapping[str, float], moment_nm: float, shear_n: float, axial_n: float = 0.0
) -> tuple[BoltShare, ...]:
    """Pull on each bolt of a joint that tilts about the edge of its flange, pulls growing with the lever.

    T = M d / sum(d2), plus an even part of an axial pull and of the shear. Friction, preload, prying, fit and
    grade are left out. Common practice, no source.

    Parameters
    ----------
    bolts : dict of str to float
        Distance of each bolt from the edge that the flange tilts about. [m]
    moment_nm : float
        Moment that opens the joint away from that edge. [N m]
    shear_n : float
        Shear over all bolts. [N]
    axial_n : float
        Pull over all bolts; a push (negative) is not counted as help. [N]

    Raises
    ------
    StaticsError
        No bolts, one beyond the edge, or a moment that closes the joint there.
    """
    if not bolts:
        raise StaticsError("no bolts are listed at the joint: what holds it is not known.")
    if min(bolts.values()) < 0.0 or max(bolts.values()) == 0.0:
        raise StaticsError("every bolt must lie on the opening side of the edge that the flange tilts about.")
    if moment_nm < 0.0:
        raise StaticsError("this moment closes the joint at that side: take the opposite edge.")
    squares = math.fsum(d * d for d in bolts.values())
    even = max(0.0, axial_n) / len(bolts)
    return tuple(
        BoltShare(name, moment_nm * d / squares + even, abs(shear_n) / len(bolts))
        for name, d in bolts.items()
    )


UP: Vector = (0.0, 0.0, 1.0)
DOWN: Vector = (0.0, 0.0, -1.0)


@dataclass(frozen=True, slots=True)
class JointStep:
    """What a joint carries at one angle: lowest, best and highest. [rad, N m, N]

    `twist_nm` is about the normal of the joint, `sideways_nm` bends it along the edge; which way round they
    go does not matter to bolts on a circle.
    """

    turned: float
    moment_nm: Limits
    shear_n: Limits
    axial_n: Limits
    twist_nm: Limits
    sideways_nm: Limits

    @property
    def most_twist_nm(self) -> float:
        """The largest twist either way. [N m]"""
        return max(abs(self.twist_nm[0]), abs(self.twist_nm[2]))

    @property
    def most_sideways_nm(self) -> float:
        """The largest sideways moment either way. [N m]"""
        return max(abs(self.sideways_nm[0]), abs(self.sideways_nm[2]))


@dataclass(frozen=True, slots=True)
class _Unit:
    """Moments, shear and axial force of one kilogram of pull at a place of the load."""

    moment: float
    shear: float
    axial: float
    twist: float
    sideways: float


def _unit(joint: Vector, at: Vector, way: Vector, turned: float) -> _Unit:
    """A pull of one kilogram, in the joint's own directions; `way` in the room: from, along the edge, up."""
    c, s = math.cos(turned), math.sin(turned)
    axial = way[0] * c + way[2] * s
    lifting = -way[0] * s + way[2] * c
    x, y, z = (a - j for a, j in zip(at, joint, strict=True))
    # Arm times force, in the directions of the joint: its normal, the edge, its own up.
    return _Unit(
        moment=z * axial - x * lifting,
        shear=-lifting,
        axial=axial,
        twist=y * lifting - z * way[1],
        sideways=x * way[1] - y * axial,
    )


def joint_step(turning: Turning, joint: Vector, turned: float, *, hook_slack: bool = False) -> JointStep:
    """What the joint carries at one angle from everything beyond it: weight, hook, line.

    Parameters
    ----------
    turning : Turning
        Its pieces say whether they lie beyond the joint.
    joint : Vector
        Middle of the joint, as the load lies at the start, in the edge's frame. [m]
    turned : float
        [rad]
    hook_slack : bool
        The side hangs on the joint alone: neither hook nor line pulls.

    Raises
    ------
    StaticsError
        Nothing lies beyond the joint.

    References
    ----------
    .. [1] Section forces by equilibrium of one side (any statics text).
    """
    if not any(piece.beyond for piece in turning.pieces):
        raise StaticsError("nothing that turns lies beyond the joint, so no forces are given for it.")
    pull, carried = _carrier(turning, joint, turned, hook_slack=hook_slack)
    names = ("moment", "shear", "axial", "twist", "sideways")

    def component(name: str) -> Limits:
        weight: Factor = lambda p: getattr(_unit(joint, p, DOWN, turned), name)  # noqa: E731
        shared = getattr(carried, name)
        low, best, high = turning.limits(lambda p: pull(p) * shared, turned, weight)
        return newtons(low), newtons(best), newtons(high)

    return JointStep(turned, *(component(name) for name in names))


def _carrier(turning: Turning, joint: Vector, turned: float, *, hook_slack: bool) -> tuple[Factor, _Unit]:
    """What holds the load at this angle, for each kilogram at a place, and what it does at the joint."""
    nothing: tuple[Factor, _Unit] = (lambda _: 0.0, _Unit(0.0, 0.0, 0.0, 0.0, 0.0))
    if hook_slack:
        return nothing
    if turning.moment(turned)[1] >= 0.0:
        lever = turned_point(turning.hook, turned)[0]
        if lever <= 1e-9 or turning.hook[0] <= joint[0]:
            return nothing
        return turning.hook_factor(turned), _unit(joint, turning.hook, UP, turned)
    held = turning.line_pull(turned)
    if held is None or turning.line is None or turning.line.at[0] <= joint[0]:
        return nothing
    factor, to = held
    return factor, _unit(joint, turning.line.at, to, turned)


@dataclass(frozen=True, slots=True)
class BoltsAbout:
    """What each bolt takes when the joint tilts about one line.

    Parameters
    ----------
    pivot : str
        ``flange edge``, ``foot of the bolt circle`` or ``last bolts``.
    bolts : tuple of BoltShare
        [N]
    """

    pivot: str
    bolts: tuple[BoltShare, ...]

    @property
    def most_n(self) -> float:
        """The largest pull on one bolt. [N]"""
        return max(bolt.pull_n for bolt in self.bolts)


def bolts_about(
    heights: Mapping[str, float],
    circle_m: float,
    flange_m: float | None,
    moment_nm: float,
    shear_n: float,
    axial_n: float = 0.0,
) -> tuple[BoltsAbout, ...]:
    """Pull on each bolt by several lines the joint may tilt about, the larger first.

    A stiff flange tilts about its edge; a thin or soft one about the bolts themselves, where the levers are
    shorter and the pulls larger. Which of them it is, the records cannot say. Common practice, no source.

    Parameters
    ----------
    heights : mapping of bolt to height
        Over the middle of the joint, as the load lies at the start. [m]
    circle_m : float
        Radius of the circle that the bolts stand on. [m]
    flange_m : float or None
        How far the flange reaches from the middle; None: not recorded, then only the bolts count. [m]
    moment_nm : float
        More than nothing opens the upper edge, less than nothing the lower. [N m]
    shear_n, axial_n : float
        Over all bolts. [N]

    Raises
    ------
    StaticsError
        No bolts.
    """
    if not heights:
        raise StaticsError("no bolts are listed at the joint: what holds it is not known.")
    # Seen from the side that closes: for a moment that opens the lower edge, up and down change places.
    sign = 1.0 if moment_nm >= 0.0 else -1.0
    over = {name: sign * height for name, height in heights.items()}
    lowest = min(over.values())
    pivots = {"foot of the bolt circle": -circle_m, "last bolts": lowest}
    if flange_m is not None:
        pivots["flange edge"] = -flange_m
    found = []
    for name, at in pivots.items():
        levers = {bolt: max(0.0, height - at) for bolt, height in over.items()}
        if max(levers.values()) <= 1e-9:
            continue  # all bolts in one line across: about this line they have no lever
        found.append(BoltsAbout(name, bolt_shares(levers, abs(moment_nm), shear_n, axial_n)))
    return tuple(sorted(found, key=lambda one: -one.most_n))


def worst_of(
    steps: Sequence[JointStep], heights: Mapping[str, float], circle_m: float, flange_m: float | None
) -> tuple[JointStep, tuple[BoltsAbout, ...]] | None:
    """The angle at which one bolt takes most, over the doubt, by the line that asks most of it.

    Returns
    -------
    (JointStep, tuple of BoltsAbout) or None
        None where there are no steps.
    """
    best: tuple[JointStep, tuple[BoltsAbout, ...]] | None = None
    for step in steps:
        for moment in (step.moment_nm[0], step.moment_nm[2]):
            shear = max(abs(step.shear_n[0]), abs(step.shear_n[2]))
            about = bolts_about(heights, circle_m, flange_m, moment, shear, step.axial_n[2])
            if about and (best is None or about[0].most_n > best[1][0].most_n):
                best = (step, about)
    return best
