"""Leg lengths for legs that nobody recorded one of: what bounds the pull all the same.

No sling rule allows a leg flatter than 30 degrees from the horizontal. With that a load has a largest pull in
each leg, whatever the length: legs of one length, from the shortest at which none is flatter, and the level
pose with its flattest leg at that angle. Where some lengths are recorded, the others are as long as level
asks, or as the longest of these.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from handling_db.mechanics.hang.columns import Bools, Floats
from handling_db.mechanics.hang.poses import rest_poses
from handling_db.mechanics.vectors import Vector, distance
from handling_db.quantities.amount import StaticsError
from handling_db.rigging.leg_rules import FLATTEST
from handling_db.rigging.legs import level_hook

# Longer and longer legs, as parts of the shortest that is allowed: unequal points share by the length, too.
LONGER = (1.5, 3.0, 10.0)
_TRIED = 400  # lengths that are tried to find the shortest
_REACH = 200.0  # parts of the size of the picks: longer legs are plumb


@dataclass(frozen=True, slots=True)
class Taken:
    """One choice of lengths.

    Parameters
    ----------
    lengths : mapping of point to float
        Of each leg. [m]
    level : mapping of point to float, or None
        Full lengths from which the legs are made to hang it level; None where that is not asked.
    """

    lengths: Mapping[str, float]
    level: Mapping[str, float] | None


def lengths_taken(
    points: Mapping[str, Vector], known: Mapping[str, float], centre: Vector, *, level: bool
) -> tuple[Taken, ...]:
    """Choices of lengths over which the largest pull counts; the first is the one that is shown.

    Parameters
    ----------
    points : mapping of str to Vector
        Pick points, z up. [m]
    known : mapping of str to float
        Lengths as recorded; of some, none or all of the legs. [m]
    centre : Vector
        [m]
    level : bool
        Whether legs that are recorded may be made shorter to hang it level.

    Raises
    ------
    StaticsError
        Legs of no length would hang it so.
    """
    if len(known) == len(points):
        return (Taken(known, known if level else None),)
    if known:
        hook = level_hook({name: points[name] for name in known}, known, centre)
        fits = {name: known.get(name, distance(point, hook)) for name, point in points.items()}
        longest = max(known.values())
        return (
            Taken(fits, fits),
            Taken({name: known.get(name, longest) for name in points}, None),
        )
    equal, flat = _shortest(np.array(list(points.values())), np.array(centre))
    shown = Taken(dict.fromkeys(points, equal), dict.fromkeys(points, flat))
    longer = [dict.fromkeys(points, part * max(equal, flat)) for part in LONGER if len(points) > 1]
    return (shown, *(Taken(one, one) for one in longer))


def _shortest(points: Floats, centre: Floats) -> tuple[float, float]:
    """The shortest equal legs with none of those that carry under 30 degrees, at rest and held level. [m]

    Raises
    ------
    StaticsError
        However long they are, one is.
    """
    size = float(np.linalg.norm(points - centre, axis=1).max()) or 1.0
    if len(points) == 1:
        return size, size  # one leg hangs plumb, however long
    tried = size * np.geomspace(0.02, _REACH, _TRIED)
    steep = np.sin(FLATTEST)

    def good(lengths: Floats) -> Bools:
        poses = rest_poses(
            points, np.tile(lengths[:, None], len(points)), np.tile(centre, (len(lengths), 1)), _UP
        )
        carries = poses.pulls > 0.0
        return np.asarray(np.isfinite(poses.tilt) & (~carries | (poses.steep >= steep)).all(axis=1))

    # The flattest leg of a level pose: sideways over length, the hook so high that it is just at the limit.
    aside = np.hypot(*(points - centre)[:, :2].T)
    height = float((points[:, 2] + aside * np.tan(FLATTEST)).max())  # all legs at least as steep as that
    hook = np.array([centre[0], centre[1], height])
    flat = float(np.linalg.norm(points - hook, axis=1).max())
    fine = good(tried)
    if not fine[-1]:
        raise StaticsError("however long equal legs are, one is under 30° from the horizontal.")
    first = int(np.flatnonzero(~fine)[-1]) + 1 if not fine.all() else 0
    if first == 0:
        return float(tried[0]), flat
    between = np.linspace(tried[first - 1], tried[first], _TRIED)
    right = good(between)
    right[-1] = True
    last_bad = int(np.flatnonzero(~right)[-1]) if not right.all() else -1
    return float(between[last_bad + 1]), flat


_UP = np.array([0.0, 0.0, 1.0])
