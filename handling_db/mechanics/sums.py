"""Limits of what several pieces of a body weigh together, one within another as the assemblies are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Together:
    """What some pieces weigh together.

    Parameters
    ----------
    pieces : tuple of int
        Their places in the body.
    low, high : float
        [kg]
    """

    pieces: tuple[int, ...]
    low: float
    high: float


def nested(sums: Sequence[Together]) -> tuple[Together, ...]:
    """The limits, the smallest first, without those that lie across a smaller one."""
    found: list[Together] = []
    for one in sorted(sums, key=lambda one: len(one.pieces)):
        own = set(one.pieces)
        if all(not (own & set(other.pieces)) or set(other.pieces) <= own for other in found):
            found.append(one)
    return tuple(found)


def heaviest(
    low: Sequence[float], high: Sequence[float], sums: Sequence[Together], gain: Sequence[float]
) -> list[float]:
    """The masses with the largest weighted sum that keep all limits.

    From the innermost limit outward: what the pieces of a limit bring, kilogram by kilogram with the most
    worth while first, is a line that falls; a limit cuts it at both its ends, and what is left of the lines
    side by side is merged. For limits that lie one within another this is exact [1]_.

    Parameters
    ----------
    low, high : sequence of float
        By piece. [kg]
    sums : sequence of Together
        Smallest first, none across another, as `nested` gives them.
    gain : sequence of float
        What a kilogram more of each piece adds.

    Returns
    -------
    list of float
        By piece; where limits cannot be met together, the nearest that this way finds. [kg]

    References
    ----------
    .. [1] A. Federgruen, H. Groenevelt, "The greedy procedure for resource allocation problems", Operations
       Research 34 (1986) 909-918 (from memory; compared with a linear program in the tests).
    """
    mass = list(low)
    # By piece, how much more of it may still be taken: a limit takes away from the least worth while.
    room = [b - a for a, b in zip(low, high, strict=True)]
    for one in sums:
        best_first = sorted(one.pieces, key=lambda piece: -gain[piece])
        total = sum(mass[piece] for piece in one.pieces)
        missing = one.low - total
        for piece in best_first:  # what has to be there at least is taken from the most worth while
            if missing <= 0.0:
                break
            more = min(missing, room[piece])
            mass[piece] += more
            room[piece] -= more
            missing -= more
        over = sum(mass[piece] + room[piece] for piece in one.pieces) - one.high
        for piece in reversed(best_first):
            if over <= 0.0:
                break
            less = min(over, room[piece])
            room[piece] -= less
            over -= less
    return [m + r if g > 0.0 else m for m, r, g in zip(mass, room, gain, strict=True)]
