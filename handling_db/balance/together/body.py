"""One body of evidence: unknown amounts, the ties between them, and the figures that limit them.

It knows no records and no states: a dry mass, the drained and the filled litres of a fluid and the error of
a scale are all unknown amounts; a sum of parts is a tie; what somebody read is a member. `members` builds one
from a collection, `limits` bounds it by sweeps, `narrowest` by linear programming, and `consistent` says
which of its members can be true together.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from handling_db.errors import HandlingError

Limit = Fraction | None
"""A limit; None where there is none."""

Span = tuple[Limit, Limit]
"""Low and high; None stands for no limit on that side."""

Terms = tuple[tuple[int, Fraction], ...]
"""A weighted sum of unknowns: (unknown, coefficient), every unknown once, no coefficient zero."""

GridRow = tuple[tuple[tuple[int, int], ...], int | None, int | None]
"""A weighted sum, its low and its high in whole numbers of 1 / GRID kg."""


@dataclass(frozen=True)
class SumLimits:
    """What a weighted sum of unknowns lies between.

    Parameters
    ----------
    terms : Terms
    low, high : Fraction or None
        [kg]
    """

    terms: Terms
    low: Limit
    high: Limit

    @cached_property
    def in_grid(self) -> GridRow:
        """The same in whole numbers, its limits rounded outward."""
        factor = math.lcm(*(count.denominator for _, count in self.terms))
        terms = tuple((unknown, int(count * factor)) for unknown, count in self.terms)
        return terms, grid_floor(self.low, factor), grid_ceil(self.high, factor)


# Steps of whole numbers in a kilogram: finer than what anybody writes down.
GRID = 10**12


def grid_floor(limit: Limit, factor: int = 1) -> int | None:
    """A lower limit times a factor in whole numbers, never above it."""
    return None if limit is None else limit.numerator * factor * GRID // limit.denominator


def grid_ceil(limit: Limit, factor: int = 1) -> int | None:
    """An upper limit times a factor in whole numbers, never below it."""
    return None if limit is None else -(-limit.numerator * factor * GRID // limit.denominator)


@dataclass(frozen=True, slots=True)
class Member:
    """One figure that takes part, with what it allows.

    Parameters
    ----------
    id : str
        Of the statement or weighing.
    rows : tuple of SumLimits
        All of them hold if the figure is true. Two where it may hold any share of a fluid: with none of it
        the piece is no heavier than the figure, with all of it no lighter.
    """

    id: str
    rows: tuple[SumLimits, ...]


@dataclass(frozen=True, eq=False)
class EvidenceBody:
    """Unknowns, ties and members.

    Parameters
    ----------
    domains : tuple of Span
        By unknown, what it can be before anybody says anything: a mass is never below nothing.
    ties : tuple of SumLimits
        What holds whatever anybody says: a whole less its parts is nothing. Children before parents, so that
        one pass forward and one back are enough on a tree.
    members : tuple of Member
        Children before parents, too.
    """

    domains: tuple[Span, ...]
    ties: tuple[SumLimits, ...]
    members: tuple[Member, ...]

    def rows(self, active: Iterable[int] | None = None) -> list[SumLimits]:
        """The ties and the rows of some members, or of all."""
        chosen = range(len(self.members)) if active is None else sorted(active)
        return [*self.ties, *(row for place in chosen for row in self.members[place].rows)]

    @cached_property
    def component(self) -> tuple[int, ...]:
        """By unknown, a number that two share if any ties or members connect them."""
        root = list(range(len(self.domains)))

        for row in self.rows():
            for unknown, _ in row.terms[1:]:
                root[head(root, unknown)] = head(root, row.terms[0][0])
        for member in self.members:  # the rows of one figure stand and fall together
            for row in member.rows[1:]:
                root[head(root, row.terms[0][0])] = head(root, member.rows[0].terms[0][0])
        return tuple(head(root, one) for one in range(len(root)))

    @cached_property
    def by_component(self) -> Mapping[int, tuple[list[SumLimits], list[int]]]:
        """By connected piece, its ties and the places of its members."""
        found: dict[int, tuple[list[SumLimits], list[int]]] = {root: ([], []) for root in self.component}
        for row in self.ties:
            found[self.component[row.terms[0][0]]][0].append(row)
        for place, member in enumerate(self.members):
            found[self.component[member.rows[0].terms[0][0]]][1].append(place)
        return found


def head(root: list[int], one: int) -> int:
    """The number that stands for all that hang together with one, by the next of each on the way to it."""
    while root[one] != one:
        root[one] = root[root[one]]  # halve the way for the next one
        one = root[one]
    return one


def terms_of(counts: Mapping[int, Fraction]) -> Terms:
    """A weighted sum in its one form: by unknown, without zeros."""
    return tuple((unknown, count) for unknown, count in sorted(counts.items()) if count)


class BodyBuilder:
    """Builds a body step by step.

    Raises
    ------
    HandlingError
        From `member`: nothing at all is said.
    """

    def __init__(self) -> None:
        self.domains: list[Span] = []
        self.ties: list[SumLimits] = []
        self.members: list[Member] = []

    def unknown(self, low: Limit = Fraction(0), high: Limit = None) -> int:
        """A new unknown and its number; a mass unless told otherwise."""
        self.domains.append((low, high))
        return len(self.domains) - 1

    def tie(
        self, counts: Mapping[int, Fraction], low: Limit = Fraction(0), high: Limit = Fraction(0)
    ) -> None:
        """Something that always holds."""
        terms = terms_of(counts)
        if terms:
            self.ties.append(SumLimits(terms, low, high))

    def whole(self, node: int, parts: Sequence[tuple[int, Fraction]]) -> None:
        """A whole is the sum of its parts."""
        counts: dict[int, Fraction] = {node: Fraction(-1)}
        for part, quantity in parts:
            counts[part] = counts.get(part, Fraction(0)) + quantity
        self.tie(counts)

    def member(self, name: str, *said: tuple[Mapping[int, Fraction], Limit, Limit]) -> None:
        """A figure that somebody read: what weighted sums of unknowns it puts between which limits."""
        rows = tuple(
            SumLimits(terms, low, high)
            for counts, low, high in said
            if (terms := terms_of(counts)) and (low is not None or high is not None)
        )
        if not rows:
            raise HandlingError(f"{name!r} says nothing about any piece")
        self.members.append(Member(name, rows))

    def done(self) -> EvidenceBody:
        """The body."""
        return EvidenceBody(tuple(self.domains), tuple(self.ties), tuple(self.members))
