"""Two columns of one source, kg and lb: always one witness, never two.

Its interval is that of the column that can be the original: converted and rounded to the other's step it
gives the other. If either can be, the hull of both; if neither, the hull too, and a finding.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from handling_db.quantities.quantity import Quantity


class Original(StrEnum):
    """Which of two columns the other can have been converted from."""

    FIRST = "first"
    SECOND = "second"
    EITHER = "either"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True)
class Columns:
    """What two columns allow together.

    Parameters
    ----------
    original : Original
    best, low, high : Fraction
        Of the column that can be the original; the first column's best where either can be. [kg]
    """

    original: Original
    best: Fraction
    low: Fraction
    high: Fraction


def one_witness(first: Quantity, first_step: Fraction, second: Quantity, second_step: Fraction) -> Columns:
    """Read two columns of one source as the one witness they are.

    Parameters
    ----------
    first, second : Quantity
        The figures as printed.
    first_step, second_step : Fraction
        Their steps of rounding. [kg]

    Returns
    -------
    Columns
    """
    forward = could_be_converted(first, second, second_step)
    backward = could_be_converted(second, first, first_step)
    spans = [
        (figure.base - step / 2, figure.base + step / 2)
        for figure, step, fits in ((first, first_step, forward), (second, second_step, backward))
        if fits or forward == backward
    ]
    low, high = min(span[0] for span in spans), max(span[1] for span in spans)
    if forward == backward:
        return Columns(Original.EITHER if forward else Original.NEITHER, first.base, low, high)
    if forward:
        return Columns(Original.FIRST, first.base, low, high)
    return Columns(Original.SECOND, second.base, low, high)


def could_be_converted(original: Quantity, other: Quantity, other_step: Fraction) -> bool:
    """Whether one figure, converted and rounded to the other's step, gives the other.

    A figure that falls exactly between two steps may have gone either way.

    Parameters
    ----------
    other_step : Fraction
        Step of rounding of `other`. [kg]
    """
    return abs(original.base - other.base) <= other_step / 2
