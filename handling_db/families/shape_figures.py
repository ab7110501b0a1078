"""Figures about shapes with their lowest and highest believable value: densities, fills, allowances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

from handling_db.errors import HandlingError

_MAX_DENSITY = 25_000.0  # kg/m³: no metal is denser than 22 600


class ShapeError(HandlingError, ValueError):
    """A shape cannot exist as described; the message says why and what to write."""


Range: TypeAlias = tuple[float, float, float]
"""A figure as its lowest, best and highest believable value, all above zero."""

WHOLE: Range = (1.0, 1.0, 1.0)
RangeLike: TypeAlias = float | Sequence[float]


def product(one: Range, other: Range) -> Range:
    """Both together, worst case."""
    return one[0] * other[0], one[1] * other[1], one[2] * other[2]


def as_range(value: RangeLike) -> Range:
    """One number, a pair (the best is the middle), or lowest, best and highest.

    Raises
    ------
    ShapeError
        Not in order, not above zero, or not finite.
    """
    figures = [float(figure) for figure in value] if isinstance(value, Sequence) else [float(value)] * 3
    if len(figures) == 2:
        figures.insert(1, (figures[0] + figures[1]) / 2)
    if len(figures) != 3:
        raise ShapeError("a range is written as lowest and highest, or as lowest, best and highest")
    low, best, high = figures
    if not (0 < low <= best <= high < math.inf):
        raise ShapeError(f"{low:g}, {best:g}, {high:g} are not lowest, best and highest above zero")
    return low, best, high


def as_density(value: RangeLike) -> Range:
    """A density in kg/m³ as a range.

    Raises
    ------
    ShapeError
        Above 25 000 kg/m³ (nothing is), or below 1, which is most likely kg/L.
    """
    low, best, high = density = as_range(value)
    if high > _MAX_DENSITY or low < 1:
        raise ShapeError(f"a density of {best:g} kg/m³ is not believable; steel is 7850 kg/m³")
    return density
