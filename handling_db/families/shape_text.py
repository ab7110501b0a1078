"""Shapes as records write them: lengths as text with a unit or as formulas, densities by material.

``{tube: {outside: 290 mm, inside: 268 mm, length: length}, density: steel, fill: 0.65}`` becomes the
description in metres that `shape_specs.shape_from` takes. What is not known here passes through as it
stands, so that one place alone words the faults of a description.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, TypeAlias

from handling_db.errors import UnitError
from handling_db.families.family import Parameters, check_formula, work_out
from handling_db.families.parameter import BuildError, Value
from handling_db.families.shape_table import NOT_LENGTHS, SHAPES
from handling_db.quantities.quantity import parse_quantity
from handling_db.records.kinds.material import Material
from handling_db.records.parts.measures import looks_like_formula

Path: TypeAlias = tuple[str | int, ...]
Figure: TypeAlias = Callable[[Path, str, str], Any]
"""Turns one text into a figure: where it stands, the text, what it measures."""

_NEGATIVE = ("length", "angle")


def convert_shape(written: Any, figure: Figure, path: Path = ()) -> Any:
    """The description with every text replaced by what `figure` makes of it.

    Parameters
    ----------
    written : mapping
        As in a record: texts, lists and mappings.
    figure : callable
        Called with the path, the text, and ``length``, ``angle``, ``count``, ``thread`` or ``density``.
    path : tuple
        Where the description stands.
    """
    if not isinstance(written, Mapping):
        return written
    made: dict[str, Any] = {}
    for key, value in written.items():
        here = (*path, key)
        if key == "sum":
            made[key] = _several(value, figure, here)
        elif key == "difference" and isinstance(value, Mapping):
            made[key] = {
                inner: convert_shape(part, figure, (*here, inner))
                if inner == "from"
                else _several(part, figure, (*here, inner))
                for inner, part in value.items()
            }
        elif key in SHAPES and isinstance(value, Mapping):
            known = (*SHAPES[key].required, *SHAPES[key].optional)
            made[key] = {
                name: _figures(text, NOT_LENGTHS.get(name, "length"), figure, (*here, name))
                if name in known
                else text
                for name, text in value.items()
            }
        elif key in ("at", "fill", "allowance", "density"):
            measures = {"at": "length", "density": "density"}.get(key, "count")
            made[key] = _figures(value, measures, figure, here)
        else:
            made[key] = value
    return made


def _several(value: Any, figure: Figure, path: Path) -> Any:
    if not isinstance(value, list | tuple):
        return value
    return [convert_shape(part, figure, (*path, i)) for i, part in enumerate(value)]


def _figures(value: Any, measures: str, figure: Figure, path: Path) -> Any:
    """One figure, or a list of them."""
    if isinstance(value, list | tuple):
        return [
            figure((*path, i), text, measures) if isinstance(text, str) else text
            for i, text in enumerate(value)
        ]
    return figure(path, value, measures) if isinstance(value, str) else value


_COUNT = re.compile(r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12})", re.ASCII)


def literal(text: str, measures: str) -> Fraction | None:
    """The figure of a plain text in base units, or None where it is a formula.

    Raises
    ------
    UnitError
        Neither.
    """
    if measures == "count":
        # no exponent: 1e9999999 would be worked out digit by digit
        return Fraction(text) if _COUNT.fullmatch(text) else None
    try:
        return parse_quantity(text, measures, negative=measures in _NEGATIVE).base
    except UnitError:
        if looks_like_formula(text):
            return None
        raise


def figures_in_build(
    parameters: Parameters, values: Mapping[str, Value], materials: Mapping[str, Material]
) -> Figure:
    """What turns the texts of a shape into figures in one build: metres, radians, kg/m³.

    Raises, when called, `BuildError` with what cannot be worked out.
    """

    def figure(path: Path, text: str, measures: str) -> Any:
        shown = text.strip()
        if measures == "thread" and shown[:1] == "M" and shown not in values:
            return shown
        if measures == "density" and shown in materials:
            return [float(1000 * limit) for limit in materials[shown].limits]
        dimension = "length" if measures == "thread" else measures
        try:
            plain = literal(shown, dimension)
            found = work_out(shown, dimension, parameters, values) if plain is None else plain
        except (UnitError, BuildError) as error:
            raise BuildError(f"{field_of(path)}: {error}{_materials(measures, shown)}") from None
        if measures == "density":
            found *= 1000
        return math.radians(found) if measures == "angle" else float(found)

    return figure


def _materials(measures: str, text: str) -> str:
    if measures != "density" or any(letter.isdigit() for letter in text):
        return ""
    return f"; no material {text!r} is recorded, so write its id, or a density such as 7850 kg/m³"


def material_names(written: Any) -> tuple[str, ...]:
    """The ids of materials that a shape names, each once: densities that are no figures and no formulas."""
    names: dict[str, None] = {}

    def figure(path: Path, text: str, measures: str) -> Any:  # noqa: ARG001 - the shape of a Figure
        if measures == "density" and not is_density(text):
            names[text.strip()] = None
        return 1.0

    convert_shape(written, figure)
    return tuple(names)


def is_density(text: str) -> bool:
    """Whether a density is a figure or a formula, and not the id of a material."""
    try:
        if literal(text, "density") is not None:
            return True
    except UnitError:
        return False
    return any(sign in text for sign in "*(")


def shape_faults(written: Any, parameters: Parameters) -> tuple[tuple[Path, str], ...]:
    """What is wrong with the figures of a shape, without working anything out.

    Returns
    -------
    tuple of (path inside the shape, message)
        Material ids are not looked up: they may stand in another file.
    """
    found: list[tuple[Path, str]] = []

    def figure(path: Path, text: str, measures: str) -> Any:
        shown = text.strip()
        if measures == "thread" and shown[:1] == "M":
            return 1.0
        if measures == "density" and not is_density(shown):
            if not shown:
                found.append((path, "this is empty; write a material's id, or a density such as 7850 kg/m³"))
            return 1.0
        dimension = "length" if measures == "thread" else measures
        try:
            if literal(shown, dimension) is None:
                check_formula(shown, dimension, parameters)
        except (UnitError, BuildError) as error:
            found.append((path, str(error)))
        return 1.0

    convert_shape(written, figure)
    return tuple(found)


def field_of(path: Path) -> str:
    """``sum[0].tube.length`` for ('sum', 0, 'tube', 'length')."""
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return text.removeprefix(".")


def words_in(shape: Any) -> set[str]:
    """Every text inside a shape: the names of its materials are among them."""
    if isinstance(shape, str):
        return {shape}
    if isinstance(shape, Mapping):
        return set().union(*(words_in(value) for value in shape.values())) if shape else set()
    if isinstance(shape, list | tuple):
        return set().union(*(words_in(value) for value in shape)) if shape else set()
    return set()
