"""What a formula calculates with: numbers that carry a dimension, and nothing that can run away.

A value stays an exact fraction as long as the operations allow; a root, pi or an over-long fraction
makes it a float. Base units: kg, m (so m³ for volumes and kg/m³ for densities), s and deg.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from handling_db.errors import HandlingError

Dimension: TypeAlias = tuple[int, int, int, int]
"""Exponents over mass, length, time and angle."""

NUMBER: Dimension = (0, 0, 0, 0)
MASS: Dimension = (1, 0, 0, 0)
LENGTH: Dimension = (0, 1, 0, 0)
AREA: Dimension = (0, 2, 0, 0)
VOLUME: Dimension = (0, 3, 0, 0)
DENSITY: Dimension = (1, -3, 0, 0)
TIME: Dimension = (0, 0, 1, 0)
ANGLE: Dimension = (0, 0, 0, 1)

_NAMES: dict[Dimension, str] = {
    NUMBER: "a plain number",
    MASS: "a mass",
    LENGTH: "a length",
    AREA: "an area",
    VOLUME: "a volume",
    DENSITY: "a density",
    TIME: "a time",
    ANGLE: "an angle",
    (1, -1, 0, 0): "a mass per length",
    (1, -2, 0, 0): "a mass per area",
    (0, -1, 0, 0): "one over a length",
    (-1, 0, 0, 0): "one over a mass",
}
_BASES = ("mass", "length", "time", "angle")

MAX_POWER = 12  # of one base in a dimension
MAX_SIZE = Fraction(10**60)
MIN_SIZE = 1 / MAX_SIZE
MAX_BITS = 1024  # of a numerator or denominator; a longer fraction goes on as a float


class FormulaError(HandlingError, ValueError):
    """A formula cannot be read or worked out.

    Parameters
    ----------
    message : str
        What is wrong and what to write.
    column : int, optional
        Where in the text, counted from 1.
    """

    def __init__(self, message: str, column: int | None = None) -> None:
        self.message = message
        self.column = column
        super().__init__(message if column is None else f"column {column}: {message}")


def name_dimension(dimension: Dimension) -> str:
    """Name a dimension in words, such as "a length" or "mass^2 length^-1"."""
    known = _NAMES.get(dimension)
    if known is not None:
        return known
    powers = zip(_BASES, dimension, strict=True)
    return " ".join(base if power == 1 else f"{base}^{power}" for base, power in powers if power)


def combine_dimensions(left: Dimension, right: Dimension, sign: int) -> Dimension:
    """Add (product, sign 1) or subtract (quotient, sign -1) the exponents of two dimensions.

    Raises
    ------
    FormulaError
        An exponent leaves the range of -12 to 12.
    """
    made = (
        left[0] + sign * right[0],
        left[1] + sign * right[1],
        left[2] + sign * right[2],
        left[3] + sign * right[3],
    )
    return _within_powers(made)


def raise_dimension(dimension: Dimension, exponent: int) -> Dimension:
    """Multiply the exponents of a dimension: a length to the power 3 is a volume."""
    m, n, t, a = dimension
    return _within_powers((m * exponent, n * exponent, t * exponent, a * exponent))


def root_dimension(dimension: Dimension) -> Dimension:
    """Halve the exponents of a dimension: the root of an area is a length.

    Raises
    ------
    FormulaError
        An exponent is odd: a length has no square root that means anything.
    """
    if any(power % 2 for power in dimension):
        raise FormulaError(
            f"sqrt of {name_dimension(dimension)} means nothing; give it an area or a plain number"
        )
    m, n, t, a = dimension
    return (m // 2, n // 2, t // 2, a // 2)


def _within_powers(dimension: Dimension) -> Dimension:
    if any(abs(power) > MAX_POWER for power in dimension):
        raise FormulaError(f"the dimension grows beyond a power of {MAX_POWER}; use smaller exponents")
    return dimension


@dataclass(frozen=True, slots=True)
class Value:
    """A number with its dimension.

    Parameters
    ----------
    number : Fraction or float
        In base units (kg, m, s, deg). Exact while it is a Fraction.
    dimension : tuple of int
        Exponents over mass, length, time and angle.

    Raises
    ------
    FormulaError
        Not finite, larger than 1e60, or smaller than 1e-60 and not zero.
    """

    number: Fraction | float
    dimension: Dimension = NUMBER

    def __post_init__(self) -> None:
        """Refuse what no weight needs, so that nothing can grow without end."""
        number = self.number
        if isinstance(number, float) and not math.isfinite(number):
            raise FormulaError("the result is not a finite number; check the figures put in")
        if number != 0 and not MIN_SIZE <= _size(number) <= MAX_SIZE:
            raise FormulaError("the result is beyond what this calculates (1e-60 to 1e60); check the figures")
        if isinstance(number, Fraction) and _bits(number) > MAX_BITS:
            object.__setattr__(self, "number", float(number))

    @property
    def exact(self) -> bool:
        """Whether no rounding has happened on the way."""
        return isinstance(self.number, Fraction)

    def __str__(self) -> str:
        units = zip(("kg", "m", "s", "deg"), self.dimension, strict=True)
        unit = " ".join(name if power == 1 else f"{name}^{power}" for name, power in units if power)
        return f"{float(self.number):.10g} {unit}".rstrip()


def _size(number: Fraction | float) -> Fraction | float:
    return -number if number < 0 else number


def _bits(number: Fraction) -> int:
    return max(number.numerator.bit_length(), number.denominator.bit_length())


def same_dimension(left: Dimension, right: Dimension, doing: str) -> Dimension:
    """The common dimension of two values.

    Parameters
    ----------
    left, right : Dimension
        Of the two values.
    doing : str
        What is attempted, such as "cannot add".

    Raises
    ------
    FormulaError
        They differ; the sentence names both.
    """
    if left == right:
        return left
    advice = ""
    if NUMBER in (left, right):
        other = right if left == NUMBER else left
        unit = {MASS: "kg", LENGTH: "mm", VOLUME: "L", ANGLE: "deg"}.get(other)
        advice = f"; give the plain number a unit, such as 5*{unit}" if unit else "; check the units"
    raise FormulaError(f"{doing} {name_dimension(left)} and {name_dimension(right)}{advice}")


def add(left: Value, right: Value, sign: int = 1) -> Value:
    """Add, or with sign -1 subtract, two values of one dimension."""
    doing = "cannot add" if sign > 0 else "cannot subtract between"
    dimension = same_dimension(left.dimension, right.dimension, doing)
    return Value(left.number + sign * right.number, dimension)


def multiply(left: Value, right: Value) -> Value:
    """Multiply two values."""
    dimension = combine_dimensions(left.dimension, right.dimension, 1)
    return Value(left.number * right.number, dimension)


def divide(left: Value, right: Value) -> Value:
    """Divide two values.

    Raises
    ------
    FormulaError
        The divisor is zero.
    """
    if right.number == 0:
        raise FormulaError("this divides by zero; check the figures, or guard the case with when(...)")
    dimension = combine_dimensions(left.dimension, right.dimension, -1)
    return Value(left.number / right.number, dimension)


def power(base: Value, exponent: int) -> Value:
    """Raise a value to a small whole exponent."""
    if base.number == 0 and exponent < 0:
        raise FormulaError("this raises zero to a negative power, which divides by zero")
    size = _size(base.number)
    # Looked at before it is worked out: a float overflow raises, and a long fraction costs time.
    if size and abs(exponent * math.log10(size)) > 61:
        raise FormulaError("the result is beyond what this calculates (1e-60 to 1e60); check the figures")
    number: Fraction | float = base.number**exponent
    return Value(number, raise_dimension(base.dimension, exponent))


def root(value: Value) -> Value:
    """Square root, as a float.

    Raises
    ------
    FormulaError
        Negative, or of a dimension whose root means nothing.
    """
    if value.number < 0:
        raise FormulaError("this takes the square root of a negative number; check the figures")
    return Value(math.sqrt(value.number), root_dimension(value.dimension))


def negate(value: Value) -> Value:
    """The value with its sign turned."""
    return Value(-value.number, value.dimension)
