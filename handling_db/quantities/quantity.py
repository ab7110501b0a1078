"""Text to exact quantity, by an anchored grammar and a closed table of units.

Nothing here guesses. A text that could mean two things is refused with advice on what to write. The
table of exact factors is the truth; Pint's registry is generated from it and never sees a user's text.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from handling_db.errors import UnitError
from handling_db.quantities.number_text import FRACTION, NUMBER, read_number, refuse_odd_tail
from handling_db.quantities.table import (
    ADVICE,
    FOLDED,
    FOLDED_ADVICE,
    SPELLINGS,
    UNITS,
    MeasureUnit,
)

MAX_TEXT = 60  # forty characters of a figure, as tables may hold, a space and a unit

_EXAMPLES = {
    "mass": "'840.0 lb' or '381 kg'",
    "length": "'320 mm' or '12 1/2 in'",
    "volume": "'24 L' or '6 US gal'",
    "angle": "'90 deg'",
    "density": "'0.87 kg/L' or '7850 kg/m³'",
}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A figure as it was written, and what it is exactly.

    Parameters
    ----------
    text : str
        As written, trimmed: ``"1,830 lb"``.
    number : Fraction
        The figure in `unit`.
    unit : MeasureUnit
        From the closed table.
    step : Fraction
        The step of rounding that the digits suggest, in `unit`; an assumption, not a statement.
    """

    text: str
    number: Fraction
    unit: MeasureUnit
    step: Fraction
    base: Fraction = field(init=False, repr=False, compare=False)
    """The value in base units: kg, m, L, deg or kg/L, worked out once."""

    def __post_init__(self) -> None:
        """Work the value in base units out."""
        object.__setattr__(self, "base", self.number * self.unit.factor)

    @property
    def step_base(self) -> Fraction:
        """The assumed step of rounding in base units."""
        return self.step * self.unit.factor

    def to(self, unit: MeasureUnit) -> Fraction:
        """The exact value in another unit of the same dimension.

        Raises
        ------
        UnitError
            The units measure different things.
        """
        return convert(self.number, self.unit, unit)

    def __str__(self) -> str:
        return self.text


def convert(number: Fraction, unit: MeasureUnit, into: MeasureUnit) -> Fraction:
    """Convert exactly between two units of one dimension.

    Raises
    ------
    UnitError
        The units measure different things.

    Examples
    --------
    >>> convert(Fraction(1), UNITS["short ton"], LB)
    Fraction(2000, 1)
    """
    if unit.dimension != into.dimension:
        raise UnitError(f"{unit.name} is a {unit.dimension}, {into.name} a {into.dimension}")
    return number * unit.factor / into.factor


def find_unit(text: str, dimension: str | None = None) -> MeasureUnit:
    """Look a unit up by a spelling that can only mean one thing.

    Raises
    ------
    UnitError
        Unknown, ambiguous, or of another dimension; the message says what to write.
    """
    name = " ".join(text.split())
    advice = ADVICE.get(name) or FOLDED_ADVICE.get(name.lower())
    if advice is not None:
        raise UnitError(advice)
    spelled = SPELLINGS.get(name) or FOLDED.get(name.lower())
    if spelled is None:
        raise UnitError(f"the unit {name!r} is not known here{_known(dimension)}")
    unit = UNITS[spelled]
    if dimension is not None and unit.dimension != dimension:
        raise UnitError(f"{name} is a {unit.dimension}, not a {dimension}{_known(dimension)}")
    return unit


def _known(dimension: str | None) -> str:
    if dimension is None:
        return ""
    names = ", ".join(unit.name for unit in UNITS.values() if unit.dimension == dimension)
    return f"; write one of: {names}"


@lru_cache(maxsize=8192)  # one text stands in many records and is read with each of its uses
def parse_quantity(text: str, dimension: str, *, negative: bool = False) -> Quantity:
    """Read a number and a unit, exactly.

    Parameters
    ----------
    text : str
        Such as ``1,830 lb``, ``12 1/2 in`` or ``840.0 lb``; at most 60 characters.
    dimension : str
        ``mass``, ``length``, ``volume``, ``angle`` or ``density``.
    negative : bool
        Whether a minus sign may stand in front (places and angles).

    Returns
    -------
    Quantity
        Text, exact number, unit and the step of rounding its digits suggest.

    Raises
    ------
    UnitError
        With what is wrong and what to write.
    """
    shown = text.strip()
    example = f"write a number and a unit, such as {_EXAMPLES[dimension]}"
    if len(text) > MAX_TEXT:
        raise UnitError(f"this is longer than {MAX_TEXT} characters; {example}")
    if not shown.replace("\N{NO-BREAK SPACE}", " ").isprintable():
        raise UnitError(f"{shown!r} has a line break or a control character in it; {example}")
    match = FRACTION.match(shown) or NUMBER.match(shown)
    if match is None:
        raise UnitError(f"{shown!r} does not start with a plain number; {example}")
    refuse_odd_tail(shown, shown[match.end() :], example)
    unit_text = shown[match.end() :].strip()
    if not unit_text:
        raise UnitError(f"{shown!r} has no unit; {example}")
    try:
        unit = find_unit(unit_text, dimension)
    except UnitError as error:
        raise UnitError(f"{shown!r}: {error}") from None
    number, step = read_number(match.groupdict(), shown)
    if match["sign"]:
        if not negative:
            raise UnitError(f"{shown!r}: a {dimension} cannot be negative; write it without the sign")
        number = -number
    return Quantity(shown, number, unit, step)


def parse_mass(text: str) -> Quantity:
    """Read a mass; see `parse_quantity`."""
    return parse_quantity(text, "mass")


def parse_length(text: str, *, negative: bool = False) -> Quantity:
    """Read a length; see `parse_quantity`."""
    return parse_quantity(text, "length", negative=negative)


def parse_angle(text: str) -> Quantity:
    """Read an angle, which may be negative; see `parse_quantity`."""
    return parse_quantity(text, "angle", negative=True)
