"""Builds: the values of a component's parameters, and what counts and places come to with them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from handling_db.errors import HandlingError, UnitError
from handling_db.records.component import Component, Parameter
from handling_db.records.fields import Measure
from handling_db.units import UNITS, find_unit, parse_quantity

Value = Fraction | str
Build = tuple[tuple[str, Value], ...]


class BuildError(HandlingError):
    """A parameter has no such value, or a formula cannot be worked out with it."""


def build_of(component: Component, given: Mapping[str, Value] | None = None) -> Build:
    """The values of all parameters of a component: the defaults, replaced by what is given.

    Raises
    ------
    BuildError
        A given name is no parameter of the component, or a value is out of its range.
    """
    given = given or {}
    unknown = [name for name in given if name not in component.parameters]
    if unknown:
        known = ", ".join(component.parameters) or "none"
        raise BuildError(f"{component.name} has no parameter {unknown[0]!r}; it has: {known}")
    values: dict[str, Value] = {}
    for name, parameter in component.parameters.items():
        value = given.get(name)
        values[name] = (
            in_range(name, parameter, read_value(name, parameter, parameter.default))
            if (value is None)
            else in_range(name, parameter, value)
        )
    return tuple(sorted(values.items()))


def read_value(name: str, parameter: Parameter, text: str) -> Value:
    """Read a parameter's value from text: a number, a number with a unit (in base units), or a choice.

    Raises
    ------
    BuildError
        Not a value of this parameter; the message says what to write.
    """
    shown = text.strip()
    if parameter.choices is not None:
        if shown in parameter.choices:
            return _number_or_text(shown)
        raise BuildError(f"{name} = {shown!r} is not a choice; write one of: {', '.join(parameter.choices)}")
    if parameter.unit == "each":
        value = _number_or_text(shown)
        if isinstance(value, str):
            raise BuildError(f"{name} = {shown!r} is not a number")
        return value
    try:
        unit = find_unit(parameter.unit)
        plain = _number_or_text(shown)
        if isinstance(plain, Fraction):
            return plain * unit.factor
        return parse_quantity(shown, unit.dimension).base
    except UnitError as error:
        raise BuildError(f"{name} = {shown!r}: {error}") from None


def _number_or_text(text: str) -> Value:
    try:
        return Fraction(text) if len(text) <= 20 and "/" not in text and "e" not in text.lower() else text
    except ValueError:
        return text


def in_range(name: str, parameter: Parameter, value: Value) -> Value:
    """The value itself, if it lies in the parameter's range and on its steps.

    Raises
    ------
    BuildError
        Out of range; the message says the range.
    """
    if isinstance(value, str) or parameter.choices is not None:
        shown = value if isinstance(value, str) else value_text(parameter, value)
        if parameter.choices is None or shown not in parameter.choices:
            raise BuildError(f"{name} = {shown!r} is not a choice; write one of: {parameter.choices}")
        return value
    low = read_value(name, parameter, parameter.from_) if parameter.from_ else None
    high = read_value(name, parameter, parameter.to) if parameter.to else None
    outside = (isinstance(low, Fraction) and value < low) or (isinstance(high, Fraction) and value > high)
    step = read_value(name, parameter, parameter.step) if parameter.step else None
    start = low if isinstance(low, Fraction) else Fraction(0)
    off_step = isinstance(step, Fraction) and step > 0 and (value - start) % step != 0
    if outside or off_step:
        span = f"from {parameter.from_ or 'any'} to {parameter.to or 'any'}"
        steps = f" in steps of {parameter.step}" if parameter.step else ""
        raise BuildError(f"{name} = {value_text(parameter, value)} is out of range: it goes {span}{steps}")
    return value


def value_text(parameter: Parameter, value: Value) -> str:
    """A value in the parameter's own unit: ``8`` or ``620 mm``."""
    if isinstance(value, str):
        return value
    if parameter.unit == "each" or parameter.choices is not None:
        return _plain(value)
    unit = UNITS.get(parameter.unit)
    return f"{_plain(value / unit.factor)} {unit.name}" if unit else _plain(value)


def _plain(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.6g}"


def handed_down(child: Component, settings: Mapping[str, str], build: Build) -> dict[str, Value]:
    """The values a part line hands to its child: a parent's parameter by name, or a literal.

    Raises
    ------
    BuildError
        The child has no such parameter, or the value cannot be read.
    """
    values = dict(build)
    given: dict[str, Value] = {}
    for name, text in settings.items():
        parameter = child.parameters.get(name)
        if parameter is None:
            known = ", ".join(child.parameters) or "none"
            raise BuildError(f"{child.name} has no parameter {name!r} to set; it has: {known}")
        given[name] = values[text] if text in values else read_value(name, parameter, text)
    return given


def count(measure: Measure, build: Build) -> Fraction:
    """How many a part line lists in this build.

    Returns
    -------
    Fraction
        Zero where a formula says the part is absent in this build.

    Raises
    ------
    BuildError
        The formula cannot be worked out, or gives a negative count.
    """
    if measure.number is not None:
        return measure.number
    values = dict(build)
    value = values.get(measure.text.strip())
    if value is None:
        known = ", ".join(values) or "none"
        raise BuildError(f"{measure.text!r} is neither a number nor a parameter; parameters are: {known}")
    if isinstance(value, str):
        raise BuildError(f"{measure.text!r} is a choice here, not a number")
    return value
