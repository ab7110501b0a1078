"""Masses and places within their limits, as one body: every corner of it, and how far it can be pushed.

Only two things of the pieces matter to a hook: their mass together and where their centre is. Both follow
from one choice of every mass and place within its limits, so "the heaviest load" and "the worst centre" are
never taken from two choices that exclude each other, and never less than one choice that is possible.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.hang.columns import Floats, Rows
from handling_db.mechanics.sums import Together, heaviest, nested
from handling_db.mechanics.vectors import IDENTITY, Matrix
from handling_db.quantities.amount import UnknownMassError

# Up to so many pieces with a doubt every corner is gone through.
MOST_CORNERS = 12
# A limit of several pieces together counts as kept to this part of it: some hundred floats add closer.
CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Body:
    """Pieces with limits of mass and place, in one frame.

    Parameters
    ----------
    low, best, high : array (pieces,)
        [kg]
    at, half : array (pieces, 3)
        Place of each centre, and how far it may be off along each axis. [m]
    most : float
        What all pieces weigh together at most, where that is less than each at its highest: a choice of
        masses above it counts with its centre, and with no more than this. [kg]
    sums : tuple of Together
        What some of the pieces weigh together; a choice that breaks one does not count.
    """

    low: Floats
    best: Floats
    high: Floats
    at: Floats
    half: Floats
    most: float = np.inf
    sums: tuple[Together, ...] = ()

    @classmethod
    def of(
        cls,
        masses: Sequence[tuple[float, float, float]],
        places: Sequence[Sequence[float]] | Floats,
        halves: Sequence[Sequence[float]] | Floats | None = None,
    ) -> Body:
        """From plain lists: (low, best, high) in kg, places and half-widths in m."""
        mass = np.array(masses, dtype=float).reshape(-1, 3)
        at = np.array(places, dtype=float).reshape(-1, 3)
        half = np.zeros_like(at) if halves is None else np.array(halves, dtype=float).reshape(-1, 3)
        return cls(mass[:, 0], mass[:, 1], mass[:, 2], at, half)

    @classmethod
    def of_pieces(
        cls,
        pieces: Sequence[Weighted],
        turn: Matrix = IDENTITY,
        *,
        most: float = np.inf,
        sums: Sequence[Together] = (),
    ) -> Body:
        """From pieces as the centre of gravity needs them, turned into another frame.

        A box that a piece lies in counts as the doubt of its place. The doubt of a
        turned place is the box around the turned one: never less than it.

        Raises
        ------
        UnknownMassError
            A piece without an upper figure.
        ValueError
            A piece with neither a place nor a box.
        """
        masses, places, halves = [], [], []
        for piece in pieces:
            if piece.amount is None:
                raise UnknownMassError(f"no mass for {piece.name}: weigh it, or give it a range.")
            masses.append((piece.amount.low, piece.amount.best, piece.amount.upper(piece.name)))
            if piece.within is not None:
                low, high = (np.array(corner) for corner in piece.within)
                places.append((low + high) / 2.0)
                halves.append(np.abs(high - low) / 2.0)
            elif piece.at is not None:
                places.append(np.array(piece.at))
                halves.append(np.zeros(3))
            else:
                raise ValueError(f"no place for {piece.name}")
        matrix = np.array(turn)
        found = cls.of(masses, np.array(places) @ matrix.T, np.array(halves) @ np.abs(matrix).T)
        found = replace(found, most=most, sums=nested(sums))
        # Limits that no choice can keep say nothing: they came from figures that contradict the pieces'.
        return (
            found if found.held(found.chosen(np.zeros((1, len(pieces))))).all() else replace(found, sums=())
        )

    @property
    def loose(self) -> Rows:
        """Which pieces have a doubt of mass: their numbers."""
        return np.flatnonzero(self.high > self.low)

    @property
    def exact_places(self) -> bool:
        """Whether no place has a doubt."""
        return not self.half.any()

    def load(self, part: Floats, push: Floats) -> tuple[Floats, Floats]:
        """Mass and centre of choices of the body.

        Parameters
        ----------
        part : array (n, pieces)
            Where each mass stands between low (0) and high (1).
        push : array (n, 3)
            How far all places are pushed along the axes, as parts of their half-widths.

        Returns
        -------
        tuple of array (n,) and array (n, 3)
            [kg, m]; not-a-number for a body that weighs nothing.
        """
        mass = self.low + part * (self.high - self.low)
        total = mass.sum(axis=1)
        with np.errstate(invalid="ignore", divide="ignore"):
            centre = (mass @ self.at + push * (mass @ self.half)) / total[:, None]
        return np.minimum(total, self.most), centre

    def best_part(self) -> Floats:
        """The choice in which every mass is the best known. array (1, pieces)"""
        span = self.high - self.low
        part = np.where(span > 0.0, (self.best - self.low) / np.where(span > 0.0, span, 1.0), 0.0)
        return np.asarray(part[None, :])

    def held(self, part: Floats) -> NDArray[np.bool_]:
        """Which choices keep the limits of pieces together. array (n,)

        Parameters
        ----------
        part : array (n, pieces)
            As for `load`.
        """
        mass = self.low + part * (self.high - self.low)
        found = np.ones(len(part), dtype=bool)
        for one in self.sums:
            total = mass[:, list(one.pieces)].sum(axis=1)
            give = CLOSE * max(1.0, one.high)
            found &= (total >= one.low - give) & (total <= one.high + give)
        return found

    def _heaviest(self, gain: Floats, sums: Sequence[Together]) -> Floats:
        if not sums:
            return np.where(gain > 0.0, self.high, self.low)
        return np.array(heaviest(self.low.tolist(), self.high.tolist(), sums, gain.tolist()))

    def moment(self, direction: Floats, offset: float = 0.0) -> tuple[float, float]:
        """Least and most first moment over the body, exactly. [kg m]

        Every piece counts by its own mass times its own arm, so each stands at the limit that suits its sign,
        as far as limits of several together leave it.

        Parameters
        ----------
        direction : array (3,)
            Along which the arms are measured.
        offset : float
            Added to every arm. [m]
        """
        arm = self.at @ direction + offset
        wide = self.half @ np.abs(direction)
        far, near = arm + wide, arm - wide
        most = self._heaviest(far, self.sums) * far
        least = self._heaviest(-near, self.sums) * near
        return float(least.sum()), float(most.sum())

    def corners(self) -> Floats:
        """Choices of masses to start from: every corner up to 12 loose pieces, else one per direction.

        Returns
        -------
        array (n, pieces)
            Of 0 and 1.

        References
        ----------
        .. [1] The masses and first moments that are possible form a zonotope; along a direction its corner
           has each piece high or low by the sign of that piece's own vector along it.
        """
        loose = self.loose
        grid = np.array(np.meshgrid(*[[-1.0, 0.0, 1.0]] * 4)).reshape(4, -1).T
        if len(loose) <= MOST_CORNERS:
            bits = (np.arange(2 ** len(loose))[:, None] >> np.arange(len(loose))) & 1
            part = np.zeros((len(bits), len(self.low)))
            part[:, loose] = bits
            if not self.sums:
                return part
            # Where pieces are limited together, the corners of what is left lie elsewhere.
            return np.vstack([part[self.held(part)], self.towards(grid)])
        # A fixed seed: the same question has the same answer.
        more = np.random.default_rng(1).normal(size=(160, 4))
        return self.towards(np.vstack([grid, more]))

    def towards(self, directions: Floats) -> Floats:
        """The corner farthest along each direction of (mass, first moments). array (n, pieces)

        Moments count from the best centre, and by the size of the body, so that the four parts are alike.
        """
        weight = self.best if self.best.sum() > 0.0 else self.high
        middle = (weight[:, None] * self.at).sum(axis=0) / max(float(weight.sum()), 1e-300)
        arm = self.at - middle
        size = float(np.linalg.norm(arm, axis=1).max()) or 1.0
        gain = directions[:, :1] + directions[:, 1:] @ (arm / size).T
        return self.chosen(gain) if self.sums else np.asarray((gain > 0.0).astype(float))

    def chosen(self, gain: Floats) -> Floats:
        """Each piece high where a kilogram more of it makes a figure worse, as far as all together may weigh.

        Where that is more than a limit of several together, or than `most`, the pieces that do the least harm
        per kilogram give way first: nothing is worse.

        Parameters
        ----------
        gain : array (n, pieces)
            How much worse the figure gets per kilogram of each piece.

        Returns
        -------
        array (n, pieces)
        """
        limits = self.sums
        if np.isfinite(self.most):
            limits = (*limits, Together(tuple(range(len(self.low))), 0.0, self.most))
        if not limits:
            return (gain > 0.0).astype(float)
        span = self.high - self.low
        mass = np.array([self._heaviest(row, limits) for row in gain]).reshape(gain.shape)
        return np.where(span > 0.0, (mass - self.low) / np.where(span > 0.0, span, 1.0), 0.0)

    def pushes(self) -> Floats:
        """Corners of the doubt of places, and none: array (n, 3)."""
        sides = [[-1.0, 1.0] if width > 0.0 else [0.0] for width in self.half.max(axis=0, initial=0.0)]
        found = np.array(np.meshgrid(*sides)).reshape(3, -1).T
        return found if self.exact_places else np.vstack([found, np.zeros((1, 3))])
