"""Least squares on shared graphs and with shared doubts: the sums as exact constraints, solved densely.

Every figure y beyond the first of a leaf gives one constraint between figures, C y = B u, with u the masses
of the leaves nobody weighed. Projecting B out leaves constraints between figures alone [1]; what is left is
the Lagrange (KKT) system of weighted least squares, solved by Cholesky [2].
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.balance.equations import Network, Reading, by_node
from handling_db.balance.solution import UNKNOWN, AdjustedMasses, Belief
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]

MOST_LINES = 10_000
MOST_CHECKS = 2_500


def solve_graph(network: Network, readings: Sequence[Reading]) -> AdjustedMasses:
    """Adjust figures so that every sum holds, with the least sum of weighted squares.

    Parameters
    ----------
    network : Network
        Up to 10 000 lines.
    readings : sequence of Reading
        Those read on one instrument share its calibration doubt, rectangular, as one error for all.

    Raises
    ------
    HandlingError
        Too many lines, or too many figures that check one another, to be solved in reasonable time.

    References
    ----------
    .. [1] C. M. Crowe, Y. A. Garcia Campos, A. Hrymak, "Reconciliation of process flow rates by matrix
       projection", AIChE Journal 29 (1983), 881-888 (from memory).
    .. [2] S. Narasimhan, C. Jordache, "Data Reconciliation and Gross Error Detection", Gulf, 2000, chapters
       3 and 7; normalised adjustments of greatest power (from memory; results are compared with
       published figures and with statsmodels in the tests).
    """
    import numpy as np

    if network.size > MOST_LINES:
        raise HandlingError(
            f"{network.size} lines in a graph with shared parts or shared doubts: up to {MOST_LINES} are "
            "reconciled; ask about a smaller assembly"
        )
    places = by_node(readings, len(network.lines))
    leaves = [node for node in network.order if not network.lines[node]]
    column = {leaf: places[leaf][0] for leaf in leaves if places[leaf]}
    unknown = {leaf: i for i, leaf in enumerate(leaf for leaf in leaves if not places[leaf])}
    firsts = set(column.values())
    checks = [place for place in range(len(readings)) if place not in firsts]
    if len(checks) > MOST_CHECKS:
        raise HandlingError(
            f"{len(checks)} figures check one another: up to {MOST_CHECKS} are reconciled on shared graphs; "
            "ask about a smaller assembly"
        )
    rows = _rows(network, column, unknown, len(readings))
    y = np.array([float(reading.best) for reading in readings])
    c = np.zeros((len(checks), len(readings)))
    b = np.zeros((len(checks), len(unknown)))
    for row, place in enumerate(checks):
        known, b[row] = rows.of(readings[place].node)
        c[row] = -known
        c[row, place] += 1.0
    left, inverse, free = _project(b)
    g = c if left is None else left.T @ c
    variance = np.array([reading.variance for reading in readings])
    shared = _shared(readings)
    s = (g * variance) @ g.T + (g @ shared) @ (g @ shared).T
    try:
        lower = np.linalg.cholesky(s)
    except np.linalg.LinAlgError:
        raise HandlingError("two figures without any doubt check one another; give each its doubt") from None
    weights = np.linalg.solve(lower, g) if len(s) else np.zeros((0, len(readings)))
    whitened = weights @ y
    m = weights * variance + (weights @ shared) @ shared.T
    adjusted = _Adjusted(y - m.T @ whitened, variance, shared, m)
    nodes = _nodes(rows, inverse @ c, free, adjusted, len(network.lines))
    pull = weights.T @ whitened
    power = np.einsum("ij,ij->j", weights, weights)
    total = variance + np.einsum("ij,ij->i", shared, shared)
    checked = power * total > 1e-12
    gaps = tuple(
        (float(pull[i] / power[i]), float(1 / power[i])) if checked[i] else None for i in range(len(readings))
    )
    return AdjustedMasses(nodes, gaps, float(whitened @ whitened), len(s))


@dataclass(frozen=True, slots=True)
class _Rows:
    """Each node's mass as a sum over first figures of leaves, and over the leaves nobody weighed.

    Full rows for nodes with lines only; of a leaf the one column is enough.
    """

    column: Mapping[int, int]
    unknown: Mapping[int, int]
    inner: Mapping[int, int]
    on_figures: Matrix
    on_unknown: Matrix

    def of(self, node: int) -> tuple[Matrix, Matrix]:
        """The two rows of one node."""
        import numpy as np

        if node in self.inner:
            return self.on_figures[self.inner[node]], self.on_unknown[self.inner[node]]
        known, unknown = np.zeros(self.on_figures.shape[1]), np.zeros(self.on_unknown.shape[1])
        if node in self.column:
            known[self.column[node]] = 1.0
        else:
            unknown[self.unknown[node]] = 1.0
        return known, unknown


def _rows(network: Network, column: Mapping[int, int], unknown: Mapping[int, int], figures: int) -> _Rows:
    import numpy as np

    inner = {node: i for i, node in enumerate(node for node in network.order if network.lines[node])}
    on_figures = np.zeros((len(inner), figures))
    on_unknown = np.zeros((len(inner), len(unknown)))
    for node, row in inner.items():
        for child, quantity in network.lines[node]:
            count = float(quantity)
            if child in inner:
                on_figures[row] += count * on_figures[inner[child]]
                on_unknown[row] += count * on_unknown[inner[child]]
            elif child in column:
                on_figures[row, column[child]] += count
            else:
                on_unknown[row, unknown[child]] += count
    return _Rows(column, unknown, inner, on_figures, on_unknown)


def _project(b: Matrix) -> tuple[Matrix | None, Matrix, Matrix]:
    """What b cannot reach (None: all), its inverse as far as there is one, and what it does not determine."""
    import numpy as np

    if b.shape[0] == 0 or b.shape[1] == 0:
        return None, np.zeros((b.shape[1], b.shape[0])), np.eye(b.shape[1])
    left, sizes, right = np.linalg.svd(b)
    rank = int((sizes > max(b.shape) * np.finfo(float).eps * max(sizes[0], 1e-300)).sum())
    inverse = (right[:rank].T / sizes[:rank]) @ left[:, :rank].T
    return left[:, rank:], inverse, right[rank:].T


def _shared(readings: Sequence[Reading]) -> Matrix:
    """One column an instrument: how its calibration error, at one standard uncertainty, moves each figure."""
    import numpy as np

    names = sorted({name for reading in readings for name in reading.shared})
    found = np.zeros((len(readings), len(names)))
    for place, reading in enumerate(readings):
        for name, half in reading.shared.items():
            found[place, names.index(name)] = float(half) / np.sqrt(3.0)  # rectangular
    return found


@dataclass(frozen=True, slots=True)
class _Adjusted:
    """The adjusted figures with their covariance: diagonal plus shared shared' less m' m."""

    means: Matrix
    variance: Matrix
    shared: Matrix
    m: Matrix

    def of(self, rows: Matrix) -> tuple[Matrix, Matrix]:
        """Means and variances of sums of adjusted figures, one sum a row."""
        spread = (rows**2) @ self.variance + ((rows @ self.shared) ** 2).sum(axis=1)
        return rows @ self.means, spread - ((rows @ self.m.T) ** 2).sum(axis=1)


def _nodes(rows: _Rows, solve: Matrix, free: Matrix, adjusted: _Adjusted, nodes: int) -> tuple[Belief, ...]:
    """Mean and variance of every node that the figures determine."""
    import numpy as np

    found = [UNKNOWN] * nodes

    def note(which: Sequence[int], on_unknown: Matrix, means: Matrix, spread: Matrix) -> None:
        determined = np.abs(on_unknown @ free).max(axis=1, initial=0.0) < 1e-9
        for node, known, mean, variance in zip(which, determined, means, spread, strict=True):
            if known:
                found[node] = (float(mean), max(float(variance), 0.0))

    inner = list(rows.inner)
    for start in range(0, len(inner), 512):  # by blocks: the whole would be one more matrix of that size
        block = slice(start, start + 512)
        on_unknown = rows.on_unknown[block]
        note(inner[block], on_unknown, *adjusted.of(rows.on_figures[block] + on_unknown @ solve))
    if rows.unknown:
        note(list(rows.unknown), np.eye(len(rows.unknown)), *adjusted.of(solve))
    whole = adjusted.variance + (adjusted.shared**2).sum(axis=1) - (adjusted.m**2).sum(axis=0)
    for node, place in rows.column.items():
        found[node] = (float(adjusted.means[place]), max(float(whole[place]), 0.0))
    return tuple(found)
