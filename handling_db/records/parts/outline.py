"""How large a thing is about its datum, and how the shape that gives its mass lies from there."""

from __future__ import annotations

from pydantic import model_validator

from handling_db.records.parts.common import Turned
from handling_db.records.parts.measures import LengthText, Point
from handling_db.records.parts.texts import Part


class Outline(Part):
    """The box that holds all of a component, along its own x, y and z; its middle at the datum or elsewhere.

    It bounds what nobody recorded more closely: a part without a place, or a centre, lies inside it.
    """

    length: LengthText
    """how far it reaches along x in all"""
    width: LengthText
    """along y"""
    height: LengthText
    """along z"""
    middle: tuple[LengthText, LengthText, LengthText] | None = None
    """the middle of the box, three lengths; left out: the datum"""

    @model_validator(mode="after")
    def _has_a_size(self) -> Outline:
        for name in ("length", "width", "height"):
            if getattr(self, name).base <= 0:
                raise ValueError(f"'{name}' of an outline is above 0; write how far it reaches in all")
        return self

    def corners(self) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        """Lowest and highest corner in the component's own frame. [m]"""
        size = [float(value.base) for value in (self.length, self.width, self.height)]
        middle = [float(value.base) for value in self.middle] if self.middle else [0.0, 0.0, 0.0]
        low, high = ([m + sign * s / 2 for m, s in zip(middle, size, strict=True)] for sign in (-1, 1))
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])


class ShapeLies(Part):
    """Where the shape of a component's mass lies in the component's own frame.

    Either `middle`, its centre of gravity, or `at`, the point it starts from, with how it is turned there.
    """

    middle: Point | None = None
    """where the centre of gravity of the shape is, a point"""
    at: Point | None = None
    """instead: the point that the shape starts from (its own x runs from there)"""
    turned: Turned | None = None
    """with `at`: how the shape is turned there"""

    @model_validator(mode="after")
    def _one_place(self) -> ShapeLies:
        if (self.middle is None) == (self.at is None):
            raise ValueError("write 'middle' (where its centre is) or 'at' (where it starts), one of the two")
        if self.turned is not None and self.at is None:
            raise ValueError("'turned' goes with 'at'; a middle needs no turn")
        return self
