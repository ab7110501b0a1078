"""What one source says one component weighs: printed, by a formula or by its shape; never edited."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import model_validator

from handling_db.quantities.quantity import Quantity
from handling_db.records.parts.common import Serials
from handling_db.records.parts.measures import MassOrPercent, MassText
from handling_db.records.parts.texts import (
    Counts,
    Date,
    Id,
    Line,
    Part,
    State,
    Text,
    Together,
    Without,
    id_within,
)


class AlsoPrinted(Part):
    """A second column of the same source: the same figure in another unit."""

    printed: MassText
    """the figure in the other unit"""
    step: MassText | None = None
    """to what it was rounded"""


class DerivedFrom(Part):
    """Where a figure came from, when it is not a witness of its own."""

    how: Literal["converted", "copied", "summed", "inferred"]
    """`converted`, `copied`, `summed` or `inferred`"""
    from_: tuple[Id, ...]
    """ids of the statements or weighings it came from; a list"""


class Boundary(Part):
    """What a stated mass counts and does not count; known only when both are said."""

    counts: Counts = None
    """`as listed`, or a list of ids: what the figure counts"""
    without: Without = None
    """`none`, or a list of ids: what the figure leaves out; both are needed to check a whole"""
    checked_by: Line | None = None
    """whose role looked that nothing is left out, for every `none`"""

    @model_validator(mode="after")
    def _none_needs_a_name(self) -> Boundary:
        if self.without == "none" and self.checked_by is None:
            raise ValueError(
                "'without: none' needs 'checked by': write whose role looked, or leave 'without' out"
            )
        return self

    @property
    def boundary_known(self) -> bool:
        """Whether it is said both what counts and what is left out."""
        return self.counts is not None and self.without is not None


class Several(Boundary):
    """What may be a figure for several alike pieces together: then its doubt is theirs together too."""

    pieces: Together | None = None
    """how many alike pieces the figure is for together, left out: one; its step and doubt are theirs
    together, so that the mean of four is known four times as well"""
    scatter: MassText | None = None
    """with `pieces`: how far a single one may be from their mean; left out: not known, and said wherever
    fewer or more than these are counted"""

    @model_validator(mode="after")
    def _scatter_of_several(self) -> Several:
        if self.scatter is not None and self.pieces is None:
            raise ValueError("'scatter' goes with 'pieces': how far one of them may be from their mean")
        return self


class MassStatement(Several):
    """One figure of one source for one piece of a component, with its unit, step and doubt as printed.

    With 'pieces' it is for so many alike ones together.

    A figure is printed, or worked out: by a formula over the component's parameters, or from its shape
    and a density. What is worked out speaks of every build.
    """

    id: Id | None = None
    """an id, where other records refer to it"""
    printed: MassText | None = None
    """the figure as the source has it, with its unit"""
    formula: Line | None = None
    """instead of `printed`: a formula over parameters, such as `9.8*kg + 1.5*kg*discs`"""
    shape: dict[str, Any] | None = None
    """instead of `printed`: a shape with its lengths and a material"""
    made: Literal["machined", "casting"] | None = None
    """with a shape: `machined` or `casting`; it says which doubt the shape has"""
    step: MassText | None = None
    """to what the source rounded; left out, it is read off the digits and shown as assumed"""
    plus_or_minus: MassOrPercent | None = None
    """the worst case it can be out by, as a mass or as `2 %`"""
    u: MassText | None = None
    """instead: a standard uncertainty; the half-width is then taken as twice that, marked"""
    also_printed: AlsoPrinted | None = None
    """the second column of the same source; the two are one witness"""
    state: State | None = None
    """`dry`, `drained` or `filled`"""
    build: dict[str, str] | None = None
    """the values of parameters it was stated for, by name"""
    serials: Serials | None = None
    """the serial numbers it was stated for"""
    source: Id
    """the id of the source"""
    where: Line | None = None
    """page, table or line in the source"""
    on: Date | None = None
    """the day"""
    by: Line | None = None
    """whose role read it"""
    derived: DerivedFrom | None = None
    """how it was worked out from other figures; then it is no witness of its own"""
    replaces: Id | None = None
    """the id of the statement it takes the place of"""
    review_by: Date | None = None
    """a date after which it should be looked at again"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _one_figure(self) -> MassStatement:
        only_one_given(
            {"printed": self.printed, "formula": self.formula, "shape": self.shape},
            "write exactly one of: printed, formula, shape",
        )
        if self.made is not None and self.shape is None:
            raise ValueError("'made' goes with 'shape'; it says which doubt a shape has")
        if self.printed is None:
            if self.build is not None or self.also_printed is not None:
                name = "build" if self.build is not None else "also printed"
                raise ValueError(
                    f"'{name}' goes with 'printed'; a formula or a shape is worked out in every build"
                )
            if self.pieces is not None:
                raise ValueError("'pieces' goes with 'printed'; what is worked out is for one piece")
            if self.shape is not None and self.step is not None:
                raise ValueError("a shape has no step of rounding; write 'plus or minus', or leave it out")
        return self

    @property
    def worked_out(self) -> bool:
        """Whether the figure comes from a formula or a shape, and so speaks of every build."""
        return self.printed is None

    @model_validator(mode="after")
    def _one_doubt(self) -> MassStatement:
        if self.plus_or_minus is not None and self.u is not None:
            raise ValueError("give 'plus or minus' or 'u', not both; 'plus or minus' is the worst case")
        for name in ("step", "plus_or_minus", "u"):
            value = getattr(self, name)
            if isinstance(value, Quantity) and value.base == 0:
                raise ValueError(f"'{name.replace('_', ' ')}' of 0 says there is no doubt; leave it out")
        said = (self.step, self.plus_or_minus, self.u)
        if self.printed is not None and self.printed.base == 0 and said == (None, None, None):
            raise ValueError(
                "a mass of 0 would count as weighed; leave the statement out where nobody weighed it, "
                "or give the step or the doubt of the figure"
            )
        return self

    def key(self, component: str) -> str:
        """The id it goes by: its own, or the hash of its text and of the component it is about."""
        return self.id or id_within(self, "component", component)


def only_one_given(values: dict[str, Any], message: str) -> str:
    """The name of the single value that is not None.

    Raises
    ------
    ValueError
        None or several are given.
    """
    given = [name for name, value in values.items() if value is not None]
    if len(given) != 1:
        raise ValueError(message)
    return given[0]
