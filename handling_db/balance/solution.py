"""What an adjustment by least squares gives, before anything is judged; and how two beliefs are joined."""

from __future__ import annotations

import math
from dataclasses import dataclass

Belief = tuple[float, float]
"""Mean and variance [kg, kg²]; an infinite variance says that nothing is known."""

UNKNOWN: Belief = (0.0, math.inf)


@dataclass(frozen=True, slots=True)
class AdjustedMasses:
    """The adjusted masses, and what the others say about each figure.

    Parameters
    ----------
    nodes : tuple of Belief
        By node; infinite variance where the figures do not determine it. [kg, kg²]
    gaps : tuple of (float, float) or None
        By reading: the figure less what all others say about it, and the variance of that difference; None
        where nothing else says anything about it, or it has no doubt at all: no oil weighs nothing.
        [kg, kg²]
    statistic : float
        Sum of squared adjustments over their variances.
    freedom : int
        How many independent checks the figures make of one another.
    """

    nodes: tuple[Belief, ...]
    gaps: tuple[tuple[float, float] | None, ...]
    statistic: float
    freedom: int


def join(one: Belief, other: Belief) -> Belief:
    """Two independent beliefs about one mass, weighted by their variances.

    References
    ----------
    .. [1] S. Narasimhan, C. Jordache, "Data Reconciliation and Gross Error Detection", Gulf, 2000, chapter
       3: weighted least squares (from memory; compared with dense solutions in the tests).
    """
    if math.isinf(one[1]):
        return other
    if math.isinf(other[1]) or one[1] == 0.0:
        return one
    share = one[1] / (one[1] + other[1])
    return one[0] + (other[0] - one[0]) * share, other[1] * share
