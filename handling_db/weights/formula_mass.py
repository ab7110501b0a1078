"""Masses that are worked out in a build: by a formula over the parameters, or from a shape and a density."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from handling_db.errors import HandlingError
from handling_db.families.family import work_out
from handling_db.families.parameter import BuildError, Value
from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.material import Material
from handling_db.records.kinds.source import SourceKind
from handling_db.records.last_worked import LastWorked
from handling_db.records.parts.measures import Percent
from handling_db.records.parts.statement import MassStatement

_GRAIN = 10**9  # a mass from a shape is kept to a millionth of a gram, so that it is the same everywhere


@dataclass(frozen=True, slots=True)
class WorkedMass:
    """A mass that was worked out in one build.

    Parameters
    ----------
    best : Fraction
        [kg]
    low, high : Fraction
        With the doubt that the way of working it out brings along; equal to `best` for a formula, whose
        doubt is stated or is that of its kind of source. [kg]
    text : str
        How it was worked out, for the reader.
    remarks : tuple of str
        What was approximated.
    """

    best: Fraction
    low: Fraction
    high: Fraction
    text: str
    remarks: tuple[str, ...] = ()


MOST_KEPT = 512  # shapes that stay weighed
_kept: LastWorked[WorkedMass] = LastWorked(MOST_KEPT)


def worked_mass(
    statement: MassStatement,
    component: Component,
    values: Mapping[str, Value],
    kind: SourceKind,
    materials: Mapping[str, Material],
) -> WorkedMass:
    """Work a statement by formula or shape out in a build.

    Parameters
    ----------
    statement : MassStatement
        Not a printed one.
    component : Component
        Whose parameters it uses.
    values : mapping of parameter to value
    kind : SourceKind
        Whose percentage is the doubt of a shape that does not say how it is made.
    materials : mapping of id to Material

    Raises
    ------
    BuildError
        It cannot be worked out in this build, or the mass is not above zero.
    """
    if statement.formula is not None:
        best = work_out(statement.formula, "mass", component.parameters, values)
        if best <= 0:
            raise BuildError(
                f"{statement.formula!r} gives {float(best):g} kg; a mass is above 0, and a part that is "
                "not there is left out by its quantity"
            )
        return WorkedMass(best, best, best, f"{_kg(best)} by its formula {statement.formula}")
    # a shape is weighed once in each build, not once for each of the trees and questions that it stands in:
    # other records that are read for another question hold the same materials
    own = (statement, component.parameters, kind, *materials.values())
    build = sorted(values.items())
    kept = _kept.get(own, *build)
    if kept is not None:
        return kept
    return _kept.keep(_from_shape(statement, component, values, kind, materials), own, *build)


def _from_shape(
    statement: MassStatement,
    component: Component,
    values: Mapping[str, Value],
    kind: SourceKind,
    materials: Mapping[str, Material],
) -> WorkedMass:
    from handling_db.families.shape_specs import shape_from
    from handling_db.families.shape_text import convert_shape, figures_in_build
    from handling_db.families.shapes import HALF_WIDTHS, weigh

    half_width = None
    if statement.made is None and kind.percent is not None:
        half_width = min(float(Fraction(kind.percent)) / 100, 0.99)
    try:
        figures = convert_shape(statement.shape, figures_in_build(component.parameters, values, materials))
        found = weigh(
            shape_from(figures), made=statement.made or next(iter(HALF_WIDTHS)), half_width=half_width
        )
    except BuildError:
        raise
    except HandlingError as error:
        raise BuildError(f"the shape cannot be worked out: {error}") from None
    best = Fraction(round(found.best * _GRAIN), _GRAIN)
    low = Fraction(math.floor(found.low * _GRAIN), _GRAIN)
    high = Fraction(math.ceil(found.high * _GRAIN), _GRAIN)
    if best <= 0:
        raise BuildError("the shape weighs nothing that can be told; check its dimensions")
    return WorkedMass(best, max(low, Fraction(0)), high, f"{_kg(best)} from its shape", found.remarks)


def _kg(mass: Fraction) -> str:
    """For the reader only: four digits, at least."""
    return f"{float(mass):.2f} kg" if mass >= 10 else f"{float(mass):.4g} kg"


def stated_half_width(doubt: Quantity | Percent | None, best: Fraction) -> Fraction | None:
    """A stated doubt as a half-width. [kg]"""
    return doubt.of(best) if isinstance(doubt, Percent) else doubt.base if doubt is not None else None
