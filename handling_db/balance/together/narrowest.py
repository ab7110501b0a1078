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

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from handling_db.balance.together.body import Limit, Span, SumLimits, Terms

WIDEN = Fraction(1, 10**6)  # the solver keeps rows to 1e-7 [kg, and relative above 1]
SIMPLE = 10**6  # multipliers are ratios of small numbers: quantities and litres


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
        self._matrix: Any = None

    def _ready(self) -> Any:
        """Rows as the solver wants them: equal ones, then upper ends, then lower ends turned over."""
        if self._matrix is None:
            from scipy.sparse import csr_matrix

            equal = [i for i, row in enumerate(self.rows) if row.low is not None and row.low == row.high]
            sides = [
                (i, sign)
                for i, row in enumerate(self.rows)
                if row.low is None or row.low != row.high
                for sign, end in ((1, row.high), (-1, row.low))
                if end is not None
            ]
            self._matrix = (
                equal,
                sides,
                self._sparse(csr_matrix, [(i, 1) for i in equal]),
                [float(self.rows[i].low or 0) for i in equal],
                self._sparse(csr_matrix, sides),
                [
                    float(sign * ((self.rows[i].high if sign > 0 else self.rows[i].low) or 0))
                    for i, sign in sides
                ],
                [(None if a is None else float(a), None if b is None else float(b)) for a, b in self.domains],
            )
        return self._matrix

    def _sparse(self, csr_matrix: Any, chosen: Sequence[tuple[int, int]]) -> Any:
        values: list[float] = []
        at: list[int] = []
        unknowns: list[int] = []
        for number, (place, sign) in enumerate(chosen):
            for unknown, count in self.rows[place].terms:
                at.append(number)
                unknowns.append(unknown)
                values.append(sign * float(count))
        return csr_matrix((values, (at, unknowns)), shape=(len(chosen), len(self.domains)))

    def _solve(self, cost: Sequence[float]) -> Any:
        from scipy.optimize import linprog

        _, _, a_eq, b_eq, a_ub, b_ub, box = self._ready()
        return linprog(
            cost,
            A_ub=a_ub if b_ub else None,
            b_ub=b_ub or None,
            A_eq=a_eq if b_eq else None,
            b_eq=b_eq or None,
            bounds=box,
            method="highs",
        )

    def feasible(self) -> bool:
        """Whether anything fulfils all rows; a solver that gives up is taken for yes, which widens."""
        return int(self._solve([0.0] * len(self.domains)).status) != 2

    def least(self, terms: Terms) -> Limit:
        """The lowest value of a weighted sum, never too high. [kg]"""
        cost = [0.0] * len(self.domains)
        for unknown, count in terms:
            cost[unknown] = float(count)
        found = self._solve(cost)
        if found.status != 0:
            return None  # no lower end, or the solver gave up
        proved = self._proved(terms, found)
        value = Fraction(float(found.fun))
        widened = value - WIDEN * max(Fraction(1), abs(value))
        return widened if proved is None else max(proved, widened)

    def most(self, terms: Terms) -> Limit:
        """The highest value of a weighted sum, never too low. [kg]"""
        found = self.least(tuple((unknown, -count) for unknown, count in terms))
        return None if found is None else -found

    def _proved(self, terms: Terms, found: Any) -> Limit:
        """What the multipliers prove: c x >= y (A x) + (c - y A) x, each part at its lowest."""
        equal, sides, *_ = self._ready()
        multipliers: dict[int, Fraction] = {}
        for place, value in zip(equal, found.eqlin.marginals if equal else (), strict=True):
            multipliers[place] = Fraction(float(value)).limit_denominator(SIMPLE)
        for (place, sign), value in zip(sides, found.ineqlin.marginals if sides else (), strict=True):
            share = Fraction(float(value)).limit_denominator(SIMPLE) * sign
            multipliers[place] = multipliers.get(place, Fraction(0)) + share
        left: dict[int, Fraction] = dict(terms)
        total = Fraction(0)
        for place, share in multipliers.items():
            if not share:
                continue
            row = self.rows[place]
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
