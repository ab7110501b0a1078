"""What is wrong with the parameters and formulas of one component, found when its record is read.

Everything a record can be asked by itself: names, units, ranges, circles, the dimension of every formula.
What a part line hands down is checked against the child when the tree is unfolded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from handling_db.families.build import BuildError, build_of
from handling_db.families.family import check_condition, check_formula, read_formula
from handling_db.families.parameter import in_range, measures, read_value
from handling_db.formulas.formula import FormulaError, check_parameter_name
from handling_db.quantities.quantity import parse_quantity
from handling_db.records.kinds.component import Component, Parameter, PartLine
from handling_db.records.kinds.material import Material
from handling_db.records.kinds.source import SourceKind
from handling_db.records.parts.measures import Measure
from handling_db.records.parts.statement import MassStatement
from handling_db.weights.formula_mass import worked_mass

Path = tuple[str | int, ...]

# Stand-ins for what stands in other files: only the geometry is looked at here.
_ANY_KIND = SourceKind.model_validate(
    {"source kind": "any", "name": "any", "rank": "1", "percent": "5", "basis": "only to try a shape"}
)


@dataclass(frozen=True, slots=True)
class RecordFault:
    """A fault of a component's record.

    Parameters
    ----------
    path : tuple of str and int
        The field, as written in the record.
    message : str
        What is wrong and what to write.
    """

    path: Path
    message: str


def component_faults(component: Component) -> tuple[RecordFault, ...]:
    """Every fault of a component's parameters, formulas, conditions, shapes and named builds.

    Costs next to nothing for a component that has none of these.
    """
    faults = list(_parameters(component))
    usable = not faults
    for index, line in enumerate(component.parts):
        faults += _line(component, line, ("parts", index))
    if component.fluid is not None and component.fluid.litres.is_formula:
        faults += _measure(component, component.fluid.litres, ("fluid", "litres"))
    for axis, value in enumerate(component.centre or ()):
        faults += _measure(component, value, ("centre", axis))
    for index, statement in enumerate(component.masses):
        if statement.worked_out:
            faults += _statement(component, statement, ("masses", index), try_it=usable)
    if usable:
        faults += _named_builds(component)
    return tuple(faults)


def _found(path: Path, check: Callable[[], object]) -> Iterator[RecordFault]:
    try:
        check()
    except (BuildError, FormulaError) as error:
        yield RecordFault(path, str(error))


def _parameters(component: Component) -> Iterator[RecordFault]:
    """Names, units, readable values and formulas; then circles and the default build."""
    faults: list[RecordFault] = []
    for name, parameter in component.parameters.items():
        path: Path = ("parameters", name)
        faults += _found(path, lambda name=name: check_parameter_name(name))  # type: ignore[misc]
        unit = list(
            _found((*path, "unit"), lambda name=name, parameter=parameter: measures(name, parameter))  # type: ignore[misc]
        )
        faults += unit or _figures(component, name, parameter, path)
    if not faults and component.parameters:
        faults += _found(("parameters",), lambda: build_of(component))
    yield from faults


def _figures(component: Component, name: str, parameter: Parameter, path: Path) -> Iterator[RecordFault]:
    faults: list[RecordFault] = []
    for key, text in (("from", parameter.from_), ("to", parameter.to), ("step", parameter.step)):
        if text is not None:
            faults += _found((*path, key), lambda text=text: read_value(name, parameter, text))  # type: ignore[misc]
    yield from faults
    if parameter.formula is not None:
        formula, measured = parameter.formula, measures(name, parameter)
        try:
            used = read_formula(formula).names
        except FormulaError as error:
            yield RecordFault((*path, "formula"), f"{formula!r}: {error}")
            return
        bad_unit = any(
            other in component.parameters
            and list(_found((), lambda other=other: measures(other, component.parameters[other])))  # type: ignore[misc]
            for other in used
        )
        if not bad_unit:
            yield from _found(
                (*path, "formula"), lambda: check_formula(formula, measured, component.parameters)
            )
    elif parameter.default is not None and not faults:
        default = parameter.default
        yield from _found(
            (*path, "default"), lambda: in_range(name, parameter, read_value(name, parameter, default))
        )


def _measure(component: Component, value: Measure | None, path: Path) -> Iterator[RecordFault]:
    if value is not None and value.is_formula:
        yield from _found(path, lambda: check_formula(value.text, value.dimension, component.parameters))


def _line(component: Component, line: PartLine, path: Path) -> Iterator[RecordFault]:
    yield from _measure(component, line.quantity, (*path, "quantity"))
    if line.only_when is not None:
        condition = line.only_when
        yield from _found((*path, "only when"), lambda: check_condition(condition, component.parameters))
    for axis, value in enumerate(line.at or ()):
        yield from _measure(component, value, (*path, "at", axis))
    turns = [((*path, "turned"), line.turned)]
    for number, place in enumerate(line.places or ()):
        for axis, value in enumerate(place.at):
            yield from _measure(component, value, (*path, "places", number, "at", axis))
        turns.append(((*path, "places", number, "turned"), place.turned))
    for where, turned in turns:
        if turned is not None:
            for name in ("roll", "pitch", "yaw"):
                yield from _measure(component, getattr(turned, name), (*where, name))


def _statement(
    component: Component, statement: MassStatement, path: Path, *, try_it: bool
) -> Iterator[RecordFault]:
    """A formula's dimension, or the figures of a shape; then the default build, to find what cannot be."""
    if statement.formula is not None:
        formula = statement.formula
        faults = list(
            _found((*path, "formula"), lambda: check_formula(formula, "mass", component.parameters))
        )
        inside: Path = (*path, "formula")
        materials: dict[str, Material] = {}
    else:
        from handling_db.families.shape_text import material_names, shape_faults

        inside = (*path, "shape")
        faults = [
            RecordFault((*inside, *at), message)
            for at, message in shape_faults(statement.shape, component.parameters)
        ]
        materials = {name: _stand_in(name) for name in material_names(statement.shape)}
    yield from faults
    if try_it and not faults:
        values = dict(build_of(component))
        yield from _found(inside, lambda: worked_mass(statement, component, values, _ANY_KIND, materials))


def _stand_in(name: str) -> Material:
    density = parse_quantity("1 kg/L", "density")
    return Material.model_construct(material=name, name=name, density=density, basis="only to try a shape")


def _named_builds(component: Component) -> Iterator[RecordFault]:
    for index, build in enumerate(component.builds):
        path: Path = ("builds", index, "set")
        faults: list[RecordFault] = []
        given = {}
        for name, text in build.set.items():
            parameter = component.parameters.get(name)
            if parameter is None:
                known = ", ".join(component.parameters) or "none"
                faults.append(
                    RecordFault((*path, name), f"there is no parameter {name!r} to set; there are: {known}")
                )
                continue
            try:
                given[name] = read_value(name, parameter, text)
            except BuildError as error:
                faults.append(RecordFault((*path, name), str(error)))
        if not faults:
            faults += _found(path, lambda given=given: build_of(component, given))  # type: ignore[misc]
        yield from faults
