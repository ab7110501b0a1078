"""One parameter of a family: its values as text, in base units, and as the formula language sees them.

A value is a number in base units (a plain number, kg, m, L, deg, kg/L) or the text of a choice. The
formula language has Pint's quantities; the change is made here and nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from handling_db.errors import HandlingError, UnitError
from handling_db.formulas.figures import Figure, figure, measured_in, unknown, what_of
from handling_db.formulas.formula import Choices
from handling_db.quantities.quantity import find_unit, parse_quantity
from handling_db.records.kinds.component import Parameter

Value = Fraction | str

# The base unit of a record for what a parameter or a formula measures.
BASES: Mapping[str, str] = MappingProxyType(
    {"count": "", "mass": "kg", "length": "m", "volume": "L", "angle": "deg", "density": "kg/L"}
)

_PLAIN = re.compile(r"[+-]?(\d{1,18}(\.\d{0,18})?|\.\d{1,18})", re.ASCII)


class BuildError(HandlingError):
    """A parameter has no such value, or a formula cannot be worked out with it."""


def measures(name: str, parameter: Parameter) -> str:
    """What a parameter measures: ``count`` for a plain number, else ``length``, ``mass`` and so on.

    Raises
    ------
    BuildError
        Its unit is not known.
    """
    if parameter.unit == "each":
        return "count"
    try:
        return find_unit(parameter.unit).dimension
    except UnitError as error:
        raise BuildError(f"{name}: {error}") from None


def choice_values(name: str, parameter: Parameter) -> tuple[Value, ...]:
    """The choices of a parameter: numbers in base units if all of them are numbers, else their texts."""
    choices = parameter.choices or ()
    try:
        read = [_plain_value(name, parameter, text.strip()) for text in choices]
    except BuildError:
        return choices
    return tuple(read) if all(isinstance(value, Fraction) for value in read) else choices


def is_word(name: str, parameter: Parameter) -> bool:
    """Whether a parameter's values are words, not numbers: a brake is there or not."""
    return any(isinstance(value, str) for value in choice_values(name, parameter))


def read_value(name: str, parameter: Parameter, text: str) -> Value:
    """Read a parameter's value from text: a number, a number with a unit (in base units), or a choice.

    Raises
    ------
    BuildError
        Not a value of this parameter; the message says what to write.
    """
    shown = text.strip()
    if parameter.choices is not None:
        values = choice_values(name, parameter)
        if shown in parameter.choices:
            return values[parameter.choices.index(shown)]
        if isinstance(values[0] if values else "", Fraction):
            try:
                value = _plain_value(name, parameter, shown)
            except BuildError:
                value = shown
            if value in values:
                return value
        raise BuildError(f"{name} = {shown!r} is not a choice; write one of: {', '.join(parameter.choices)}")
    value = _plain_value(name, parameter, shown)
    if isinstance(value, str):
        raise BuildError(f"{name} = {shown!r} is not a number")
    return value


def _plain_value(name: str, parameter: Parameter, shown: str) -> Value:
    """A number in base units, or the text itself where a parameter without a unit has a word."""
    plain = Fraction(shown) if _PLAIN.fullmatch(shown) else None
    if parameter.unit == "each":
        return shown if plain is None else plain
    try:
        unit = find_unit(parameter.unit)
        if plain is not None:
            return plain * unit.factor
        negative = unit.dimension in ("length", "angle")
        return parse_quantity(shown, unit.dimension, negative=negative).base
    except UnitError as error:
        raise BuildError(f"{name} = {shown!r}: {error}") from None


def in_range(name: str, parameter: Parameter, value: Value) -> Value:
    """The value itself, if it lies in the parameter's range and on its steps.

    Raises
    ------
    BuildError
        Out of range; the message says the range.
    """
    if parameter.choices is not None:
        if value not in choice_values(name, parameter):
            shown = value_text(parameter, value)
            told = ", ".join(parameter.choices)
            raise BuildError(f"{name} = {shown!r} is not a choice; write one of: {told}")
        return value
    if isinstance(value, str):
        raise BuildError(f"{name} = {value!r} is not a number")
    low = read_value(name, parameter, parameter.from_) if parameter.from_ else None
    high = read_value(name, parameter, parameter.to) if parameter.to else None
    outside = (isinstance(low, Fraction) and value < low) or (isinstance(high, Fraction) and value > high)
    step = read_value(name, parameter, parameter.step) if parameter.step else None
    start = low if isinstance(low, Fraction) else Fraction(0)
    off_step = isinstance(step, Fraction) and step > 0 and (value - start) % step != 0
    if outside or off_step:
        raise BuildError(
            f"{name} = {value_text(parameter, value)} is out of range: it goes {range_text(parameter)}"
        )
    return value


def range_text(parameter: Parameter) -> str:
    """``from 4 to 12 in steps of 1``."""
    steps = f" in steps of {parameter.step}" if parameter.step else ""
    return f"from {parameter.from_ or 'any'} to {parameter.to or 'any'}{steps}"


def value_text(parameter: Parameter, value: Value) -> str:
    """A value in the parameter's own unit: ``8`` or ``620 mm``."""
    if isinstance(value, str):
        return value
    if parameter.unit == "each":
        return _plain(value)
    try:
        unit = find_unit(parameter.unit)
    except UnitError:
        return _plain(value)
    return f"{_plain(value / unit.factor)} {unit.name}"


def _plain(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.6g}"


def kind_in_formulas(name: str, parameter: Parameter) -> Figure | Choices:
    """What a parameter is to the formula language: a figure without a number, or the words it may be.

    Raises
    ------
    BuildError
        Its unit is not known.
    """
    if parameter.choices is not None and is_word(name, parameter):
        return Choices(parameter.choices)
    return unknown(BASES[measures(name, parameter)])


def to_formula(name: str, parameter: Parameter | None, value: Value) -> Figure | str:
    """A value as the formula language has it; a plain number where no parameter says otherwise."""
    if isinstance(value, str):
        return value
    return figure(value, BASES[measures(name, parameter)] if parameter else "")


def from_formula(found: Figure, wanted: str) -> Fraction:
    """A worked-out figure in base units of the records (L and kg/L for volumes and densities).

    Parameters
    ----------
    found : Figure
    wanted : str
        What it must measure, as `measures` names it.

    Raises
    ------
    BuildError
        It measures something else; the message names both.
    """
    number = measured_in(found, BASES[wanted])
    if number is None:
        raise BuildError(f"{what_of(found)}; it must be {what_of(unknown(BASES[wanted]))}")
    return number
