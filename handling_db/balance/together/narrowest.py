"""The narrowest limits of a weighted sum of unknowns, by linear programming.

The solver works in floating point; what it answers with is only a proof. Its multipliers, rounded to simple
fractions, are multiplied out exactly (weak duality [1]_): whatever they are, the limit they give is never
too narrow, and where they are right it is the exact one. Where that gives no limit, the solver's own
answer is taken, widened by more than its tolerance.

References
----------
.. [1] A. Neumaier, O. Shcherbina, "Safe bounds in linear and mixed-integer linear programming",
   Mathematical Programming 99 (2004) 283-296 (from memory; compared with an independent program in
   tests/oracles).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from handling_db.balance.together.body import Limit, Span, SumLimits, Terms
from handling_db.mechanics.linear import LinearProgram, Solved

WIDEN = Fraction(1, 10**6)  # the solver keeps rows to 1e-7 [kg, and relative above 1]
SIMPLE = 10**6  # multipliers are ratios of small numbers: quantities and litres


def _ends(span: Span) -> tuple[float, float]:
    low, high = span
    return (-math.inf if low is None else float(low), math.inf if high is None else float(high))


class SumProgram:
    """Rows that hold together, made ready for many questions.

    Parameters
    ----------
    domains : sequence of Span
        Of each unknown, as far as sweeps narrowed it.
    rows : sequence of SumLimits
    """

    def __init__(self, domains: Sequence[Span], rows: Sequence[SumLimits]) -> None:
        self.domains = domains
        self.rows = rows
        self._made: LinearProgram | None = None

    def _solve(self, terms: Terms) -> Solved:
        if self._made is None:
            self._made = LinearProgram(
                [_ends(span) for span in self.domains],
                [
                    ({u: float(count) for u, count in row.terms}, *_ends((row.low, row.high)))
                    for row in self.rows
                ],
            )
        return self._made.least({unknown: float(count) for unknown, count in terms})

    def feasible(self) -> bool:
        """Whether anything fulfils all rows; a solver that gives up is taken for yes, which widens."""
        return not self._solve(()).infeasible

    def least(self, terms: Terms) -> Limit:
        """The lowest value of a weighted sum, never too high. [kg]"""
        found = self._solve(terms)
        if not found.optimal:
            return None  # no lower end, or the solver gave up
        proved = self._proved(terms, found.multipliers)
        value = Fraction(found.least)
        widened = value - WIDEN * max(Fraction(1), abs(value))
        return widened if proved is None else max(proved, widened)

    def most(self, terms: Terms) -> Limit:
        """The highest value of a weighted sum, never too low. [kg]"""
        found = self.least(tuple((unknown, -count) for unknown, count in terms))
        return None if found is None else -found

    def _proved(self, terms: Terms, found: Sequence[float]) -> Limit:
        """What the multipliers prove: c x >= y (A x) + (c - y A) x, each part at its lowest."""
        multipliers = [Fraction(value).limit_denominator(SIMPLE) for value in found]
        left: dict[int, Fraction] = dict(terms)
        total = Fraction(0)
        for row, share in zip(self.rows, multipliers, strict=True):
            if not share:
                continue
            end = row.low if share > 0 else row.high
            if end is None:
                continue  # a multiplier of the wrong sign is noise: leave the row out
            total += share * end
            for unknown, count in row.terms:
                left[unknown] = left.get(unknown, Fraction(0)) - share * count
        for unknown, count in left.items():
            if not count:
                continue
            end = self.domains[unknown][0] if count > 0 else self.domains[unknown][1]
            if end is None:
                return None
            total += count * end
        return total
