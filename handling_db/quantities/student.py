"""Student's t for a whole number of degrees of freedom, without a statistics library."""

from __future__ import annotations

import math

from handling_db.errors import HandlingError

MAX_FREEDOM = 10_000


def t_within(t: float, freedom: int) -> float:
    """Probability that Student's t lies between -t and t.

    Parameters
    ----------
    t : float
        Not negative.
    freedom : int
        Degrees of freedom, 1 to 10 000.

    Returns
    -------
    float
        By the finite series [1] 26.7.3 for odd and 26.7.4 for even degrees of freedom.

    References
    ----------
    .. [1] M. Abramowitz, I. A. Stegun (eds), "Handbook of Mathematical Functions", National Bureau of
       Standards, 1964, 26.7.3 and 26.7.4 (from memory; checked against tables and scipy in the tests).

    Examples
    --------
    >>> round(t_within(4.302653, 2), 6)
    0.95
    """
    if not 1 <= freedom <= MAX_FREEDOM:
        raise HandlingError(f"{freedom} degrees of freedom: 1 to {MAX_FREEDOM} can be calculated with")
    theta = math.atan(t / math.sqrt(freedom))
    sin, cos = math.sin(theta), math.cos(theta)
    odd = freedom % 2
    term = cos if odd else 1.0
    terms = [term] if freedom > 1 else []
    for k in range(3 if odd else 2, freedom - 1, 2):
        term *= cos * cos * (k - 1) / k
        terms.append(term)
    total = sin * math.fsum(terms)
    return 2 / math.pi * (theta + total) if odd else total


def t_quantile(within: float, freedom: int) -> float:
    """The t between whose negative and positive a share of all values lies, by bisection.

    Parameters
    ----------
    within : float
        Such as 0.95, above 0 and at most 0.9999.
    freedom : int
        Degrees of freedom, 1 to 10 000.

    Raises
    ------
    HandlingError
        Outside those limits.

    Examples
    --------
    >>> round(t_quantile(0.95, 10), 3)
    2.228
    """
    if not 0 < within <= 0.9999:
        raise HandlingError(f"a share of {within:g} cannot be asked for; write one above 0 and up to 0.9999")
    low, high = 0.0, 1.0
    while t_within(high, freedom) < within:
        low, high = high, 2 * high
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if t_within(middle, freedom) < within:
            low = middle
        else:
            high = middle
    return (low + high) / 2
