"""Which pulls hold a weight still: one answer where statics gives one, else every corner case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from handling_db.mechanics.hang.columns import Floats
from handling_db.mechanics.vectors import UP, Vector, cross, distance, scale, subtract, unit
from handling_db.mechanics.vectors import solve as solve_columns
from handling_db.quantities.amount import StaticsError

# A remainder below this part of the weight is rounding, not a force that somebody has to carry.
BALANCED = 1e-7
# A pull this far below nothing is rounding; anything lower would have to push.
PUSHES = 1e-9
MOST_PULLS = 12


@dataclass(frozen=True, slots=True)
class Pull:
    """A tension that acts at a point of the load, along a direction away from it."""

    at: Vector
    along: Vector

    @classmethod
    def towards(cls, at: Vector, to: Vector) -> Pull:
        """The pull of a straight leg from a pick point to the hook."""
        return cls(at, unit(subtract(to, at)))


def _columns(pulls: Sequence[Pull], centre: Vector) -> list[tuple[float, ...]]:
    """Force and moment about the centre of gravity per unit of each pull; moments by one length."""
    size = max((distance(pull.at, centre) for pull in pulls), default=0.0) or 1.0
    return [(*pull.along, *scale(cross(subtract(pull.at, centre), pull.along), 1.0 / size)) for pull in pulls]


def only_balance(pulls: Sequence[Pull], centre: Vector, up: Vector = UP) -> list[float] | None:
    """The one set of pulls, as parts of the weight, that holds a load still; negative where one would push.

    Parameters
    ----------
    pulls : sequence of Pull
        At most six can be found by statics. [m]
    centre : Vector
        Centre of gravity of the load. [m]
    up : Vector
        Unit vector against gravity, in the same frame.

    Returns
    -------
    list of float, or None
        Tension over weight per pull; None where no set holds it, or more than one does.

    References
    ----------
    .. [1] Equilibrium of a rigid body: the forces sum to nothing, and so do their moments (any statics text).
    """
    found = solve_columns(_columns(pulls, centre), (*unit(up), 0.0, 0.0, 0.0))
    if found is None or found[1] > BALANCED:
        return None
    return found[0]


def corner_balances(pulls: Sequence[Pull], centre: Vector, up: Vector = UP) -> tuple[tuple[float, ...], ...]:
    """Every balance in which no pull can be left out: the corners of the set of all balances without a push.

    Any distribution that a rigid load on stiff legs can take lies between these (a linear programme has its
    extremes at the corners), so the least and the most of each leg over the corners bound it.

    Parameters
    ----------
    pulls : sequence of Pull
        One to twelve pulls.
    centre, up : Vector
        As in `only_balance`.

    Returns
    -------
    tuple of tuple of float
        Tension over weight for every pull, per corner; empty where nothing holds the load in this pose.

    Raises
    ------
    StaticsError
        More pulls than can be gone through.
    """
    if len(pulls) > MOST_PULLS:
        raise StaticsError(
            f"{len(pulls)} legs are more than the {MOST_PULLS} that can be gone through; use fewer."
        )
    columns = _columns(pulls, centre)
    right = (*unit(up), 0.0, 0.0, 0.0)
    corners: list[tuple[float, ...]] = []
    for count in range(1, min(len(pulls), 6) + 1):
        for chosen in combinations(range(len(pulls)), count):
            found = solve_columns([columns[i] for i in chosen], right)
            if found is None or found[1] > BALANCED or min(found[0]) < -PUSHES:
                continue
            factors = dict(zip(chosen, found[0], strict=True))
            corners.append(tuple(max(0.0, factors.get(i, 0.0)) for i in range(len(pulls))))
    return tuple(corners)


def stiffness_pulls(points: Sequence[Vector] | Sequence[Floats], hook: Vector, centre: Vector) -> list[float]:
    """How legs of one kind share a weight if all are tight at once: pulls over weight.

    Parameters
    ----------
    points : sequence of Vector
        Where more than three legs go. [m]
    hook, centre : Vector
        The hook plumb over the centre. [m]

    References
    ----------
    .. [1] Least strain energy, sum of T^2 L / (2 E A), among all balances (Menabrea; any text on frames); a
       leg that would have to push is taken away and the rest is solved again.
    """
    ways = np.array(hook) - np.array(points)
    lengths = np.linalg.norm(ways, axis=1)
    units = ways / lengths[:, None]
    line = np.array(hook) - np.array(centre)
    plumb = line / np.linalg.norm(line)
    kept = list(range(len(lengths)))
    while True:
        # Stationary energy under balance: T = (1 / L) U^T y, with y from the balance itself.
        own = units[kept]
        weights = own / lengths[kept, None]
        solved = np.linalg.lstsq(own.T @ weights, plumb, rcond=None)[0]
        pulls = weights @ solved
        if pulls.min() >= -PUSHES or len(kept) == 1:
            found = np.zeros(len(lengths))
            found[kept] = np.maximum(0.0, pulls)
            return [float(pull) for pull in found]
        kept.pop(int(pulls.argmin()))
