"""The law of propagation of uncertainty, with correlations."""

from __future__ import annotations

import math
from collections.abc import Sequence

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
