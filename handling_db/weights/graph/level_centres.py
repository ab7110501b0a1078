"""Centres of gravity of a whole graph over plain arrays, one pass a level: for tables too large for records.

The same rules as in `centre`: first moments through the placements; a single part lies at its datum unless it
has a centre of its own; a piece with a mass and without a place makes the centre of all above it unknown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.weights.graph.level_arrays import Levels

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class LinePlaces:
    """Where the pieces of each line lie in the parent's frame, in the order of the lines of a graph.

    Parameters
    ----------
    at : array of float, lines by 3
        Not a number where no place is recorded. [m]
    turned : array of float, lines by 3
        Roll, pitch and yaw about the parent's fixed axes, roll first. [deg]
    """

    at: NDArray[np.float64]
    turned: NDArray[np.float64]

    @classmethod
    def unknown(cls, lines: int) -> LinePlaces:
        """Nothing has a place."""
        import numpy as np

        return cls(np.full((lines, 3), np.nan), np.zeros((lines, 3)))


def array_centres(
    levels: Levels,
    mass: NDArray[np.float64],
    own: NDArray[np.float64],
    summed: NDArray[np.bool_],
    places: LinePlaces,
) -> NDArray[np.float64]:
    """The centre of every node in its own frame.

    Parameters
    ----------
    levels : Levels
    mass : array of float
        By node: best figure of the known part, nothing where nothing is known. [kg]
    own : array of float, nodes by 3
        A node's own centre; not a number where none is recorded. [m]
    summed : array of bool
        By node, whether its mass is the sum of its parts; elsewhere its own centre counts.
    places : LinePlaces

    Returns
    -------
    array of float, nodes by 3
        Not a number where the centre is not known. [m]
    """
    import numpy as np

    parted = np.zeros(mass.size, dtype=np.bool_)
    parted[levels.parents] = True
    start = np.where(np.isnan(own) & ~parted[:, None], 0.0, own)  # a single part lies at its datum
    start[summed & parted] = 0.0
    lost = np.isnan(start).any(axis=1) & (mass > 0)
    moment = mass[:, None] * np.where(np.isnan(start), 0.0, start)
    at, turned = places.at[levels.order], places.turned[levels.order]
    turns: NDArray[np.bool_] = np.any(turned, axis=1)
    for nodes, here, starts in levels.each():
        child, number = levels.child[here], levels.quantity[here]
        piece = moment[child]
        which = np.flatnonzero(turns[here])
        if which.size:
            piece[which] = np.einsum("nij,nj->ni", _rotations(turned[here][which]), piece[which])
        place = at[here]
        nowhere = np.isnan(place).any(axis=1) & (mass[child] > 0)
        piece += mass[child][:, None] * np.where(np.isnan(place), 0.0, place)
        sums = np.add.reduceat(number[:, None] * piece, starts, axis=0)
        gone = np.logical_or.reduceat(nowhere | lost[child], starts)
        adds = summed[nodes]
        moment[nodes[adds]] = sums[adds]
        lost[nodes[adds]] = gone[adds]
    known = ~lost & (mass > 0)
    out = np.full_like(moment, np.nan)
    out[known] = moment[known] / mass[known][:, None]
    return out


def _rotations(turned: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rz(yaw) Ry(pitch) Rx(roll) for each row of angles; p_parent = at + matrix p_child. [deg]"""
    import numpy as np

    (cr, cp, cy), (sr, sp, sy) = (f(np.radians(turned)).T for f in (np.cos, np.sin))
    out: NDArray[np.float64] = np.stack(
        [
            np.stack([cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr], axis=-1),
            np.stack([sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr], axis=-1),
            np.stack([-sp, cp * sr, cp * cr], axis=-1),
        ],
        axis=1,
    )
    return out
