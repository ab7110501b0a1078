"""The patch within which a centre of gravity lies, by the doubt of every mass: a patch, not a point.

A mass anywhere between its limits moves the centre towards it or away. Along one direction the farthest
centre has every piece beyond it at its heaviest and every other at its lightest, so the exact limits are
found by going through the pieces in order of place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.mechanics.sums import Together, heaviest, nested
from handling_db.mechanics.vectors import IDENTITY, Matrix, Vector, add, apply, around, corners_of, scale
from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError

MOST_ROUNDS = 60  # a handful is enough: the way to the best ratio is quicker than halving


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


def centre_patch(pieces: Sequence[Weighted], turn: Matrix = IDENTITY, sums: Sequence[Together] = ()) -> Patch:
    """Centre of gravity of some pieces with its worst-case patch.

    Parameters
    ----------
    pieces : sequence of Weighted
        Everything that hangs there. [kg, m]
    turn : Matrix
        Rotation into the frame whose axes the patch is wanted along.
    sums : sequence of Together, optional
        What some of the pieces weigh together, by their places in `pieces`. [kg]

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
    .. [2] W. Dinkelbach, "On nonlinear fractional programming", Management Science 13 (1967) 492-498: the
       best ratio is found by weighted sums, each with the last ratio (from memory; compared with a linear
       program in the tests).
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
    known = [(piece.amount, _spot(piece, turn), _box(piece, turn)) for piece in pieces if piece.amount]
    placed = [(amount, at) for amount, at, _ in known if at is not None]
    if not any(amount.best > 0.0 for amount, _ in placed):
        # Nothing else to sit at the centre of: each at the middle of the box that it surely lies in.
        placed = [(amount, _middle(box)) for amount, _, box in known]
    total = math.fsum(amount.best for amount, _ in placed)
    if total <= 0.0:
        raise StaticsError("centre of gravity not given: there is no mass with a place.")
    best = [math.fsum(amount.best * at[axis] for amount, at in placed) / total for axis in range(3)]
    lows, highs = [], []
    limits = nested(sums)
    for axis in range(3):
        upper = [(box[1][axis], amount.low, _high(amount)) for amount, _, box in known]
        lower = [(-box[0][axis], amount.low, _high(amount)) for amount, _, box in known]
        highs.append(_farthest(upper, limits))
        lows.append(-_farthest(lower, limits))
    # Where the centre of the others is farther out than the boxes allow, the nearest that they allow.
    nearest = [min(max(at, low), high) for at, low, high in zip(best, lows, highs, strict=True)]
    return Patch(
        (nearest[0], nearest[1], nearest[2]), (lows[0], lows[1], lows[2]), (highs[0], highs[1], highs[2])
    )


def _high(amount: Amount) -> float:
    return amount.upper("centre of gravity")


def _spot(piece: Weighted, turn: Matrix) -> Vector | None:
    return None if piece.at is None else apply(turn, piece.at)


def _box(piece: Weighted, turn: Matrix) -> tuple[Vector, Vector]:
    """The box around the turned box of a place; of one without a doubt the place itself, twice."""
    if piece.within is None:
        assert piece.at is not None  # a piece with neither place nor box was refused
        at = apply(turn, piece.at)
        return at, at
    return around(apply(turn, corner) for corner in corners_of(piece.within))


def _middle(box: tuple[Vector, Vector]) -> Vector:
    return scale(add(*box), 0.5)


def _farthest(line: Sequence[tuple[float, float, float]], sums: Sequence[Together]) -> float:
    """The greatest mean place of masses between their limits: (place, low, high) each."""
    if sums:
        return _farthest_together(line, sums)
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


def _farthest_together(line: Sequence[tuple[float, float, float]], sums: Sequence[Together]) -> float:
    """The same where some weigh no more and no less together than so much [2]_."""
    places, lows, highs = ([one[i] for one in line] for i in range(3))
    far = min(places)
    for _ in range(MOST_ROUNDS):
        mass = heaviest(lows, highs, sums, [x - far for x in places])
        total = math.fsum(mass)
        if total <= 0.0:
            return far
        mean = math.fsum(x * m for x, m in zip(places, mass, strict=True)) / total
        if mean <= far:
            break
        far = mean
    return far
