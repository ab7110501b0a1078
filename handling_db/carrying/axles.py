"""A truck on its two axles with a load on the forks: what each carries, and the load that tips it forward.

Moments about the front axle. Standing still on a level floor, mast upright: braking, a tilted mast, a ramp
and a swinging load come on top and take from the rear axle.
"""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.carrying.checks import given


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleLoads:
    """What the axles carry, for the highest load at its farthest. [kg]

    Parameters
    ----------
    rear_empty_kg : float
        Without a load.
    rear_kg, front_kg : float
        With it; a rear axle of less than nothing has left the floor.
    tips_at_kg : float
        Load at this distance that lifts the rear axle off.
    all_kg : float
        Truck and load on the floor.
    """

    rear_empty_kg: float
    rear_kg: float
    front_kg: float
    tips_at_kg: float
    all_kg: float


def axle_loads(
    *,
    truck_kg: float | None,
    wheelbase: float | None,
    centre_behind_front_axle: float | None,
    load_kg: float | None,
    load_ahead: float | None,
) -> AxleLoads:
    """Axle loads of a truck by moments about its front axle.

    Parameters
    ----------
    truck_kg : float or None
        Truck with battery and driver, as recorded. [kg]
    wheelbase : float or None
        Front axle to rear axle. [m]
    centre_behind_front_axle : float or None
        Of the empty truck. [m]
    load_kg : float or None
        Highest load. [kg]
    load_ahead : float or None
        Front axle to the centre of the load, at its farthest. [m]

    Raises
    ------
    MovingInputError
        Something is not given, or the centre does not lie between the axles.

    Examples
    --------
    >>> loads = axle_loads(
    ...     truck_kg=2740, wheelbase=1.4, centre_behind_front_axle=0.9, load_kg=1000, load_ahead=0.98
    ... )
    >>> round(loads.rear_kg), round(loads.front_kg), round(loads.tips_at_kg)
    (1061, 2679, 2516)

    References
    ----------
    .. [1] Equilibrium of moments (any statics text).
    """
    mass = given("the mass of the truck", truck_kg, "it in kg, from its plate")
    base = given("the wheelbase", wheelbase, "front axle to rear axle, in metres")
    back = given(
        "the distance of the truck's own centre behind the front axle",
        centre_behind_front_axle,
        "it in metres",
    )
    load = given("the load", load_kg, "it in kg", zero=True)
    ahead = given("the distance from front axle to the centre of the load", load_ahead, "it in metres")
    rear_empty = mass * back / base
    rear = (mass * back - load * ahead) / base
    return AxleLoads(
        rear_empty_kg=rear_empty,
        rear_kg=rear,
        front_kg=mass + load - rear,
        tips_at_kg=mass * back / ahead,
        all_kg=mass + load,
    )
