"""Places of a load that turns in the upright plane square to its turning edge.

Across is level, away from the edge towards the side that is lifted, and up is up, both as the load lies at
the start. `turned` is the angle by which the lifted side has come up.
"""

from __future__ import annotations

import math

Spot = tuple[float, float]  # across, up [m]

STEP = math.radians(0.1)
RIGHT_ANGLE = math.pi / 2


def turned_spot(spot: Spot, pivot: Spot, turned: float) -> Spot:
    """Where a spot of the load is, from the pivot, after a turn. [m]"""
    across, up = spot[0] - pivot[0], spot[1] - pivot[1]
    c, s = math.cos(turned), math.sin(turned)
    return (across * c - up * s, across * s + up * c)
