"""The kinds of shape by name, and what each is described by."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from handling_db.families import shape_kinds
from handling_db.families.shapes import Shape


@dataclass(frozen=True, slots=True)
class Dimensions:
    """What one kind of shape is described by.

    Parameters
    ----------
    make : callable
        Takes the dimensions by keyword, spaces written as underscores.
    required, optional : tuple of str
        Lengths [m], but for ``angle`` [rad], ``teeth`` [a count] and ``thread`` [m, or a text like M16].
    about : str
        One line for the documentation.
    """

    make: Callable[..., Shape]
    required: tuple[str, ...]
    optional: tuple[str, ...]
    about: str


NOT_LENGTHS: Mapping[str, str] = MappingProxyType({"angle": "angle", "teeth": "count", "thread": "thread"})
"""Dimensions that are not lengths, and what they are."""

MODIFIERS: Mapping[str, str] = MappingProxyType(
    {
        "at": "where it starts along x, or a point of three lengths [m]",
        "fill": "share that is metal, up to 1; one figure, a pair, or three",
        "allowance": "times the mass for ribs and bosses, 1 to 10; one figure, a pair, or three",
        "density": "of this shape [kg/m³]; one figure, a pair, or three",
    }
)

SHAPES: Mapping[str, Dimensions] = MappingProxyType(
    {
        "cylinder": Dimensions(shape_kinds.cylinder, ("diameter", "length"), (), "solid round bar"),
        "tube": Dimensions(
            shape_kinds.tube,
            ("outside", "length"),
            ("inside", "wall"),
            "round tube; inside or wall, one of them",
        ),
        "disc": Dimensions(shape_kinds.disc, ("diameter", "thickness"), ("bore",), "flat disc"),
        "ring": Dimensions(shape_kinds.ring, ("outside", "inside", "thickness"), (), "flat ring"),
        "box": Dimensions(shape_kinds.box, ("length", "width", "height"), (), "length x, width y, height z"),
        "plate": Dimensions(
            shape_kinds.plate, ("length", "width", "thickness"), ("bore",), "thickness x, width y, length z"
        ),
        "rectangular tube": Dimensions(
            shape_kinds.rectangular_tube,
            ("width", "height", "wall", "length"),
            (),
            "hollow box open at both ends, by its outside",
        ),
        "cone frustum": Dimensions(
            shape_kinds.cone_frustum,
            ("diameter", "end diameter", "length"),
            ("bore",),
            "diameter at the start, end diameter at the far end",
        ),
        "hexagon prism": Dimensions(
            shape_kinds.hexagon_prism, ("across flats", "length"), ("bore",), "bar or nut"
        ),
        "sphere cap": Dimensions(
            shape_kinds.sphere_cap, ("base diameter", "height"), (), "flat base at the start"
        ),
        "pipe elbow": Dimensions(
            shape_kinds.pipe_elbow,
            ("outside", "wall", "bend radius", "angle"),
            (),
            "starts along x, bends towards y; bend radius to the middle of the pipe",
        ),
        "gear": Dimensions(
            shape_kinds.gear,
            ("teeth", "module", "width"),
            ("bore",),
            "approximation: disc of the pitch diameter",
        ),
        "bolt": Dimensions(
            shape_kinds.bolt,
            ("thread", "length"),
            ("across flats", "head height"),
            "approximation: full round of the thread size, hexagon head",
        ),
    }
)
"""Kind of shape to its dimensions. ``sum`` (a list) and ``difference`` (from, cut) combine them."""
