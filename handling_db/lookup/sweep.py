"""Sweeps: one component over the values of one parameter, everything else held."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from handling_db.balance.together.reach import AllEvidence, can_be
from handling_db.evidence.answer import SweepLine
from handling_db.families.build import BuildError, Value, build_of, in_range, read_value, value_text
from handling_db.families.parameter import choice_values
from handling_db.lookup.weight import refuse_broken, state_figure
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component, Parameter
from handling_db.records.parts.texts import State
from handling_db.weights.totals import Totals
from handling_db.weights.tree import unfold

MAX_ROWS = 200


@dataclass(frozen=True, slots=True)
class Held:
    """What stays the same while one parameter is gone through.

    Parameters
    ----------
    state : State
        Of the figures; there is no default state.
    given : mapping of parameter to value
        For the other parameters.
    without : ids
        Taken off, wherever they occur below.
    """

    state: State
    given: Mapping[str, Value] = field(default_factory=dict)
    without: Sequence[str] = ()


def sweep(
    collection: Collection, code: str, parameter: str, held: Held, values: Iterable[str] | None = None
) -> tuple[SweepLine, ...]:
    """The mass, its doubt and its centre over the values of one parameter.

    Parameters
    ----------
    collection : Collection
    code : str
        The component's id.
    parameter : str
        Which one to vary.
    held : Held
        Everything else.
    values : iterable of text, optional
        Such as ``["4", "8", "12"]``; otherwise every choice, or every step from its lowest to its highest.

    Returns
    -------
    tuple of SweepLine
        At most 200, in order.

    Raises
    ------
    BuildError
        No such parameter, it is worked out from others, a value is out of its range, or it has no range to
        go through.
    """
    component = collection.components[code]
    spec = component.parameters.get(parameter)
    if spec is None:
        known = ", ".join(component.parameters) or "none"
        raise BuildError(f"{component.name} has no parameter {parameter!r}; it has: {known}")
    if spec.formula is not None:
        raise BuildError(f"{parameter} is worked out from {spec.formula!r}; go through what it depends on")
    if values is None:
        wanted = _steps(parameter, spec)
    else:
        wanted = [in_range(parameter, spec, read_value(parameter, spec, text)) for text in values]
    if len(wanted) > MAX_ROWS:
        raise BuildError(
            f"{parameter} has {len(wanted)} values to go through; name at most {MAX_ROWS} of them"
        )
    rows = [replace(held, given={**held.given, parameter: value}) for value in wanted]
    asked = [(code, row.given) for row in rows if can_be(component, row.given)]
    evidence = AllEvidence(collection, asked=asked)
    return tuple(_row(evidence, component, parameter, row) for row in rows)


def _row(evidence: AllEvidence, component: Component, parameter: str, asked: Held) -> SweepLine:
    value = asked.given[parameter]
    text = value_text(component.parameters[parameter], value)
    number = float(value) if isinstance(value, Fraction) else None
    collection = evidence.judge.collection
    try:
        build = build_of(component, asked.given)
        tree = unfold(collection, [(component.id, asked.given)])
        refuse_broken(collection, tree)
    except BuildError as error:
        return SweepLine(text, number, None, str(error))
    totals = Totals(collection, tree, asked.state, frozenset(asked.without))
    faults = tuple(fault.message for fault in tree.faults)
    figure = state_figure(totals, tree.start[(component.id, build)], evidence)
    return SweepLine(text, number, figure, "", faults)


def _steps(name: str, parameter: Parameter) -> list[Value]:
    """Every choice, or every step of the range."""
    if parameter.choices is not None:
        return list(choice_values(name, parameter))
    if (
        parameter.from_ is None
        or parameter.to is None
        or (parameter.step is None and parameter.unit != "each")
    ):
        raise BuildError(f"{name} has no 'from', 'to' and 'step' to go through; name the values")
    low, high, step = (
        read_value(name, parameter, text) for text in (parameter.from_, parameter.to, parameter.step or "1")
    )
    assert isinstance(low, Fraction)  # a parameter without choices has numbers only
    assert isinstance(high, Fraction)
    assert isinstance(step, Fraction)
    number = int((high - low) // step) + 1 if step > 0 else 0
    if not 0 < number <= MAX_ROWS:
        raise BuildError(f"{name} has {max(number, 0)} steps to go through; name at most {MAX_ROWS} values")
    return [low + step * i for i in range(number)]
