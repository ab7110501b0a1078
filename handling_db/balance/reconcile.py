"""All figures adjusted together so that every sum holds, and which of them is likely to be wrong.

An answer for people who keep the data: it proposes and changes nothing. The adjusted masses are never handed
upward, and no lift is planned with them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

from handling_db.balance.equations import Network, Reading
from handling_db.balance.reconcile_graph import solve_graph
from handling_db.balance.reconcile_tree import solve_tree
from handling_db.errors import HandlingError

SIGNIFICANCE = 0.05
MOST_CAUSES = 24  # set aside one after the other; of more errors the collection says little
_ALIKE = 1e-6  # adjustments this close, relative, cannot be told apart


@dataclass(frozen=True, slots=True)
class Estimate:
    """The adjusted mass of one node; None for both where the figures do not determine it. [kg]"""

    best: float | None
    u: float | None


@dataclass(frozen=True, slots=True)
class Adjusted:
    """One figure and how far it was moved.

    Parameters
    ----------
    reading : Reading
    adjusted : float
        [kg]
    adjustment : float
        Adjusted less read. [kg]
    others : (float, float) or None
        What all other figures say this one should be, and the standard uncertainty of that; None where they
        say nothing. [kg]
    normalised : float or None
        The gap to what the others say, over its standard uncertainty; None where nothing checks the figure.
    beyond : bool
        Further than chance allows at the stated significance.
    """

    reading: Reading
    adjusted: float
    adjustment: float
    others: tuple[float, float] | None
    normalised: float | None
    beyond: bool


@dataclass(frozen=True, slots=True)
class Reconciliation:
    """Adjusted masses and what the tests say.

    Parameters
    ----------
    estimates : tuple of Estimate
        By node of the network.
    figures : tuple of Adjusted
        In the order of the readings.
    statistic, limit : float
        Sum of squared adjustments over variances, and what it exceeds by chance in a share `significance`
        of cases; the limit is 0 where nothing checks anything.
    freedom : int
        How many independent checks there are.
    each_limit : float
        The same for one figure's normalised adjustment, allowing for how many there are.
    significance : float
    suspects : tuple of str
        Ids of the figures most likely wrong: those furthest out, if that is further than chance allows.
        Several where they cannot be told apart, as all are on a single sum.
    tree : bool
        Solved by messages along a tree; otherwise by matrices.
    causes : tuple of tuple of str
        What is most likely wrong where several figures are: the suspects; then, one of them set aside, those
        of what is left, and so on until nothing stands out. Of each group one is wrong, and nothing here
        tells which; of several errors under one sum only the group shows.
    """

    estimates: tuple[Estimate, ...]
    figures: tuple[Adjusted, ...]
    statistic: float
    freedom: int
    limit: float
    each_limit: float
    significance: float
    suspects: tuple[str, ...]
    tree: bool
    causes: tuple[tuple[str, ...], ...] = ()

    @property
    def beyond(self) -> bool:
        """Whether all figures together are further apart than chance allows."""
        return self.freedom > 0 and self.statistic > self.limit


def reconcile(
    network: Network, readings: Sequence[Reading], *, significance: float = SIGNIFICANCE
) -> Reconciliation:
    """Adjust every figure by weighted least squares with the sums as exact constraints, and test the result.

    The global test compares the statistic with the chi-square limit ([1] chapter 7; [2]). The test of each
    figure compares its normalised adjustment with a normal limit at the level 1 - (1 - significance)^(1/n),
    n the number of figures that are checked, so that with no error anywhere at most about the stated share
    of collections names anything ([3]).

    Parameters
    ----------
    network : Network
    readings : sequence of Reading
        Their standard uncertainties are used, as if normal; worst-case limits are not.
    significance : float
        Share of false alarms allowed, 0.0001 to 0.5.

    Returns
    -------
    Reconciliation
        On a tree with independent figures of any size; otherwise up to 10 000 lines.

    Raises
    ------
    HandlingError
        The significance is out of range, or a shared graph is too large.

    References
    ----------
    .. [1] S. Narasimhan, C. Jordache, "Data Reconciliation and Gross Error Detection", Gulf, 2000.
    .. [2] P. M. Reilly, R. E. Carpani, "Application of statistical theory of adjustment to material
       balances", 13th Canadian Chemical Engineering Conference, 1963.
    .. [3] R. S. H. Mah, A. C. Tamhane, "Detection of gross errors in process data", AIChE Journal 28 (1982),
       828-830. All three cited from memory; figures of [1] are checked in the tests.
    """
    if not 0.0001 <= significance <= 0.5:
        raise HandlingError(f"a significance of {significance:g} makes no sense; write 0.0001 to 0.5")
    found = _adjusted(network, readings, significance)
    causes: list[tuple[str, ...]] = []
    left, now = list(readings), found
    while now.suspects and len(causes) < MOST_CAUSES:
        causes.append(now.suspects)
        # Any of them: what cannot be told apart frees the same sum, whichever is set aside.
        left.remove(next(one for one in left if one.id == now.suspects[0]))
        now = _adjusted(network, left, significance)
    return replace(found, causes=tuple(causes))


def _adjusted(network: Network, readings: Sequence[Reading], significance: float) -> Reconciliation:
    """All figures adjusted, with the first of the causes."""
    tree = network.is_forest and not any(reading.shared for reading in readings)
    solved = (solve_tree if tree else solve_graph)(network, readings)
    checked = sum(gap is not None for gap in solved.gaps)
    each_limit = (
        normal_limit_outside(-math.expm1(math.log1p(-significance) / checked)) if checked else math.inf
    )
    figures: list[Adjusted] = []
    for reading, gap in zip(readings, solved.gaps, strict=True):
        mean = solved.nodes[reading.node][0]
        read = float(reading.best)
        if gap is None:
            figures.append(Adjusted(reading, mean, mean - read, None, None, False))
            continue
        normalised = gap[0] / math.sqrt(gap[1])
        u = math.sqrt(max(gap[1] - reading.total_variance, 0.0))
        others = read - gap[0], u
        figures.append(Adjusted(reading, mean, mean - read, others, normalised, abs(normalised) > each_limit))
    return Reconciliation(
        tuple(
            Estimate(None, None) if math.isinf(v) else Estimate(mean, math.sqrt(v))
            for mean, v in solved.nodes
        ),
        tuple(figures),
        solved.statistic,
        solved.freedom,
        chi_square_limit(1 - significance, solved.freedom) if solved.freedom else 0.0,
        each_limit,
        significance,
        _suspects(figures),
        tree,
    )


def _suspects(figures: Sequence[Adjusted]) -> tuple[str, ...]:
    """The figures furthest out, where that is further than chance allows."""
    sizes = [
        (abs(one.normalised), one.reading.id) for one in figures if one.normalised is not None and one.beyond
    ]
    if not sizes:
        return ()
    furthest = max(size for size, _ in sizes)
    return tuple(name for size, name in sizes if size >= furthest * (1 - _ALIKE))


def normal_limit_outside(outside: float) -> float:
    """The z that is overstepped to either side by a share, however small, such as 1e-6."""
    return -NormalDist().inv_cdf(_share(outside) / 2)


def chi_square_limit(within: float, freedom: int) -> float:
    """The value below which a share of a chi-square distribution lies.

    Examples
    --------
    >>> round(chi_square_limit(0.95, 4), 3)
    9.488
    """
    from scipy.special import chdtri  # a quarter of a second, which no other answer waits for

    return float(chdtri(freedom, 1 - _share(within)))


def _share(value: float) -> float:
    if not 0 < value < 1:
        raise HandlingError(f"a share of {value:g} cannot be asked for; write one between 0 and 1")
    return value
