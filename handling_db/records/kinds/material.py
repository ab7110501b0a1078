"""Materials and their densities, as a published table or a shop has them."""

from __future__ import annotations

from fractions import Fraction

from pydantic import model_validator

from handling_db.records.parts.common import Recorded
from handling_db.records.parts.measures import DensityText
from handling_db.records.parts.texts import Id, Line, Text


class Material(Recorded):
    """What a material's litre weighs: one figure, a range, or a figure with its range.

    None of them is the density of the part in hand.
    """

    material: Id
    """its id"""
    name: Line
    """its name"""
    density: DensityText | None = None
    """one figure"""
    lowest: DensityText | None = None
    """the lowest of a range"""
    highest: DensityText | None = None
    """the highest of a range"""
    basis: Text
    """who says so"""
    verified: Text | None = None
    """how far that was checked"""

    @model_validator(mode="after")
    def _figure_or_range(self) -> Material:
        if (self.lowest is None) != (self.highest is None):
            raise ValueError("'lowest' and 'highest' go together")
        if self.density is None and self.lowest is None:
            raise ValueError("write 'density', or 'lowest' and 'highest'")
        low, best, high = self.limits
        if not 0 < low <= best <= high:
            raise ValueError("write them in order: lowest, density, highest, all above 0")
        return self

    @property
    def limits(self) -> tuple[Fraction, Fraction, Fraction]:
        """Lowest, best and highest; the best of a bare range is its middle. [kg/L]"""
        best = self.density.base if self.density is not None else None
        low = self.lowest.base if self.lowest is not None else best
        high = self.highest.base if self.highest is not None else best
        assert low is not None  # the record has one or the other
        assert high is not None
        return low, (low + high) / 2 if best is None else best, high
