"""Masses that all readings allow together: one linear program over the body of evidence, in floating point.

What it gives is a point, not a limit: figures that are shown come from `balance/together`, exactly.
"""

from __future__ import annotations

from typing import Any

from handling_db.balance.together.body import EvidenceBody, Terms


class Readings:
    """The rows of a body of evidence without contradictions, made ready for several questions.

    Parameters
    ----------
    body : EvidenceBody
    """

    def __init__(self, body: EvidenceBody) -> None:
        self._bounds = [
            (None if low is None else float(low), None if high is None else float(high))
            for low, high in body.domains
        ]
        rows = body.rows()
        equal = [row for row in rows if row.low is not None and row.low == row.high]
        ends = [
            (row, sign, end)
            for row in rows
            if row.low is None or row.low != row.high
            for sign, end in ((1, row.high), (-1, row.low))
            if end is not None
        ]
        self._equal = self._sparse([(row.terms, 1) for row in equal])
        self._equals = [float(row.low or 0) for row in equal] or None
        self._upper = self._sparse([(row.terms, sign) for row, sign, _ in ends])
        self._ends = [sign * float(end) for _, sign, end in ends] or None

    def _sparse(self, signed: list[tuple[Terms, int]]) -> Any:
        from scipy.sparse import csr_matrix

        if not signed:
            return None
        place = [(r, u, float(m) * s) for r, (terms, s) in enumerate(signed) for u, m in terms]
        r, c, v = ([entry[i] for entry in place] for i in range(3))
        return csr_matrix((v, (r, c)), shape=(len(signed), len(self._bounds)))

    def heaviest(self, terms: Terms) -> list[float] | None:
        """By unknown, values all true together with which a sum is as heavy as it can be; None: unbounded."""
        import numpy as np
        from scipy.optimize import linprog

        cost = np.zeros(len(self._bounds))
        for unknown, many in terms:
            cost[unknown] = -float(many)
        found = linprog(
            cost, A_ub=self._upper, b_ub=self._ends, A_eq=self._equal, b_eq=self._equals, bounds=self._bounds
        )
        return [float(value) for value in found.x] if found.status == 0 else None
