"""The law of propagation of uncertainty, with correlations."""

from __future__ import annotations

import math
from collections.abc import Sequence

from handling_db.errors import HandlingError

Rows = Sequence[Sequence[float]]


def joint_variance(slopes: Sequence[float], covariance: Rows, others: Sequence[float] | None = None) -> float:
    """Variance of a result, or covariance of two results, from the covariances of what goes into them.

    Parameters
    ----------
    slopes : sequence of float
        How much the result moves with each input: its partial derivatives.
    covariance : square rows of float
        Variances of the inputs on the diagonal, covariances beside it.
    others : sequence of float, optional
        Of a second result from the same inputs.

    Returns
    -------
    float
        Sum over all pairs of slope times slope times covariance ([1] 5.2.2 equation 13; of two results
        H.2.3).

    References
    ----------
    .. [1] JCGM 100:2008, "Guide to the expression of uncertainty in measurement" (equation numbers from
       memory; its example H.2 is reproduced in the tests).
    """
    second = slopes if others is None else others
    return math.fsum(
        one * other * covariance[i][j] for i, one in enumerate(slopes) for j, other in enumerate(second)
    )


def means_read_together(series: Sequence[Sequence[float]]) -> tuple[list[float], list[list[float]]]:
    """Means of quantities read several times at the same moments, and the covariances of these means.

    Parameters
    ----------
    series : sequence of sequences of float
        One for each quantity, equally long, at least two readings each.

    Returns
    -------
    means, covariance
        By [1] equations 3 and 17.

    Raises
    ------
    HandlingError
        Fewer than two readings, or of different number.

    References
    ----------
    .. [1] JCGM 100:2008, 4.2.1 and 5.2.3 (equation numbers from memory).
    """
    lengths = {len(readings) for readings in series}
    if len(lengths) != 1 or min(lengths) < 2:
        raise HandlingError("readings taken together must be equally many, and at least two of each")
    n = lengths.pop()
    means = [math.fsum(readings) / n for readings in series]
    off = [[value - mean for value in readings] for readings, mean in zip(series, means, strict=True)]
    covariance = [
        [math.fsum(a * b for a, b in zip(one, other, strict=True)) / (n * (n - 1)) for other in off]
        for one in off
    ]
    return means, covariance
