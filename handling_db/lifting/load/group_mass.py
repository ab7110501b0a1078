"""A lift group taken apart into what is known of its mass and what is not."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from handling_db.families.build import Value
from handling_db.lifting.evidenced import PiecesTogether
from handling_db.lifting.extras import FLUID, Extra
from handling_db.lifting.load.carried import Carried
from handling_db.lifting.occurrences import Side, Ways
from handling_db.lookup.plan import Lifted
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.sums import Together
from handling_db.mechanics.vectors import Box
from handling_db.quantities.amount import Amount
from handling_db.quantities.mass import Mass, add_masses
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.weights.totals import Totals


@dataclass(frozen=True)  # no slots: what it works out of its own is kept beside
class GroupMass:
    """A lift group taken apart into what is known and what is not.

    Parameters
    ----------
    ways, sides
        Every occurrence of the root, and which side it is on.
    carried : tuple of Carried
        What is in, by the figures that count.
    inside, outside : tuple of int
        The highest occurrences that are wholly on one side: what a sheet lists.
    unknown, open_lists : tuple of Component
        In the group: without a mass, or with parts that may not all be listed; nothing bounds them.
    extras : tuple of Extra
    build : tuple of (parameter, value, confirmed for this unit)
    assumed : set of component ids
        Those whose mass is a range that was given.
    outline : Box or None
        Recorded of what is lifted, or of the root; fluid without a place lies inside it. [m]
    together : PiecesTogether or None
        Limits of all pieces together, dry, by all the evidence; None where that says nothing. [kg]
    at_least : (Fraction, Fraction) or None
        Low and "at least" of one component that has no upper limit, as its look-up says. [kg]
    with_fluid : Fraction or None
        The heaviest believable figure with all of the fluid that nobody looked for in it, where that is less
        than both added. [kg]
    rest : tuple of Weighted
        Whatever else belongs to what is in, where the evidence bounds it.
    given : mapping of parameter to value
        The build of the root, as far as it is not the default one.
    limits : tuple of Together
        What pieces of `carried`, by their places in it, weigh together by all the evidence, where that is
        narrower than each by itself. [kg]
    """

    group: LiftGroup
    totals: Totals
    ways: Ways
    sides: tuple[Side, ...]
    carried: tuple[Carried, ...]
    inside: tuple[int, ...]
    outside: tuple[int, ...]
    unknown: tuple[Component, ...]
    open_lists: tuple[Component, ...]
    extras: tuple[Extra, ...]
    build: tuple[tuple[str, str, bool], ...]
    assumed: frozenset[str] = frozenset()
    outline: Box | None = None
    together: PiecesTogether | None = None
    at_least: tuple[Fraction, Fraction] | None = None
    with_fluid: Fraction | None = None
    rest: tuple[Weighted, ...] = ()
    given: Mapping[str, Value] = field(default_factory=dict)
    limits: tuple[Together, ...] = ()

    @property
    def at_datum(self) -> tuple[str, ...]:
        """Names of pieces whose own centre is not recorded: they are taken at their datum."""
        return tuple(dict.fromkeys(carried.name for carried in self.carried if carried.at_datum))

    @property
    def at_its_line(self) -> tuple[str, ...]:
        """Names of fluids that count where their part lines say, since nothing else says where they are."""
        return tuple(extra.name for extra in self.extras if extra.at_its_line(self.outline))

    @cached_property
    def pieces(self) -> Amount | None:
        """The pieces without any fluid; None where not one has a mass. [kg]"""
        known = [carried.mass for carried in self.carried if carried.mass is not None]
        if not known:
            return None
        total = add_masses(known)
        low, best = float(total.low), float(total.best)
        if not total.complete or self.unknown or self.open_lists:
            # "At least": of a range that is only inferred no more than its low end is sure.
            sure = [c.mass.low if c.inferred else c.mass.best for c in self.carried if c.mass is not None]
            if self.at_least is not None:
                return Amount(float(self.at_least[0]), float(self.at_least[1]), None)
            return Amount(low, max(float(sum(sure)), low), None)
        if self.together is None:
            return Amount(low, best, float(total.high) + self._else())
        # The ends of the parts do not go together where a weighed whole holds them: a light one goes
        # with a heavy rest. Where figures contradict one another the heaviest route counts.
        low, high = float(self.together.low), float(self.together.plan)
        return Amount(low, best if low <= best <= high else (low + high) / 2, high)

    @property
    def lifted(self) -> tuple[Lifted, ...]:
        """Figures that wait for a person and lift the plan."""
        found = [one.lifted for one in self.carried] if self.together is None else self.together.lifted
        return tuple({one.words: one for one in found if one is not None}.values())

    @property
    def unlifted(self) -> Amount | None:
        """The pieces without what only a figure that waits asks for: what a hook should read. [kg]"""
        pieces = self.pieces
        if pieces is None or pieces.high is None or not self.lifted:
            return pieces
        lifts = [(c.lifted.plan - c.lifted.without) * c.pieces for c in self.carried if c.lifted]
        lift = sum(lifts, start=Fraction(0)) if self.together is None else self.together.lift
        high = max(pieces.low, pieces.high - float(lift))
        return Amount(pieces.low, min(pieces.best, high), high)

    def _else(self) -> float:
        """Whatever else belongs to what is in, at most. [kg]"""
        return math.fsum(one.amount.high or 0.0 for one in self.rest if one.amount is not None)

    @cached_property
    def astray(self) -> float | None:
        """How much is left for all pieces above what each weighs at least; None where nothing is missing.

        Only where a whole was weighed heavier than everything that is known of its parts: nobody knows in
        which of them the rest lies. [kg]
        """
        known = [carried.mass for carried in self.carried if carried.mass is not None]
        if self.together is None or len(known) < len(self.carried):
            return None
        total = add_masses(known)
        listed = float(total.high) + self._else()
        return float(self.together.plan - total.low) if float(self.together.plan) > listed else None

    @property
    def most(self) -> float:
        """What pieces, fluid and packing weigh together at most; infinity where that is not known. [kg]"""
        highs = [None if amount is None else amount.high for amount in self.parts().values()]
        return math.fsum(math.inf if high is None else high for high in highs)

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of what keeps the pieces from having an upper figure."""
        lists = [f"whatever else belongs to {component.name}" for component in self.open_lists]
        return (*(component.name for component in self.unknown), *lists)

    def behind(self, index: int) -> Mass | None:
        """The mass of the pieces of an occurrence that are not in; None where it is not known. [kg]"""
        occurrence = self.ways.found[index]
        mass = self.totals.figures[occurrence.node].mass
        return None if mass is None else mass.times(occurrence.pieces * (1 - self.sides[index].part))

    def parts(self) -> dict[str, Amount | None]:
        """What the legs carry, by name: the pieces, fluid inside, packing. [kg]

        Fluid that nobody looked for counts with what it can come to on top of the heaviest pieces.
        """
        pieces = self.pieces
        named: dict[str, Amount | None] = {"lift group": pieces}
        for extra in self.extras:
            name, amount = extra.name, extra.amount
            while name in named:
                name += " (another)"
            named[name] = amount
            whole = self.with_fluid
            if whole is None or not extra.unstated or extra.kind != FLUID or amount is None:
                continue
            if pieces is not None and pieces.high is not None and amount.high is not None:
                top = max(0.0, min(amount.high, float(whole) - pieces.high))
                named[name] = Amount(min(amount.low, top), min(amount.best, top), top)
        return named

    def weighted(self) -> tuple[Weighted, ...]:
        """Every mass with its place, as the centre of gravity needs them; fluid lies within an outline."""
        astray = self.astray
        pieces = [_weighted(carried, astray) for carried in self.carried]
        return (*pieces, *self._round_them())

    def by_parts(self) -> tuple[tuple[Weighted, ...], tuple[Together, ...]]:
        """The same, with its parts for a piece that was weighed as a whole and whose centre nobody knows.

        Returns
        -------
        pieces : tuple of Weighted
        sums : tuple of Together
            What some of them weigh together, by their places: the whole as it was weighed, assemblies as all
            the evidence holds them. [kg]
        """
        pieces: list[Weighted] = []
        places: list[tuple[int, ...]] = []
        sums: list[Together] = []
        astray = self.astray
        for carried in self.carried:
            mass = carried.mass
            # While some mass is astray nobody knows in which part it is.
            fine = mass is not None and mass.complete and astray is None
            parts = (fine and carried.parts) or (_weighted(carried, astray),)
            places.append(tuple(range(len(pieces), len(pieces) + len(parts))))
            pieces += parts
            if mass is not None and len(parts) > 1:
                sums.append(Together(places[-1], float(mass.low), float(mass.high)))
        for one in self.limits:
            own = tuple(place for carried_at in one.pieces for place in places[carried_at])
            sums.append(Together(own, one.low, one.high))
        return (*pieces, *self._round_them()), tuple(sums)

    def _round_them(self) -> list[Weighted]:
        """Whatever else belongs to the pieces, fluid and packing."""
        found = [Weighted(f"whatever else belongs to {c.name}", None, None) for c in self.open_lists]
        found += self.rest
        for extra in self.extras:
            if extra.amount is None or extra.amount.high != 0.0:
                at, inside = extra.placed(self.outline)
                found.append(Weighted(extra.name, extra.amount, at, inside))
        return found


def _weighted(carried: Carried, astray: float | None) -> Weighted:
    amount = None if carried.mass is None else _amount(carried.mass, astray)
    return Weighted(carried.name, amount, carried.at, carried.within)


def _amount(mass: Mass, astray: float | None) -> Amount:
    low, high = float(mass.low), float(mass.high)
    if astray is not None:
        high = max(high, low + astray)
    return Amount(low, float(mass.best), high if mass.complete else None)
