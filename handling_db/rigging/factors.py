"""Published factors as the calculations take them: legs, directions of pull, dynamic allowances, heat.

The figures are in the reference data, one file, each with its source, edition and how far it was verified.
Here is only their shape, and a reader of the parsed file. They are never a rating: the rating is on the tag.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from handling_db.quantities.amount import StaticsError

# Angles are compared with this much give, so that 45 degrees worked out in floats is 45 degrees. [deg]
GIVE = 1e-6


class FactorDataError(StaticsError):
    """The reference data does not say what it must."""


@dataclass(frozen=True, slots=True)
class LegBand:
    """How many times one leg's rating counts, between two leans from the vertical."""

    to_degrees: float
    factor: float
    times_cosine: bool
    from_degrees: float = 0.0


@dataclass(frozen=True, slots=True)
class LegRule:
    """A published rule for slings with several legs.

    Parameters
    ----------
    legs : mapping of number of legs to bands
    rates_tags : bool
        Ratings on tags are made by it; the others are rules for planning.
    even_only : bool
        It holds for legs that lean and spread alike.
    """

    id: str
    name: str
    source: str
    verified: str
    legs: Mapping[int, tuple[LegBand, ...]]
    rates_tags: bool = False
    even_only: bool = False

    def multiplier(self, count: int, from_vertical: float) -> float | None:
        """Times one leg's rating, or None where the rule does not cover it. Lean in rad."""
        degrees = math.degrees(from_vertical)
        for band in self.legs.get(count, ()):
            if band.from_degrees - GIVE <= degrees <= band.to_degrees + GIVE:
                return band.factor * (math.cos(from_vertical) if band.times_cosine else 1.0)
        return None


@dataclass(frozen=True, slots=True)
class Step:
    """The part of the straight rating that stays up to an angle from the axis."""

    to_degrees: float
    factor: float


@dataclass(frozen=True, slots=True)
class OtherChart:
    """Another published chart of the same family, where it differs."""

    source: str
    verified: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Family:
    """How one family of lifting points or shackles loses rating with the direction of pull."""

    id: str
    kind: str  # eye bolt, shackle, hoist ring
    name: str
    source: str
    verified: str
    shouldered: bool | None  # None where the word does not apply
    in_plane_only: bool
    steps: tuple[Step, ...]
    sizes: Mapping[
        str, tuple[float, float]
    ]  # size: (straight, at the widest step), kg, where a table prints them
    caution: str
    other_charts: tuple[OtherChart, ...] = ()

    def factor(self, degrees: float, size: str | None = None) -> float | None:
        """Part of the straight rating at an angle from the axis; None where the family is not rated there.

        Where published charts of the family differ, that of the stricter one; a chart that ends before the
        angle is silent there.
        """
        own = self._own(degrees, size)
        others = [factor for chart in self.other_charts if (factor := _at(chart.steps, degrees)) is not None]
        return None if own is None else min([own, *others])

    def _own(self, degrees: float, size: str | None) -> float | None:
        for i, step in enumerate(self.steps):
            if degrees <= step.to_degrees + GIVE:
                if self.sizes and i == len(self.steps) - 1:
                    # The table prints the angled figure by size; without one its smallest ratio is taken.
                    own = None if size is None else self.sizes.get(size)
                    pairs = list(self.sizes.values()) if own is None else [own]
                    return min(angled / straight for straight, angled in pairs)
                return step.factor
        return None


def _at(steps: Sequence[Step], degrees: float) -> float | None:
    """The factor of the narrowest step that covers an angle; between two steps the wider one counts."""
    return next((step.factor for step in steps if degrees <= step.to_degrees + GIVE), None)


@dataclass(frozen=True, slots=True)
class AllowanceRow:
    """A factor over a range of a quantity, by the formula in `value`."""

    above: float
    to: float | None
    constant: float
    root: float
    reference: float
    slope: float
    inverse: float

    def value(self, quantity: float) -> float:
        """The factor at `quantity`, in the unit of the table.

        constant + root x sqrt(reference / quantity) + slope x quantity + inverse / quantity
        """
        factor = self.constant + self.slope * quantity
        if self.root:
            factor += self.root * math.sqrt(self.reference / quantity)
        if self.inverse:
            factor += self.inverse / quantity
        return factor


GROSS_LOAD_T = "gross load t"  # what most dynamic factors go by: an answer about a lift knows it


@dataclass(frozen=True, slots=True)
class Allowance:
    """A published dynamic factor by some quantity. Off unless somebody chooses it by name."""

    id: str
    name: str
    source: str
    verified: str
    by: str  # quantity and unit: gross load t, hoist speed ft/min
    at_least: float  # a quantity below this is taken as this
    limit_in: str  # "below": a row holds up to but without its end; "with": its end belongs to it
    rows: tuple[AllowanceRow, ...]
    caution: str

    def factor(self, quantity: float) -> float:
        """The factor that the load is multiplied with.

        Raises
        ------
        StaticsError
            The table does not cover the quantity.
        """
        if not math.isfinite(quantity) or quantity < 0.0:
            raise StaticsError(f"{self.name}: {self.by} must be 0 or more, not {quantity!r}.")
        quantity = max(quantity, self.at_least)
        for row in self.rows:
            inside = row.to is None or quantity < row.to or (self.limit_in == "with" and quantity == row.to)
            if quantity >= row.above and inside:
                return row.value(quantity)
        raise StaticsError(f"{self.name} does not cover {self.by} of {quantity:g}.")


@dataclass(frozen=True, slots=True)
class HeatRule:
    """The part of the rating that stays while gear is hot."""

    id: str
    name: str
    source: str
    verified: str
    unit: str  # F or C, degrees
    from_degrees: float | None  # colder than this is not covered; None: the source does not say
    steps: tuple[Step, ...]

    def factor(self, degrees: float) -> float | None:
        """Part of the rating at a temperature in `unit`; None where the gear is not used."""
        if self.from_degrees is not None and degrees < self.from_degrees:
            return None
        return next((step.factor for step in self.steps if degrees <= step.to_degrees), None)


@dataclass(frozen=True, slots=True)
class Hitch:
    """The part of the straight rating that a way of hitching leaves."""

    id: str
    name: str
    source: str
    verified: str
    factor: float


Entry = TypeVar("Entry", LegRule, Family, Allowance, HeatRule, Hitch)


@dataclass(frozen=True, slots=True)
class Factors:
    """Everything in the file of rating factors."""

    leg_rules: tuple[LegRule, ...]
    families: tuple[Family, ...]
    allowances: tuple[Allowance, ...]
    heat_rules: tuple[HeatRule, ...]
    hitches: tuple[Hitch, ...]

    def rule(self, rule_id: str) -> LegRule:
        """The leg rule of that id."""
        return _one(self.leg_rules, rule_id, "leg rule")

    def family(self, family_id: str) -> Family:
        """The family of that id."""
        return _one(self.families, family_id, "family")

    def allowance(self, allowance_id: str) -> Allowance:
        """The dynamic allowance of that id."""
        return _one(self.allowances, allowance_id, "dynamic allowance")

    def heat(self, heat_id: str) -> HeatRule:
        """The heat rule of that id."""
        return _one(self.heat_rules, heat_id, "heat rule")

    def hitch(self, hitch_id: str) -> Hitch:
        """The hitch of that id."""
        return _one(self.hitches, hitch_id, "hitch")


def _one(held: Sequence[Entry], wanted: str, what: str) -> Entry:
    for item in held:
        if item.id == wanted:
            return item
    raise FactorDataError(
        f"no {what} {wanted!r} in the reference data; there are: {', '.join(i.id for i in held)}."
    )
