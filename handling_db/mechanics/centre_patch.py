"""The patch within which a centre of gravity lies, by the doubt of every mass: a patch, not a point.

A mass anywhere between its limits moves the centre towards it or away. Along one direction the farthest
centre has every piece beyond it at its heaviest and every other at its lightest, so the exact limits are
found by going through the pieces in order of place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.mechanics.vectors import IDENTITY, Matrix, Vector, apply
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError


@dataclass(frozen=True, slots=True)
class Weighted:
    """A piece with its mass and where its own centre lies.

    Parameters
    ----------
    name : str
    amount : Amount or None
        None where nobody knows the mass. [kg]
    at : Vector or None
        Best place; None where nobody recorded one: then `within` may say between which limits it lies. [m]
    within : (Vector, Vector), optional
        Two corners of a box that holds it for certain: what is known instead of a place, or the doubt of the
        place. [m]
    """

    name: str
    amount: Amount | None
    at: Vector | None
    within: tuple[Vector, Vector] | None = None


@dataclass(frozen=True, slots=True)
class Patch:
    """Best place of the centre of gravity and its limits along the axes. [m]"""

    at: Vector
    low: Vector
    high: Vector

    @property
    def half_widths(self) -> Vector:
        """The larger distance from best to a limit, along each axis. [m]"""
        x, y, z = (
            max(high - at, at - low) for at, low, high in zip(self.at, self.low, self.high, strict=True)
        )
        return x, y, z


def centre_patch(pieces: Sequence[Weighted], turn: Matrix = IDENTITY) -> Patch:
    """Centre of gravity of some pieces with its worst-case patch.

    Parameters
    ----------
    pieces : sequence of Weighted
        Everything that hangs there. [kg, m]
    turn : Matrix
        Rotation into the frame whose axes the patch is wanted along.

    Returns
    -------
    Patch
        Best figures give the best place; the limits hold for any masses and places within their own limits. A
        piece whose place is only known within a box counts for the best place as if it sat at the centre of
        the others, or as near to it as its box allows.

    Raises
    ------
    UnknownMassError
        A piece without a mass: it could move the centre without bound.
    StaticsError
        A piece without a place, or nothing at all.

    References
    ----------
    .. [1] First moments of mass (any statics text); limits of a ratio of sums over a box of weights: at the
       optimum every weight stands at one of its limits, ordered by place (linear-fractional programming).
    """
    unknown = [piece.name for piece in pieces if piece.amount is None or piece.amount.high is None]
    if unknown:
        raise UnknownMassError(
            f"centre of gravity not given: no mass for {', '.join(unknown)}, which could move it without "
            "bound. Weigh it, or give it a range."
        )
    nowhere = [piece.name for piece in pieces if piece.at is None and piece.within is None]
    if nowhere:
        raise StaticsError(
            f"centre of gravity not given: no place is recorded for {', '.join(nowhere)}. "
            "Write 'at' into its part line; for a fluid 'at' or 'within' under 'trapped', or an 'outline'."
        )
    placed = [
        (piece.amount, apply(turn, piece.at)) for piece in pieces if piece.amount and piece.at is not None
    ]
    total = math.fsum(amount.best for amount, _ in placed)
    if total <= 0.0:
        raise StaticsError("centre of gravity not given: there is no mass with a place.")
    best = [math.fsum(amount.best * at[axis] for amount, at in placed) / total for axis in range(3)]
    lows, highs = [], []
    boxes = [
        (piece.amount, _box(piece.within, turn))
        for piece in pieces
        if piece.amount and piece.within is not None
    ]
    exact = [
        (piece.amount, apply(turn, piece.at))
        for piece in pieces
        if piece.amount and piece.at is not None and piece.within is None
    ]
    for axis in range(3):
        line = [(at[axis], amount.low, _high(amount)) for amount, at in exact]
        upper = line + [(_pair(box)[1][axis], amount.low, _high(amount)) for amount, box in boxes]
        lower = line + [(_pair(box)[0][axis], amount.low, _high(amount)) for amount, box in boxes]
        highs.append(_farthest(upper))
        lows.append(-_farthest([(-x, low, high) for x, low, high in lower]))
    # Where the centre of the others is farther out than the boxes allow, the nearest that they allow.
    nearest = [min(max(at, low), high) for at, low, high in zip(best, lows, highs, strict=True)]
    return Patch(
        (nearest[0], nearest[1], nearest[2]), (lows[0], lows[1], lows[2]), (highs[0], highs[1], highs[2])
    )


def _high(amount: Amount) -> float:
    return amount.upper("centre of gravity")


def _pair(box: tuple[Vector, Vector] | None) -> tuple[Vector, Vector]:
    assert box is not None  # a piece with neither place nor box was refused
    return box


def _box(within: tuple[Vector, Vector] | None, turn: Matrix) -> tuple[Vector, Vector] | None:
    """The box around a turned box."""
    if within is None:
        return None
    (ax, ay, az), (bx, by, bz) = within
    corners = [apply(turn, (x, y, z)) for x in (ax, bx) for y in (ay, by) for z in (az, bz)]
    low, high = (tuple(pick(c[i] for c in corners) for i in range(3)) for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _farthest(line: Sequence[tuple[float, float, float]]) -> float:
    """The greatest mean place of masses between their limits: (place, low, high) each."""
    ordered = sorted(line, reverse=True)
    mass = math.fsum(low for _, low, _ in ordered)
    moment = math.fsum(x * low for x, low, _ in ordered)
    farthest = moment / mass if mass > 0.0 else -math.inf
    for x, low, high in ordered:
        mass += high - low
        moment += x * (high - low)
        if mass > 0.0:
            farthest = max(farthest, moment / mass)
    return farthest
