"""A sweep as a plain answer, and what can be set on a component."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from handling_db.evidence.answer import BuildChoice, Selector, SweepAnswer
from handling_db.families.build import Value, build_of, value_text
from handling_db.families.parameter import choice_values, is_word, range_text
from handling_db.lookup.sweep import Held, sweep
from handling_db.lookup.weight import parameter_values
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component


def sweep_answer(
    collection: Collection, code: str, parameter: str, held: Held, values: Iterable[str] | None = None
) -> SweepAnswer:
    """The mass of a component over the values of one parameter, everything else held.

    Parameters and errors are those of `sweep`.
    """
    rows = sweep(collection, code, parameter, held, values)
    component = collection.components[code]
    spec = component.parameters[parameter]
    others = {name: value for name, value in held.given.items() if name != parameter}
    others_held = tuple(
        value
        for value in parameter_values(collection, code, build_of(component, others))
        if value.name != parameter and component.parameters[value.name].formula is None
    )
    return SweepAnswer(
        code,
        component.name,
        parameter,
        "" if is_word(parameter, spec) else spec.unit,
        spec.meaning or "",
        held.state,
        others_held,
        rows,
    )


def builds_to_choose(component: Component) -> tuple[BuildChoice, ...]:
    """The named builds of a component, in the order of the record."""
    return tuple(
        BuildChoice(
            build.name,
            ", ".join(f"{name} {value}" for name, value in build.set.items()),
            build.serials.in_words() if build.serials else "",
        )
        for build in component.builds
    )


def selectors(component: Component, given: Mapping[str, Value] | None = None) -> tuple[Selector, ...]:
    """The parameters of a component that can be set, with their values in a build.

    Raises
    ------
    BuildError
        A value that cannot be.
    """
    build = dict(build_of(component, given))
    found = []
    for name, spec in component.parameters.items():
        if spec.formula is not None:
            continue
        choices = tuple(value_text(spec, value) for value in choice_values(name, spec))
        unit = "" if is_word(name, spec) else spec.unit
        told = "" if choices or (spec.from_ is None and spec.to is None) else range_text(spec)
        found.append(Selector(name, unit, spec.meaning or "", value_text(spec, build[name]), choices, told))
    return tuple(found)
