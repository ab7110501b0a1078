"""What an unknown member of a family may weigh, from members that are known.

A straight line or a power law through at least four known members, with the range in which one more member
is expected. It is a hint of low rank: the fit knows nothing of a redesign between two sizes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from handling_db.errors import HandlingError
from handling_db.quantities.student import t_quantile

Law: TypeAlias = Literal["straight line", "power law"]

FEWEST = 4
"""Known members needed: the line uses up two, and less than two degrees of freedom say nothing."""
REACH = 0.25
"""How far outside the known range an estimate may lie, as a share of it; common practice, no source."""
WIDENING = 2.0
"""What the range is multiplied by when it does; common practice, no source."""


class FittingError(HandlingError, ValueError):
    """No estimate can be given; the message says why."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """What one more member is expected to weigh.

    Parameters
    ----------
    x : float
        Where it was asked for, in the unit of the known members.
    best, low, high : float
        Best figure and the range. [kg]
    within : float
        Share of such members expected inside the range, if the law holds.
    widened : bool
        It lies outside the known members, so the range was doubled.
    remarks : tuple of str
        What to know before it is used.
    """

    x: float
    best: float
    low: float
    high: float
    within: float
    widened: bool
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """A law through known members: mass = a + b x, or mass = e^a x^b.

    Parameters
    ----------
    law : str
        ``straight line`` or ``power law``.
    a, b : float
        Intercept and slope, of the logarithms for a power law.
    count : int
        Known members.
    smallest, largest : float
        Range of x they cover.
    middle, spread : float
        Mean of x and sum of squared differences from it (of ln x for a power law).
    scatter : float
        Residual standard deviation (of ln mass for a power law). [kg or 1]
    """

    law: Law
    a: float
    b: float
    count: int
    smallest: float
    largest: float
    middle: float
    spread: float
    scatter: float

    def estimate(self, x: float, within: float = 0.95) -> Estimate:
        """Estimate one more member.

        Parameters
        ----------
        x : float
            In the unit of the known members.
        within : float
            Share of such members that the range should hold.

        Returns
        -------
        Estimate
            best ± t s sqrt(1 + 1/n + (x - mean)² / Sxx), with Student's t for n - 2 degrees of freedom [1].

        Raises
        ------
        FittingError
            More than a quarter of the known range outside it, or a mass that is not above zero.

        References
        ----------
        .. [1] N. R. Draper, H. Smith, "Applied Regression Analysis", 3rd ed., Wiley, 1998, section 3.1
           (section number from memory; the formula is checked against statsmodels in the tests).
        """
        place = self._place(x)
        outside = self._outside(place)
        if outside > REACH:
            raise FittingError(
                f"{x:g} is too far outside the known members, {self.smallest:g} to {self.largest:g}; "
                "weigh one, or find a known member nearer to it"
            )
        t = t_quantile(within, self.count - 2)
        away = (place - self.middle) ** 2 / self.spread
        half = t * self.scatter * math.sqrt(1 + 1 / self.count + away)
        remarks = [f"{self.law} through {self.count} known members; their own doubt is not in it"]
        if outside > 0:
            half *= WIDENING
            remarks.append(
                f"{x:g} lies outside the known members, {self.smallest:g} to {self.largest:g}: range doubled"
            )
        if self.scatter == 0:
            remarks.append("the known members lie exactly on the law, which real weighings never do")
        middle = self.a + self.b * place
        best, low, high = middle, middle - half, middle + half
        if self.law == "power law":
            if high > 50 or low < -50:
                raise FittingError("the known members scatter so much that they say nothing; weigh one")
            best, low, high = (math.exp(figure) for figure in (best, low, high))
        if best <= 0:
            raise FittingError(
                f"the line gives {best:.3g} kg at {x:g}, which no part weighs; try a power law"
            )
        if low <= 0:
            low = 0.0
            remarks.append("the range reaches down to nothing: the known members say little here")
        return Estimate(x, best, low, high, within, outside > 0, tuple(remarks))

    def _place(self, x: float) -> float:
        if not math.isfinite(x):
            raise FittingError(f"{x} is not a figure to estimate at")
        if self.law == "straight line":
            return x
        if x <= 0:
            raise FittingError(f"a power law needs a figure above zero, not {x:g}")
        return math.log(x)

    def _outside(self, place: float) -> float:
        """How far a place lies outside the known range, as a share of it; zero inside."""
        ends = [self.smallest, self.largest]
        low, high = ends if self.law == "straight line" else [math.log(end) for end in ends]
        return max(low - place, place - high, 0.0) / (high - low)


def fit(known: Sequence[tuple[float, float]], law: Law = "power law") -> Fit:
    """Put a law through known members by least squares.

    Parameters
    ----------
    known : sequence of (x, mass)
        x in any one unit, mass above zero. [any, kg]
    law : str
        ``power law`` (least squares of logarithms) or ``straight line``.

    Returns
    -------
    Fit
        Ask it for an estimate.

    Raises
    ------
    FittingError
        Fewer than four members or fewer than three different x, or figures the law cannot take.

    Examples
    --------
    >>> line = fit([(6, 38.6), (8, 41.7), (10, 44.7), (12, 47.8)], "straight line")
    >>> round(line.estimate(9).best, 1)
    43.2
    """
    if law not in ("power law", "straight line"):
        raise FittingError(f"{law!r} is not a law here; write 'power law' or 'straight line'")
    if len(known) < FEWEST:
        raise FittingError(f"{len(known)} known members are too few; an estimate needs at least {FEWEST}")
    for x, mass in known:
        if not (math.isfinite(x) and math.isfinite(mass) and mass > 0):
            raise FittingError(f"a known member at {x:g} weighs {mass:g} kg; masses must be above zero")
        if law == "power law" and x <= 0:
            raise FittingError(f"a power law needs figures above zero, and one known member is at {x:g}")
    if len({x for x, _ in known}) < 3:
        raise FittingError("the known members are of fewer than three different sizes; that shows no trend")
    power = law == "power law"
    xs = [math.log(x) if power else float(x) for x, _ in known]
    ys = [math.log(mass) if power else float(mass) for _, mass in known]
    n = len(known)
    x_mean, y_mean = math.fsum(xs) / n, math.fsum(ys) / n
    spread = math.fsum((x - x_mean) ** 2 for x in xs)
    if spread <= 1e-18 * max(abs(x) for x in xs) ** 2:
        raise FittingError("the known members are all but of one size; that shows no trend")
    b = math.fsum((x - x_mean) * (y - y_mean) for x, y in zip(xs, ys, strict=True)) / spread
    a = y_mean - b * x_mean
    left = math.fsum((y - a - b * x) ** 2 for x, y in zip(xs, ys, strict=True))
    sizes = [float(x) for x, _ in known]
    return Fit(law, a, b, n, min(sizes), max(sizes), x_mean, spread, math.sqrt(left / (n - 2)))
