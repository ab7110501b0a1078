"""Masses and places within their limits, as one body: every corner of it, and how far it can be pushed.

Only two things of the pieces matter to a hook: their mass together and where their centre is. Both follow
from one choice of every mass and place within its limits, so "the heaviest load" and "the worst centre" are
never taken from two choices that exclude each other, and never less than one choice that is possible.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.hang.poses import Floats, Rows
from handling_db.mechanics.vectors import IDENTITY, Matrix
from handling_db.quantities.amount import UnknownMassError

# Up to so many pieces with a doubt every corner is gone through.
MOST_CORNERS = 12


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
    """

    low: Floats
    best: Floats
    high: Floats
    at: Floats
    half: Floats
    most: float = np.inf

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
    def of_pieces(cls, pieces: Sequence[Weighted], turn: Matrix = IDENTITY, *, most: float = np.inf) -> Body:
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
        return replace(found, most=most)

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

    def moment(self, direction: Floats, offset: float = 0.0) -> tuple[float, float]:
        """Least and most first moment over the body, exactly. [kg m]

        Every piece counts by its own mass times its own arm, so each stands at the limit that suits its sign.

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
        most = np.where(far > 0.0, self.high, self.low) * far
        least = np.where(near > 0.0, self.low, self.high) * near
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
        if len(loose) <= MOST_CORNERS:
            bits = (np.arange(2 ** len(loose))[:, None] >> np.arange(len(loose))) & 1
            part = np.zeros((len(bits), len(self.low)))
            part[:, loose] = bits
            return part
        grid = np.array(np.meshgrid(*[[-1.0, 0.0, 1.0]] * 4)).reshape(4, -1).T
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
        return np.asarray((gain > 0.0).astype(float))

    def chosen(self, gain: Floats) -> Floats:
        """Each piece high where a kilogram more of it makes a figure worse, as far as all together may weigh.

        Where that is more than `most`, the pieces that do the least harm per kilogram give way first: with
        one limit on a sum nothing is worse.

        Parameters
        ----------
        gain : array (n, pieces)
            How much worse the figure gets per kilogram of each piece.

        Returns
        -------
        array (n, pieces)
        """
        part = (gain > 0.0).astype(float)
        if not np.isfinite(self.most):
            return part
        span = self.high - self.low
        for row in np.flatnonzero(self.low.sum() + part @ span > self.most):
            over = float(self.low.sum() + part[row] @ span - self.most)
            for piece in np.argsort(gain[row], kind="stable"):
                if part[row, piece] > 0.0 and span[piece] > 0.0 and over > 0.0:
                    gives = min(over, float(span[piece]))
                    part[row, piece], over = 1.0 - gives / span[piece], over - gives
        return part

    def pushes(self) -> Floats:
        """Corners of the doubt of places, and none: array (n, 3)."""
        sides = [[-1.0, 1.0] if width > 0.0 else [0.0] for width in self.half.max(axis=0, initial=0.0)]
        found = np.array(np.meshgrid(*sides)).reshape(3, -1).T
        return found if self.exact_places else np.vstack([found, np.zeros((1, 3))])
