"""What a joint and its bolts carry while a load is turned, and with the hook slack, as figures."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.mechanics.turning import EdgeTurn, Spot
from handling_db.quantities.amount import StaticsError, needed_mass, newtons


@dataclass(frozen=True, slots=True)
class JointForces:
    """What a joint carries at one angle, from everything on one side of it.

    In the joint's own directions, which turn with the load. Positive moment opens the joint at its upper edge
    (upper as the load lies at the start); positive axial force pulls the halves apart; positive shear pushes
    the side towards the load's own down.
    """

    turned: float  # [rad]
    moment_nm: float
    shear_n: float
    axial_n: float


@dataclass(frozen=True, slots=True)
class Force:
    """A force on one side of a joint, in the room: across and up. [N]"""

    at: Spot
    across_n: float
    up_n: float


def joint_forces(joint: Spot, forces: Sequence[Force], turned: float) -> JointForces:
    """Moment, shear and axial force at a joint, from all forces on the side away from the turning edge.

    Parameters
    ----------
    joint : Spot
        Middle of the joint, as the load lies at the start; the joint plane stands square to across. [m]
    forces : sequence of Force
        Weight, hook, floor: everything on that side, at places as the load lies at the start.
    turned : float
        Angle reached. [rad]

    References
    ----------
    .. [1] Section forces by equilibrium of one side (any statics text).
    """
    c, s = math.cos(turned), math.sin(turned)
    moment = shear = axial = 0.0
    for force in forces:
        along = force.across_n * c + force.up_n * s  # in the load's own across
        lifting = -force.across_n * s + force.up_n * c  # in the load's own up
        lever, height = force.at[0] - joint[0], force.at[1] - joint[1]
        axial += along
        shear -= lifting
        moment += height * along - lever * lifting
    return JointForces(turned, moment, shear, axial)


def joint_over_turn(
    joint: Spot,
    side_mass_kg: float | None,
    side_centre: Spot,
    pick: Spot | None,
    turn: EdgeTurn,
    *,
    mass_kg: float,
) -> tuple[JointForces, ...]:
    """What the joint carries at every listed step of a turn over an edge, its far side with the hook counted.

    Parameters
    ----------
    joint : Spot
        Middle of the joint. [m]
    side_mass_kg : float or None
        Mass of the side away from the edge, its fluid included. [kg]
    side_centre : Spot
        Centre of gravity of that side. [m]
    pick : Spot or None
        The pick point if it is on that side; None if the hook pulls on the other.
    turn : EdgeTurn
        From `over_edge`.
    mass_kg : float
        The mass of the whole that goes with `side_mass_kg` (best with best, high with high). [kg]

    Raises
    ------
    UnknownMassError
        The mass of the side is not known.
    """
    weight = newtons(needed_mass(side_mass_kg, "forces at the joint"))
    found = []
    for step in turn.steps:
        forces = [Force(side_centre, 0.0, -weight)]
        if pick is not None:
            forces.append(Force(pick, 0.0, newtons(step.hook_part * mass_kg)))
        found.append(joint_forces(joint, forces, step.turned))
    return tuple(found)


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


def hook_slack_case(
    joint: Spot, side_mass_kg: float | None, side_centre: Spot, bolts_from_edge: Mapping[str, float]
) -> tuple[JointForces, tuple[BoltShare, ...]]:
    """The case "hook slack, axis level": one side hangs on the joint alone.

    Parameters
    ----------
    joint, side_centre : Spot
        Middle of the joint and centre of gravity of the hanging side. [m]
    side_mass_kg : float or None
        Its mass, fluid included. [kg]
    bolts_from_edge : dict of str to float
        Distance of each bolt from the lowest edge of the flange. [m]

    Raises
    ------
    UnknownMassError
        The mass is not known.
    StaticsError
        As `bolt_shares`.
    """
    weight = newtons(needed_mass(side_mass_kg, "hook slack, axis level"))
    carried = joint_forces(joint, [Force(side_centre, 0.0, -weight)], 0.0)
    return carried, bolt_shares(bolts_from_edge, carried.moment_nm, carried.shear_n, carried.axial_n)
