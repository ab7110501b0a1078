"""Figures about shapes with their lowest and highest believable value: densities, fills, allowances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from handling_db.errors import HandlingError

_MAX_DENSITY = 25_000.0  # kg/m³: no metal is denser than 22 600


class ShapeError(HandlingError, ValueError):
    """A shape cannot exist as described; the message says why and what to write."""


@dataclass(frozen=True, slots=True)
class Range:
    """A figure with its lowest and highest believable value, all above zero.

    Raises
    ------
    ShapeError
        Not in order, not above zero, or not finite.
    """

    low: float
    best: float
    high: float

    def __post_init__(self) -> None:
        """Refuse what is out of order."""
        if not (0 < self.low <= self.best <= self.high < math.inf):
            raise ShapeError(
                f"{self.low:g}, {self.best:g}, {self.high:g} are not lowest, best and highest above zero"
            )

    def times(self, other: Range) -> Range:
        """The product, worst case."""
        return Range(self.low * other.low, self.best * other.best, self.high * other.high)


WHOLE = Range(1.0, 1.0, 1.0)
RangeLike: TypeAlias = Range | float | Sequence[float]


def as_range(value: RangeLike) -> Range:
    """One number, a pair (the best is the middle), or lowest, best and highest."""
    if isinstance(value, Range):
        return value
    if isinstance(value, Sequence):
        figures = [float(figure) for figure in value]
        if len(figures) == 2:
            return Range(figures[0], (figures[0] + figures[1]) / 2, figures[1])
        if len(figures) != 3:
            raise ShapeError("a range is written as lowest and highest, or as lowest, best and highest")
        return Range(*figures)
    return Range(float(value), float(value), float(value))


def as_density(value: RangeLike) -> Range:
    """A density in kg/m³ as a range.

    Raises
    ------
    ShapeError
        Above 25 000 kg/m³ (nothing is), or below 1, which is most likely kg/L.
    """
    density = as_range(value)
    if density.high > _MAX_DENSITY or density.low < 1:
        raise ShapeError(f"a density of {density.best:g} kg/m³ is not believable; steel is 7850 kg/m³")
    return density
