"""What is asked of a mover, hoist, gear or fixture beside what it is rated for: figures, no permission."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handling_db.carrying.checks import MovingInputError, given, interval, optional, plain
from handling_db.quantities.notice import Notice

Word = Literal["above", "may be above", "below", "not known"]


def compare(low: float | None, high: float | None, limit: float | None) -> Word:
    """Compare a mass with doubt against a limit.

    A figure that only just reaches the limit is "may be above": no mass is known that exactly.

    Parameters
    ----------
    low : float or None
        Lowest believable figure, or the known part of an "at least" figure; None: nothing known. [kg]
    high : float or None
        Highest believable figure; None: there is none, a part is not known. [kg]
    limit : float or None
        The limit; None: not stated. [kg]

    Returns
    -------
    str
        "above": even the low figure is over the limit. "may be above": the limit lies between low and high,
        both included. "below": even the high figure is under it. "not known": nothing can be said.

    Raises
    ------
    MovingInputError
        A figure is negative, not finite, or low is above high; or the limit is not above zero.

    Examples
    --------
    >>> compare(25.5, 25.7, 25.0)
    'above'
    >>> compare(24.9, 25.1, 25.0)
    'may be above'
    >>> compare(19.0, None, 25.0)
    'not known'
    """
    lowest, highest = interval("the mass", low, high)
    if optional("the limit", limit, "the limit in kg, or nothing where none is stated") is None:
        return "not known"
    assert limit is not None
    if lowest > limit:
        return "above"
    if highest is None:
        return "not known"
    return "may be above" if highest >= limit else "below"


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What one lift or move asks for. [kg]"""

    name: str
    low_kg: float | None  # lowest believable, or the known part of an "at least" figure
    high_kg: float | None  # heaviest believable; None while a part is not known
    missing: tuple[str, ...] = ()  # what is not in the figure because nobody knows it


@dataclass(frozen=True, slots=True)
class RatingBeside:
    """A demand beside one rating. [kg]

    Parameters
    ----------
    what : str
        The mover, gear or fixture, as the person knows it.
    word : str
        above, may be above, below, not known: of the demand against the rating.
    percent : float or None
        Of the rating; of the "at least" figure where there is no upper one.
    left_kg : float or None
        Negative: short by so much.
    """

    what: str
    low_kg: float | None
    high_kg: float | None
    rating_kg: float | None
    word: Word
    percent: float | None
    percent_at_least: bool
    left_kg: float | None
    note: Notice | None = None
    cautions: tuple[Notice, ...] = ()


def against_rating(
    demand: Demand, name: str, rating_kg: float | None, note: Notice | None = None
) -> RatingBeside:
    """Put a demand beside one rating.

    Parameters
    ----------
    demand : Demand
        Low and high figure, and what is missing from them. [kg]
    name : str
        The mover, gear or fixture, as the person knows it.
    rating_kg : float or None
        What it is rated for in this use; None: not recorded. [kg]
    note : Notice, optional
        What was recorded beside the rating, or what the demand is made of.

    Returns
    -------
    RatingBeside
        Word, percentage, what is left over or short, cautions.

    Raises
    ------
    MovingInputError
        A figure cannot be one, or the demand names something missing and still has a high figure.
    """
    if demand.missing and demand.high_kg is not None:
        raise MovingInputError(
            f"{demand.name}: {', '.join(demand.missing)} is not known, so there is no highest figure; "
            "leave the high figure out, or give a high figure that includes it and name nothing as missing."
        )
    word = compare(demand.low_kg, demand.high_kg, rating_kg)
    figure = demand.low_kg if demand.high_kg is None else demand.high_kg
    percent = None if rating_kg is None or figure is None else 100.0 * figure / rating_kg
    left = None if rating_kg is None or demand.high_kg is None else rating_kg - demand.high_kg
    cautions: list[Notice] = []
    if rating_kg is None:
        cautions.append(Notice("no rating", {"name": name}))
    if demand.high_kg is None:
        missing = demand.missing or ("nothing says what",)
        cautions.append(Notice("no upper figure", {"name": demand.name, "missing": missing}))
    if word == "may be above":
        cautions.append(Notice("doubt reaches", {"name": name}))
    at_least = demand.high_kg is None
    low, high = demand.low_kg, demand.high_kg
    return RatingBeside(name, low, high, rating_kg, word, percent, at_least, left, note, tuple(cautions))


def with_allowance(demand: Demand, fraction: float, why: str) -> Demand:
    """Raise a demand by an allowance, such as for breaking a joint loose.

    Holding force is not a mass; the allowance says what hook reading the shop lets itself go to.

    Parameters
    ----------
    demand : Demand
        What hangs there when free. [kg]
    fraction : float
        Allowance as a part of the demand; 0.10 is ten percent. [-]
    why : str
        What the allowance is for, in words; goes into the name.

    Returns
    -------
    Demand
        Low and high figure times (1 + fraction); what is missing stays missing.

    Raises
    ------
    MovingInputError
        The fraction is negative or not a figure.

    Examples
    --------
    >>> round(with_allowance(Demand(name="half", low_kg=400, high_kg=462.8), 0.10, "break-loose").high_kg, 2)
    509.08
    """
    given("the allowance", fraction, "a part of the mass such as 0.10, or 0", zero=True)
    factor = 1.0 + fraction
    return Demand(
        name=f"{demand.name}, with {plain(100.0 * fraction)} % for {why}",
        low_kg=None if demand.low_kg is None else demand.low_kg * factor,
        high_kg=None if demand.high_kg is None else demand.high_kg * factor,
        missing=demand.missing,
    )
