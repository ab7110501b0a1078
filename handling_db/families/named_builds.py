"""Builds that go by a name, and the build that a serial number has."""

from __future__ import annotations

from collections.abc import Mapping

from handling_db.families.build import BuildError, Value, build_of, read_value
from handling_db.records.kinds.component import Component, NamedBuild


def named_build(component: Component, name: str) -> dict[str, Value]:
    """The values of one named build, whatever the case of its letters.

    Raises
    ------
    BuildError
        There is none of that name; the message lists those there are.
    """
    for build in component.builds:
        if build.name.casefold() == name.strip().casefold():
            return given_values(component, build.set)
    known = ", ".join(build.name for build in component.builds) or "none"
    raise BuildError(f"{component.name} has no build called {name!r}; it has: {known}")


def build_for_serial(component: Component, serial: int) -> NamedBuild | None:
    """The named build whose serial range holds a serial number; None where no range says."""
    return next((build for build in component.builds if build.serials and build.serials.covers(serial)), None)


def given_values(component: Component, texts: Mapping[str, str], name: str | None = None) -> dict[str, Value]:
    """The values asked for: a named build, if one is named, and single parameters on top of it.

    Parameters
    ----------
    component : Component
    texts : mapping of parameter to text
        ``{"discs": "12"}``.
    name : str, optional
        Of a named build.

    Raises
    ------
    BuildError
        No such build or parameter, or a value it cannot take.
    """
    given = named_build(component, name) if name is not None else {}
    given |= _read(component, texts)
    build_of(component, given)
    return given


def _read(component: Component, texts: Mapping[str, str]) -> dict[str, Value]:
    given: dict[str, Value] = {}
    for name, text in texts.items():
        parameter = component.parameters.get(name)
        if parameter is None:
            known = ", ".join(component.parameters) or "none"
            raise BuildError(f"{component.name} has no parameter {name!r}; it has: {known}")
        given[name] = read_value(name, parameter, text)
    return given
