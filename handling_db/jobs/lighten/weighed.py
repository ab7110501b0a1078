"""What the rest weighs at most with some items off, by all the evidence: never by subtracting."""

from __future__ import annotations

import math
from fractions import Fraction

from handling_db.balance.together.body import EvidenceBody, Limit, Terms
from handling_db.jobs.lighten.burden import ROUNDED, Burden
from handling_db.jobs.lighten.figures import CeilingFigure, LeftFigure
from handling_db.jobs.lighten.pieces import Pieces
from handling_db.mechanics.linear import LinearProgram
from handling_db.quantities.mass import Mass, within
from handling_db.weights.tree import Node

# Masses that all readings allow together: one linear program over the body of evidence, in floating point.
#
# What it gives is a point, not a limit: figures that are shown come from `balance/together`, exactly.


class Readings:
    """The rows of a body of evidence without contradictions, made ready for several questions.

    Parameters
    ----------
    body : EvidenceBody
    """

    def __init__(self, body: EvidenceBody) -> None:
        self._program = LinearProgram(
            [_ends(low, high) for low, high in body.domains],
            [({u: float(many) for u, many in row.terms}, *_ends(row.low, row.high)) for row in body.rows()],
        )

    def heaviest(self, terms: Terms) -> tuple[float, ...] | None:
        """By unknown, values all true together with which a sum is as heavy as it can be; None: unbounded."""
        found = self._program.least({unknown: -float(many) for unknown, many in terms})
        return found.values if found.optimal else None


def _ends(low: Limit, high: Limit) -> tuple[float, float]:
    return (-math.inf if low is None else float(low), math.inf if high is None else float(high))


MOST_SEEDS = 40  # pieces that nobody weighed, each with a program of its own


class Weighed:
    """Weighs rests of one body.

    Parameters
    ----------
    burden : Burden
    pieces : Pieces
    limit : CeilingFigure
    """

    def __init__(self, burden: Burden, pieces: Pieces, limit: CeilingFigure) -> None:
        self.burden = burden
        self.pieces = pieces
        self.limit = limit
        self.budget = burden.budget(limit)
        self.evidence = burden.evidence
        self._all = frozenset(range(len(pieces.items)))
        self._spans: dict[frozenset[int], tuple[Fraction, Fraction | None]] = {}
        self._uppers: dict[frozenset[int], Fraction | None] = {}
        self._first: dict[tuple[int, Fraction, bool], int] = {}
        self._bodies: Readings | None = None
        self._each: list[Terms] | None = None
        self._rests: dict[frozenset[int], LeftFigure] = {}
        self._masses = [self._own_mass(item) for item in range(len(pieces.items))]
        self._own = [None if mass is None else mass.high for mass in self._masses]
        self.exact = True  # False once a rest is lighter than the figure that proves

    def own(self, item: int) -> Mass | None:
        """What its own figure says of one item; None where it has none with an upper limit. [kg]"""
        return self._masses[item]

    def _own_mass(self, item: int) -> Mass | None:
        """By its own figure, or where it has none by what the evidence leaves for it."""
        return self._own_figure(item) or self._left_for(item)

    def _left_for(self, item: int) -> Mass | None:
        low, high = self.together(self.alike(item))
        if high is None:
            return None
        best = (low + high) / 2
        return within(best, best - low, high - best)

    def _own_figure(self, item: int) -> Mass | None:
        one = self.pieces.items[item]
        if one.unlisted:
            return None
        mass = self.burden.mass
        for carried in mass.carried:
            if carried.index == one.index:
                if carried.mass is None or not carried.mass.complete or not carried.pieces:
                    return None
                return carried.mass.times(one.pieces / carried.pieces)
        figure = mass.totals.figures[mass.ways.found[one.index].node].several(one.pieces)
        return figure if figure is not None and figure.complete else None

    def _terms(self, items: frozenset[int]) -> dict[Node, Fraction]:
        """Some items as so many of each component; what an open list leaves out as whole less parts."""
        ways, found = self.burden.mass.ways, dict[Node, Fraction]()

        def add(node: int, many: Fraction) -> None:
            which = ways.tree.nodes[node]
            found[which] = found.get(which, Fraction(0)) + many

        for item in items:
            one = self.pieces.items[item]
            node = ways.found[one.index].node
            add(node, one.pieces)
            for use in ways.tree.uses[node] if one.unlisted else ():
                component = self.burden.collection.components[ways.tree.component(use.child)]
                if component.fluid is None:
                    add(use.child, -one.pieces * use.quantity)
        return {which: many for which, many in found.items() if many}

    def together(self, items: frozenset[int]) -> tuple[Fraction, Fraction | None]:
        """Limits of some items together by all the evidence; no upper one where nothing bounds them. [kg]"""
        if items not in self._spans:
            self._spans[items] = self._together(items)
        return self._spans[items]

    def _together(self, items: frozenset[int]) -> tuple[Fraction, Fraction | None]:
        terms = self._terms(items)
        if not terms:
            return Fraction(0), Fraction(0)
        if any(self.evidence.node(which) is None for which in terms):
            return Fraction(0), None
        low, high = self.evidence.several(terms)
        return low or Fraction(0), high

    def upper(self, items: frozenset[int]) -> Fraction | None:
        """The upper limit of some items together by all the evidence; None where nothing bounds them. [kg]"""
        if items in self._spans:
            return self._spans[items][1]
        if items not in self._uppers:
            terms = self._terms(items)
            known = all(self.evidence.node(which) is not None for which in terms)
            self._uppers[items] = self.evidence.most(self._unknowns(terms)) if known else None
        return self._uppers[items]

    def _unknowns(self, terms: dict[Node, Fraction]) -> Terms:
        start = self.evidence.recorded.tree.start
        return self.evidence.recorded.several({start[which]: many for which, many in terms.items()})

    def heaviest(self, off: frozenset[int]) -> tuple[float, ...] | None:
        """Masses of all items that all readings allow together, with which the rest is as heavy as it can be.

        None where figures contradict one another or nothing bounds the rest. Each mass is no more than its
        own figure, so that a rest never weighs less than these do. [kg]
        """
        if self.evidence.disputes or any(mass is None for mass in self._masses):
            return None
        return self._point(self._unknowns(self._terms(self._all - off)))

    def seeds(self) -> list[tuple[float, ...]]:
        """For each piece that nobody weighed, masses with which it is as heavy as the rest leaves it. [kg]

        Whatever a weighed whole leaves over may be in any one of them, so each asks for itself.
        """
        if self.heaviest(frozenset()) is None:
            return []
        whole = self._terms(self._all)
        inferred = {
            one.index for item, one in enumerate(self.pieces.items) if self._own_figure(item) is None
        } | {carried.index for carried in self.burden.mass.carried if carried.inferred}
        found: list[tuple[float, ...]] = []
        for item, one in enumerate(self.pieces.items):
            if one.index in inferred and len(found) < MOST_SEEDS:
                terms = dict(whole)
                for which, many in self._terms(frozenset({item})).items():
                    terms[which] = terms.get(which, Fraction(0)) + many
                point = self._point(self._unknowns(terms))
                found += [point] if point is not None else []
        return found

    def _point(self, terms: Terms) -> tuple[float, ...] | None:
        """Masses that are all true together with a sum as heavy as it can be, by item. [kg]"""
        if self._bodies is None:
            self._bodies = Readings(self.evidence.recorded.body)
        found = self._bodies.heaviest(terms)
        if found is None:
            return None
        if self._each is None:
            self._each = [self._unknowns(self._terms(frozenset({item}))) for item in range(len(self._masses))]
        return tuple(
            min(float(own.high), max(0.0, math.fsum(float(many) * found[unknown] for unknown, many in terms)))
            for own, terms in zip(self._masses, self._each, strict=True)
            if own is not None
        )

    def most(self) -> tuple[float, ...]:
        """By item, what it weighs at most by either way of weighing; infinite where one has no limit. [kg]"""
        found = []
        for item, own in enumerate(self._own):
            high = self.upper(self.alike(item))
            # What has no figure of its own leaves the sum of figures without one until it is off.
            found.append(math.inf if own is None or high is None else float(max(own, high)))
        return tuple(found)

    def alike(self, item: int) -> frozenset[int]:
        """One item that stands for all that are just like it, so that each kind is asked about once."""
        one = self.pieces.items[item]
        key = (self.burden.mass.ways.found[one.index].node, one.pieces, one.unlisted)
        return frozenset({self._first.setdefault(key, item)})

    def least(self, off: frozenset[int]) -> float:
        """A figure of the rest that is never above the true one: the lesser of sum and evidence. [kg]"""
        rest = self._all - off
        own = [self._own[item] for item in rest]
        total = math.inf if any(one is None for one in own) else float(sum(one or 0 for one in own))
        high = self.upper(rest)
        return min(total, math.inf if high is None else float(high))

    def rest(self, off: frozenset[int]) -> LeftFigure:
        """The figures of the rest, as a lift of it has them."""
        if off not in self._rests:
            mass = self.burden.left(self.pieces.counts(off))
            figure = self.burden.rest(mass, self.together(self._all - off), self.limit)
            if figure.pieces is not None and figure.pieces.high is not None:
                # A rest below what is never above it: then nothing is called proved.
                self.exact = self.exact and figure.pieces.high >= self.least(off) * (1 - ROUNDED)
            self._rests[off] = figure
        return self._rests[off]

    def serves(self, off: frozenset[int]) -> bool:
        """Whether the rest is under the limit by its upper figure."""
        if self.least(off) > self.budget + ROUNDED * self.limit.kg:
            return False
        return self.rest(off).under
