"""The narrowest bounds of one node, by linear programming. Needs scipy, which is an extra.

Minimise and maximise the node's mass subject to every sum and to the limits of every figure. On a tree it
gives what the sweep gives; on a shared graph it can be narrower.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.balance.bounds import ANYTHING, Span, down, up
from handling_db.balance.equations import Network, Reading
from handling_db.errors import HandlingError

MOST_LINES = 10_000
SLACK = 1e-6  # the solver's tolerance is 1e-7; the answer is widened by more than that [kg, relative above 1]


class SolverMissingError(HandlingError):
    """The exact solver is not installed."""


class ContradictionError(HandlingError):
    """No masses fit all figures."""


@dataclass(frozen=True, slots=True)
class ExactBound:
    """The narrowest bounds of one node, widened by the solver's tolerance. [kg]"""

    low: float
    high: float


def exact_bound(network: Network, readings: Sequence[Reading], node: int) -> ExactBound:
    """Minimise and maximise one node's mass over everything that all figures allow together.

    Parameters
    ----------
    network : Network
        Up to 10 000 lines.
    readings : sequence of Reading
        Their worst-case limits are used.
    node : int

    Raises
    ------
    SolverMissingError
        scipy is not installed.
    ContradictionError
        No masses fit all figures at once.
    HandlingError
        Too many lines, or the solver gave up.
    """
    if network.size > MOST_LINES:
        raise HandlingError(
            f"{network.size} lines: the exact bounds are worked out for up to {MOST_LINES}; "
            "the sweep gives outer bounds for any number"
        )
    try:
        import numpy as np
        from scipy.optimize import linprog
        from scipy.sparse import csr_matrix
    except ImportError:
        raise SolverMissingError(
            "exact bounds need scipy, which is not here; install it with: pip install scipy"
        ) from None
    limits = _limits(network, readings)
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    number = 0
    for parent, lines in enumerate(network.lines):
        if lines:
            for column, value in ((parent, -1.0), *((child, float(q)) for child, q in lines)):
                rows.append(number)
                columns.append(column)
                values.append(value)
            number += 1
    nodes = len(network.lines)
    sums = csr_matrix((values, (rows, columns)), shape=(number, nodes)) if number else None
    right = np.zeros(number) if number else None
    found: list[float] = []
    for sign in (1.0, -1.0):
        cost = np.zeros(nodes)
        cost[node] = sign
        result = linprog(
            cost, A_eq=sums, b_eq=right, bounds=[(s[0], None if math.isinf(s[1]) else s[1]) for s in limits],
            method="highs",
        )  # fmt: skip
        if result.status == 2:
            raise ContradictionError(
                "the figures contradict one another: no masses fit all of them at once; "
                "see where the sweep finds the contradiction"
            )
        if result.status == 3 and sign < 0:
            found.append(math.inf)
        elif result.status != 0:
            raise HandlingError(f"the solver gave up: {result.message}")
        else:
            found.append(float(result.x[node]))
    low, high = found
    widen = SLACK * max(1.0, abs(low))
    return ExactBound(max(0.0, low - widen), high if math.isinf(high) else high + SLACK * max(1.0, abs(high)))


def _limits(network: Network, readings: Sequence[Reading]) -> list[Span]:
    """What each node's own figures allow together.

    Raises
    ------
    ContradictionError
        Two figures of one node have nothing in common.
    """
    limits = [ANYTHING] * len(network.lines)
    for reading in readings:
        low, high = limits[reading.node]
        low, high = max(low, down(reading.low)), min(high, up(reading.high))
        if low > high:
            raise ContradictionError(
                f"the figures of {network.names[reading.node]} contradict one another: "
                f"{reading.id} lies apart from the others"
            )
        limits[reading.node] = (low, high)
    return limits
