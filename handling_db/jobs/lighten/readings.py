"""Masses that all readings allow together: one linear program over the body of evidence, in floating point.

What it gives is a point, not a limit: figures that are shown come from `balance/together`, exactly.
"""

from __future__ import annotations

import math

from handling_db.balance.together.body import EvidenceBody, Limit, Terms
from handling_db.mechanics.linear import LinearProgram


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
