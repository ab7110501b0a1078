"""What the calculations of moving and setting down share: checks of what is given, cautions, constants.

Source: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m and g = 9.80665 m/s2 are exact by definition
(NIST SP 811, Guide for the Use of the SI, Appendix B).
"""

from __future__ import annotations

import math

from handling_db.errors import HandlingError
from handling_db.quantities.notice import Notice

KG_PER_LB = 0.45359237
M_PER_FT = 0.3048
GRAVITY = 9.80665

PERSON_DECIDES = Notice("person decides")
SANITY = Notice("sanity figure")  # by a rule of moment, not off a plate
PLATE_GOVERNS = Notice("plate governs")


class MovingInputError(HandlingError, ValueError):
    """A figure that a move needs is missing or cannot be one; the message says what to give."""


class NotRecordedError(MovingInputError):
    """Something without which nothing can be worked out is not recorded."""

    def __init__(self, name: str, give: str) -> None:
        self.name = name
        super().__init__(f"{name} is not recorded: give {give}. Nothing is assumed in its place.")


def given(name: str, value: float | None, give: str, *, zero: bool = False, signed: bool = False) -> float:
    """Return a figure that must be there, or say what to give.

    Parameters
    ----------
    name : str
        What the figure is called in messages.
    value : float or None
        The figure in any unit; None means not recorded.
    give : str
        What to give, with its unit: ends the sentence of the error.
    zero : bool
        Zero is a possible value.
    signed : bool
        Negative values are possible (and zero with them).

    Returns
    -------
    float
        The figure as given.

    Raises
    ------
    NotRecordedError
        The value is None.
    MovingInputError
        The value is not finite, negative, or zero where that cannot be.
    """
    if value is None:
        raise NotRecordedError(name, give)
    if not math.isfinite(value):
        raise MovingInputError(f"{name} is {value}, which is not a figure: give {give}.")
    if not signed and (value < 0 or (value == 0 and not zero)):
        rule = "zero or more" if zero else "above zero"
        raise MovingInputError(f"{name} is {plain(value)}; it has to be {rule}: give {give}.")
    return value


def optional(name: str, value: float | None, give: str, *, zero: bool = False) -> float | None:
    """Check a figure that may be missing: None stays None, anything else must be a figure.

    Parameters and errors as in `given`.
    """
    return None if value is None else given(name, value, give, zero=zero)


def interval(
    name: str, low: float | None, high: float | None, *, unit: str = "kg"
) -> tuple[float, float | None]:
    """Check a low and a high figure of one thing.

    Parameters
    ----------
    name : str
        What it is, for messages.
    low : float or None
        Lowest believable figure; None counts as zero, the lowest a mass can be.
    high : float or None
        Highest believable figure; None: no upper figure.
    unit : str
        Unit, for messages only.

    Returns
    -------
    tuple of float and (float or None)
        Low and high.

    Raises
    ------
    MovingInputError
        A figure is negative or not finite, or low is above high.
    """
    lowest = 0.0 if low is None else given(f"the low figure of {name}", low, f"it in {unit}", zero=True)
    if high is not None:
        given(f"the high figure of {name}", high, f"it in {unit}", zero=True)
        if lowest > high:
            raise MovingInputError(
                f"{name}: the low figure {plain(lowest)} {unit} is above the high {plain(high)} {unit}; "
                "give them the other way round or correct them."
            )
    return lowest, high


def plain(value: float) -> str:
    """Write a figure with at most three decimals and no trailing zeros, for sentences."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def mm(length: float) -> str:
    """Write a length as millimetres for sentences.

    Parameters
    ----------
    length : float
        Length. [m]

    Returns
    -------
    str
        Such as "600 mm", to the nearest millimetre.
    """
    return f"{plain(round(length * 1000.0, 0))} mm"
