"""Limits of the normal and the chi-square distribution, without a statistics library."""

from __future__ import annotations

import math
from collections.abc import Callable

from handling_db.errors import HandlingError


def normal_limit_outside(outside: float) -> float:
    """The z that is overstepped to either side by a share, however small, such as 1e-6."""
    _share(outside)
    return _rising(lambda z: -math.erfc(z / math.sqrt(2)), -outside)


def chi_square_above(value: float, freedom: int) -> float:
    """Share of a chi-square distribution that lies above a value.

    The upper incomplete gamma function Q(freedom / 2, value / 2) ([1] 26.4.19): by its series ([1] 6.5.29)
    where the value is small, by its continued fraction ([1] 6.5.31) elsewhere.

    References
    ----------
    .. [1] M. Abramowitz, I. A. Stegun (eds), "Handbook of Mathematical Functions", National Bureau of
       Standards, 1964 (equation numbers from memory; values checked against scipy and printed tables).
    """
    if freedom < 1:
        raise HandlingError(f"{freedom} degrees of freedom: at least 1 is needed")
    if value <= 0:
        return 1.0
    a, x = freedom / 2, value / 2
    front = math.exp(-x + a * math.log(x) - math.lgamma(a))
    if x < a + 1:
        term = total = 1 / a
        n = a
        while abs(term) > abs(total) * 1e-17:
            n += 1
            term *= x / n
            total += term
        return max(0.0, 1 - total * front)
    tiny = 1e-300
    b = x + 1 - a
    c = 1 / tiny
    d = 1 / b
    fraction = d
    for i in range(1, 100_000):
        step = -i * (i - a)
        b += 2
        d = 1 / _not_zero(step * d + b, tiny)
        c = _not_zero(b + step / c, tiny)
        fraction *= d * c
        if abs(d * c - 1) < 1e-16:
            break
    return front * fraction


def chi_square_limit(within: float, freedom: int) -> float:
    """The value below which a share of a chi-square distribution lies.

    Examples
    --------
    >>> round(chi_square_limit(0.95, 4), 3)
    9.488
    """
    _share(within)
    return _rising(lambda value: -chi_square_above(value, freedom), -(1 - within))


def _not_zero(value: float, tiny: float) -> float:
    return value if abs(value) > tiny else tiny


def _share(value: float) -> None:
    if not 0 < value < 1:
        raise HandlingError(f"a share of {value:g} cannot be asked for; write one between 0 and 1")


def _rising(function: Callable[[float], float], wanted: float) -> float:
    """Where a rising function reaches a value above zero, by bisection."""
    low, high = 0.0, 1.0
    while function(high) < wanted:
        low, high = high, 2 * high
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if function(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2
