"""A mass with its doubt: best, low, high, standard uncertainty, and whether anything is missing.

Adding, multiplying and subtracting are defined here and nowhere else. All figures are in kilograms.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType

_NONE: Mapping[str, Fraction] = MappingProxyType({})
_ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Mass:
    """How heavy something is, as far as anybody knows.

    Parameters
    ----------
    best, low, high : Fraction
        Best figure and worst-case limits. [kg] For an "at least" mass they cover the known part only,
        and `high` is no upper limit of the thing itself.
    variance : float
        Square of the standard uncertainty, shared doubt left out. [kg²]
    half_squared : float
        Sum of the squares of the half-widths that were added, shared doubt left out. [kg²]
    shared : mapping of str to Fraction
        Half-width that comes from an instrument's calibration, or from what all figures of one list or of one
        density may be off together: it enters once and adds directly. [kg]
    complete : bool
        False when something belonging to it has no mass: then the mass is "at least" this.
    raised : Fraction
        How far the lower limits were raised to nothing, since nothing weighs less. [kg]

    References
    ----------
    .. [1] JCGM 100:2008, "Guide to the expression of uncertainty in measurement", 5.1.2 and 5.2.2.
    """

    best: Fraction
    low: Fraction
    high: Fraction
    variance: float = 0.0
    half_squared: float = 0.0
    shared: Mapping[str, Fraction] = field(default_factory=lambda: _NONE)
    complete: bool = True
    raised: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        """Refuse limits that do not enclose the best figure."""
        if not self.low <= self.best <= self.high:
            raise ValueError(f"limits {self.low} to {self.high} kg do not enclose {self.best} kg")

    @property
    def half_width_worst(self) -> Fraction:
        """Half of the worst-case interval. [kg]"""
        return (self.high - self.low) / 2

    @property
    def half_width_rss(self) -> float:
        """Root of the sum of squared half-widths, shared doubt added directly. [kg]"""
        return math.hypot(math.sqrt(self.half_squared), *(float(v) for v in self.shared.values()))

    @property
    def u(self) -> float:
        """Standard uncertainty [1], rectangular doubts divided by the root of three. [kg]"""
        shared = (float(v) / math.sqrt(3) for v in self.shared.values())
        return math.hypot(math.sqrt(self.variance), *shared)

    def times(self, quantity: Fraction) -> Mass:
        """So many of the same thing: N times one statement is N times its doubt.

        Raises
        ------
        ValueError
            A negative quantity.
        """
        if quantity < 0:
            raise ValueError(f"a quantity cannot be negative: {quantity}")
        if quantity == 1:
            return self
        square = float(quantity) ** 2
        return Mass(
            self.best * quantity,
            self.low * quantity,
            self.high * quantity,
            self.variance * square,
            self.half_squared * square,
            {name: half * quantity for name, half in self.shared.items()} if self.shared else _NONE,
            self.complete,
            self.raised * quantity,
        )

    def at_least(self) -> Mass:
        """The same figures, marked as covering the known part only."""
        return replace(self, complete=False)

    def __add__(self, other: Mass) -> Mass:
        """Add a mass that rests on other statements; see `add_masses`."""
        return add_masses((self, other))

    def __sub__(self, other: Mass) -> Mass:
        """What is left when a piece is taken off, the doubts of both adding up.

        The shared calibration doubt of a difference cancels; the worst case does not use that.

        Raises
        ------
        ValueError
            The piece is only known as "at least": what is left would be "at most", which is no mass here.
        """
        if not other.complete:
            raise ValueError("cannot take off a mass that is only known as 'at least'")
        names = {**self.shared, **other.shared}
        return Mass(
            self.best - other.best,
            self.low - other.high,
            self.high - other.low,
            self.variance + other.variance,
            self.half_squared + other.half_squared,
            {n: abs(self.shared.get(n, Fraction(0)) - other.shared.get(n, Fraction(0))) for n in names},
            self.complete,
            self.raised,
        )


NOTHING = Mass(Fraction(0), Fraction(0), Fraction(0))


def exactly(kg: Fraction) -> Mass:
    """A mass without doubt, such as a standard's value or the mass of nothing. [kg]"""
    return Mass(kg, kg, kg)


def within(
    best: Fraction,
    below: Fraction,
    above: Fraction,
    *,
    u: float | None = None,
    shared: Mapping[str, Fraction] = _NONE,
) -> Mass:
    """A mass from one statement with its half-widths below and above.

    Parameters
    ----------
    best : Fraction
        The stated figure. [kg]
    below, above : Fraction
        How far it may be under and over, calibration doubt included. [kg]
    u : float, optional
        Standard uncertainty where the source gives it; otherwise the doubt is taken as rectangular [1]:
        half-width over the root of three.
    shared : mapping of str to Fraction, optional
        The parts of the half-width that it shares with other figures: an instrument's calibration doubt, what
        all figures of one list or of one density may be off together. [kg]

    Returns
    -------
    Mass
        The lower limit is never below zero.

    References
    ----------
    .. [1] JCGM 100:2008, 4.3.7.
    """
    common = {name: half for name, half in shared.items() if half > 0} or _NONE
    width = (below + above) / 2
    for part in common.values():
        width -= part
    half = max(float(width), 0.0)
    low = best - below
    raised = -low if low.numerator < 0 else _ZERO  # nothing weighs less than nothing
    return Mass(
        best,
        low + raised if raised else low,
        best + above,
        (half / math.sqrt(3) if u is None else u) ** 2,
        half**2,
        common,
        raised=raised,
    )


def add_masses(masses: Iterable[Mass]) -> Mass:
    """Add masses that rest on different statements.

    Worst case adds half-widths; standard uncertainties add in quadrature ([1] equation 10), except that
    one instrument's calibration doubt adds directly over everything read with it ([1] 5.2.2).

    Parameters
    ----------
    masses : iterable of Mass
        None at all gives an exact zero: the caller says whether that is meant.

    Returns
    -------
    Mass
        Complete only if every one of them is.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2 and 5.2.2.
    """
    several = [*masses]
    variance = half_squared = 0.0
    shared: dict[str, list[Fraction]] = {}
    complete = True
    for mass in several:
        variance += mass.variance
        half_squared += mass.half_squared
        complete = complete and mass.complete
        for name, half in mass.shared.items():
            shared.setdefault(name, []).append(half)
    return Mass(
        exact_sum([mass.best for mass in several]),
        exact_sum([mass.low for mass in several]),
        exact_sum([mass.high for mass in several]),
        variance,
        half_squared,
        {name: exact_sum(halves) for name, halves in shared.items()} or _NONE,
        complete,
        exact_sum([mass.raised for mass in several if mass.raised]),
    )


def exact_sum(numbers: Sequence[Fraction]) -> Fraction:
    """The sum of fractions, in whole numbers over their common denominator: reduced once and not at each."""
    if len(numbers) < 2:
        return numbers[0] if numbers else _ZERO
    common = math.lcm(*(number.denominator for number in numbers))
    return Fraction(sum(number.numerator * (common // number.denominator) for number in numbers), common)
