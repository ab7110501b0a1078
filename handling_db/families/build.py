"""Builds: the values of a component's parameters, and what counts and places come to with them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from handling_db.families.family import Parameters, environment, holds, read_formula, work_out
from handling_db.families.parameter import BuildError as BuildError
from handling_db.families.parameter import Value as Value
from handling_db.families.parameter import from_formula, is_word, measures, range_text
from handling_db.families.parameter import in_range as in_range
from handling_db.families.parameter import read_value as read_value
from handling_db.families.parameter import value_text as value_text
from handling_db.formulas.formula import FormulaError
from handling_db.records.kinds.component import Component, Parameter, PartLine
from handling_db.records.last_worked import LastWorked
from handling_db.records.parts.measures import Measure, looks_like_formula

Build = tuple[tuple[str, Value], ...]

MOST_KEPT = 1024  # builds; each is asked for by every line, figure and rule about its component
_kept: LastWorked[Build] = LastWorked(MOST_KEPT)

_WHOLE = Fraction(1, 10**9)  # a count from a root or from pi this close to a whole number is one


def build_of(component: Component, given: Mapping[str, Value] | None = None) -> Build:
    """The values of all parameters of a component: the defaults, replaced by what is given.

    Parameters that are worked out from others follow, each checked against its own range.

    Raises
    ------
    BuildError
        A given name is no parameter of the component, a value is out of its range, or a value is given
        for a parameter that is worked out and comes to another one.
    """
    given = given or {}
    parameters = component.parameters
    if not parameters and not given:
        return ()
    asked = sorted(given.items())
    kept = _kept.get((parameters,), *asked)
    if kept is not None:
        return kept
    return _kept.keep(_build_of(component, given), (parameters,), *asked)


def _build_of(component: Component, given: Mapping[str, Value]) -> Build:
    parameters = component.parameters
    unknown = [name for name in given if name not in parameters]
    if unknown:
        known = ", ".join(parameters) or "none"
        raise BuildError(f"{component.name} has no parameter {unknown[0]!r}; it has: {known}")
    values: dict[str, Value] = {}
    for name, parameter in parameters.items():
        if parameter.formula is not None:
            continue
        value = given.get(name)
        if value is None:
            value = read_value(name, parameter, parameter.default or "")
        values[name] = in_range(name, parameter, value)
    for name in working_order(parameters):
        values[name] = _worked_out(name, parameters, values)
        if name in given and given[name] != values[name]:
            worked = value_text(parameters[name], values[name])
            raise BuildError(
                f"{name} is worked out from {parameters[name].formula!r} as {worked} and cannot be given; "
                "give what it depends on"
            )
    return tuple(sorted(values.items()))


def _worked_out(name: str, parameters: Parameters, values: Mapping[str, Value]) -> Fraction:
    """The value of a parameter that depends on others, refused where it leaves its range."""
    parameter = parameters[name]
    text = parameter.formula or ""
    value = work_out(text, measures(name, parameter), parameters, values)
    try:
        in_range(name, parameter, value)
    except BuildError:
        used = ", ".join(
            f"{other} = {value_text(parameters[other], values[other])}" for other in read_formula(text).names
        )
        raise BuildError(
            f"{name} = {value_text(parameter, value)} is out of range: it goes {range_text(parameter)}; "
            f"it is worked out from {text!r} with {used or 'no parameter'}"
        ) from None
    return value


def working_order(parameters: Parameters) -> tuple[str, ...]:
    """The parameters that are worked out, each after those it depends on.

    Raises
    ------
    BuildError
        They depend on each other in a circle, which is named; or a formula cannot be read.
    """
    waiting = {name: _uses(name, p.formula) for name, p in parameters.items() if p.formula is not None}
    order: list[str] = []
    while waiting:
        ready = [name for name, uses in waiting.items() if not any(used in waiting for used in uses)]
        if not ready:
            raise BuildError(f"parameters depend on each other in a circle: {_circle(waiting)}")
        for name in ready:
            order.append(name)
            del waiting[name]
    return tuple(order)


def _uses(name: str, text: str) -> tuple[str, ...]:
    try:
        return read_formula(text).names
    except FormulaError as error:
        raise BuildError(f"{name}: {text!r}: {error}") from None


def _circle(waiting: Mapping[str, tuple[str, ...]]) -> str:
    """One closed walk among parameters that wait for each other: ``a -> b -> a``."""
    walk = [next(iter(waiting))]
    while True:
        following = next(used for used in waiting[walk[-1]] if used in waiting)
        if following in walk:
            return " -> ".join([*walk[walk.index(following) :], following])
        walk.append(following)


def handed_down(
    child: Component, settings: Mapping[str, str], build: Build, parent: Component | None = None
) -> dict[str, Value]:
    """The values a part line hands to its child: a literal, or a formula over the parent's parameters.

    A name the parent has stands for the parent's value, also where the child has a choice of that name.

    Parameters
    ----------
    child : Component
    settings : mapping of the child's parameter to text
    build : Build
        Of the parent.
    parent : Component, optional
        Whose parameters say the units of its values; without it they are taken for plain numbers.

    Raises
    ------
    BuildError
        The child has no such parameter, or the value cannot be read or worked out.
    """
    if not settings:
        return {}
    values = dict(build)
    parameters = parent.parameters if parent is not None else {}
    given: dict[str, Value] = {}
    for name, text in settings.items():
        parameter = child.parameters.get(name)
        if parameter is None:
            known = ", ".join(child.parameters) or "none"
            raise BuildError(f"{child.name} has no parameter {name!r} to set; it has: {known}")
        given[name] = _handed(name, parameter, text.strip(), parameters, values)
    return given


def _handed(
    name: str, parameter: Parameter, text: str, parameters: Parameters, values: Mapping[str, Value]
) -> Value:
    """One value for a child's parameter."""
    if text not in values:
        try:
            return read_value(name, parameter, text)
        except BuildError:
            if not looks_like_formula(text):
                raise
    try:
        formula = read_formula(text)
        figure = formula.hand_down(environment(formula, parameters, values))
    except FormulaError as error:
        raise BuildError(f"{name} = {text!r} cannot be worked out: {error}{_choices(parameter)}") from None
    if isinstance(figure, str):
        if not is_word(name, parameter):
            raise BuildError(f"{name} = {text!r} is the choice {figure!r}, not a number")
        return figure
    if is_word(name, parameter):
        told = ", ".join(parameter.choices or ())
        raise BuildError(f"{name} = {text!r} is not a choice; write one of: {told}")
    wanted = measures(name, parameter)
    try:
        return from_formula(figure, wanted)
    except BuildError as error:
        raise BuildError(f"{name} = {text!r} is {error}") from None


def _choices(parameter: Parameter) -> str:
    return f"; its choices are: {', '.join(parameter.choices)}" if parameter.choices else ""


def count(measure: Measure, build: Build, parameters: Parameters | None = None) -> Fraction:
    """How many a part line lists in this build.

    Parameters
    ----------
    measure : Measure
    build : Build
    parameters : mapping of name to Parameter, optional
        Which say the units of the values; without them they are plain numbers.

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
    found = work_out(measure.text, "count", parameters, dict(build))
    nearest = Fraction(round(found))
    if abs(found - nearest) < _WHOLE:
        found = nearest
    if found < 0:
        raise BuildError(
            f"{measure.text!r} gives {float(found):g} pieces in this build; a count is not negative, "
            "so write max(0, ...) if it means none"
        )
    return found


def pieces(line: PartLine, parent: Component, build: Build, child: Component | None = None) -> Fraction:
    """How many pieces a part line puts into its parent in this build.

    A formula that counts parts or assemblies must come out whole; a set or a fluid may come in fractions,
    and a literal quantity such as 1.5 is taken as it was written.

    Returns
    -------
    Fraction
        Zero where its option is not there, or where the formula gives none.

    Raises
    ------
    BuildError
        A condition or formula cannot be worked out, or the count is negative or not whole.
    """
    if line.only_when is not None and not holds(line.only_when, parent.parameters, dict(build)):
        return Fraction(0)
    found = count(line.quantity, build, parent.parameters)
    divisible = child is None or child.kind in ("set", "fluid")
    if line.quantity.is_formula and not divisible and found.denominator != 1:
        raise BuildError(
            f"{line.quantity.text!r} gives {float(found):g} pieces in this build; "
            f"{child.name if child else line.component} comes in whole pieces only"
        )
    return found


def worked_measure(measure: Measure, build: Build, parameters: Parameters | None = None) -> Fraction:
    """A length, angle, volume or mass of a record in this build, in base units.

    Raises
    ------
    BuildError
        A formula that cannot be worked out, or is of another dimension.
    """
    base = measure.base
    return work_out(measure.text, measure.dimension, parameters, dict(build)) if base is None else base
