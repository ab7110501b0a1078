"""Mass, centre of gravity and inertia from simple shapes and a density, with the doubt of the kind.

A shape is a hint about a weight, not a weighing: dimensions are taken off with a tape, ribs and fillets are
guessed, and castings are poured as they come. All lengths are in metres. Shapes lie along x from x = 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from handling_db.families.shape_figures import (
    WHOLE,
    Range,
    RangeLike,
    ShapeError,
    as_density,
    as_range,
    product,
)
from handling_db.mechanics.solids import Solid, Vector, add_solids

HALF_WIDTHS = {"machined": 0.05, "casting": 0.25}
"""Half-width of a mass from shape as a share of it; common practice, no source."""

_SLACK = 1e-9  # m: what two lengths that are meant to be equal may differ by


@dataclass(frozen=True, slots=True)
class ShapePiece:
    """One solid of a shape: its own density if it has one, and how much of it is metal."""

    solid: Solid
    density: Range | None = None
    factor: Range = WHOLE


@dataclass(frozen=True, slots=True)
class Shape:
    """A shape made of pieces.

    Parameters
    ----------
    pieces : tuple of ShapePiece
        Added up; a piece of negative volume is taken away.
    least_doubt : float
        Half-width that the approximation itself is good for, as a share of the mass.
    remarks : tuple of str
        What was approximated, in words for the reader.
    """

    pieces: tuple[ShapePiece, ...]
    least_doubt: float = 0.0
    remarks: tuple[str, ...] = ()

    @property
    def solid(self) -> Solid:
        """The bare geometry, without densities and factors."""
        return add_solids(piece.solid for piece in self.pieces)

    @property
    def volume(self) -> float:
        """Of the bare geometry. [m³]"""
        return math.fsum(piece.solid.volume for piece in self.pieces)

    def moved(self, at: float | Vector) -> Shape:
        """The same shape starting at x = `at`, or at a point. [m]"""
        point = at if isinstance(at, tuple) else (at, 0.0, 0.0)
        return replace(self, pieces=tuple(replace(p, solid=p.solid.moved(point)) for p in self.pieces))

    def filled(self, fill: RangeLike) -> Shape:
        """Only this share of it is metal: holes, gaps between rollers. [more than 0, up to 1]"""
        _, _, high = factor = as_range(fill)
        if high > 1:
            raise ShapeError(
                f"a fill of {high:g} is more than full; write an allowance for what comes on top"
            )
        return self._multiplied(factor)

    def allowed(self, allowance: RangeLike) -> Shape:
        """So many times the mass, for ribs and bosses that are not drawn. [1 to 10]"""
        low, best, high = factor = as_range(allowance)
        if low < 1 or high > 10:
            raise ShapeError(f"an allowance of {best:g} is outside 1 to 10; for holes write a fill below 1")
        return self._multiplied(factor)

    def made_of(self, density: RangeLike) -> Shape:
        """The same shape with a density of its own, kept when it is added to others. [kg/m³]"""
        own = as_density(density)
        return replace(self, pieces=tuple(replace(p, density=p.density or own) for p in self.pieces))

    def _multiplied(self, factor: Range) -> Shape:
        return replace(self, pieces=tuple(replace(p, factor=product(p.factor, factor)) for p in self.pieces))


@dataclass(frozen=True, slots=True)
class ShapeMass:
    """What a shape weighs.

    Parameters
    ----------
    volume : float
        Of the bare geometry, factors not applied. [m³]
    low, best, high : float
        Mass: worst case over density, factors and the doubt of the kind. [kg]
    half_width : float
        The doubt of the kind that was used, as a share.
    centre : tuple of 3 floats
        Centre of gravity in the shape's own frame. [m]
    inertia : 3 x 3 floats
        About the centre of gravity, own axes, at the best mass; it is in doubt by at least the same
        share as the mass. [kg m²]
    remarks : tuple of str
        What was approximated.
    """

    volume: float
    low: float
    best: float
    high: float
    half_width: float
    centre: Vector
    remarks: tuple[str, ...]


def together(*shapes: Shape) -> Shape:
    """Add shapes as they are placed. Where two overlap, the metal counts twice.

    Raises
    ------
    ShapeError
        Nothing to add.
    """
    if not shapes:
        raise ShapeError("a sum needs at least one shape")
    return Shape(
        tuple(piece for shape in shapes for piece in shape.pieces),
        max(shape.least_doubt for shape in shapes),
        tuple(dict.fromkeys(remark for shape in shapes for remark in shape.remarks)),
    )


def without(body: Shape, *cuts: Shape) -> Shape:
    """Take shapes away from a body: bores, recesses, holes. Cuts must not overlap each other.

    Raises
    ------
    ShapeError
        A cut reaches outside the box around the body, has a density or factor of its own, the body is of
        several materials, or nothing is left.
    """
    first = body.pieces[0]
    if any((p.density, p.factor) != (first.density, first.factor) for p in body.pieces):
        raise ShapeError("cut each part of a body of several materials before adding them up")
    whole = body.solid
    taken: list[ShapePiece] = []
    for number, cut in enumerate(cuts, start=1):
        if any(p.density is not None or p.factor != WHOLE for p in cut.pieces):
            raise ShapeError(f"cut {number} has a density, fill or allowance of its own; give it to the body")
        _refuse_sticking_out(whole, cut.solid, number)
        taken += [replace(first, solid=p.solid.scaled(-1.0)) for p in cut.pieces]
    left = Shape((*body.pieces, *taken), body.least_doubt, body.remarks)
    if left.volume <= 1e-9 * whole.volume or min(left.solid.central()) <= 0:
        raise ShapeError("more is cut away than there is; check the dimensions of the cuts")
    return left


def _refuse_sticking_out(body: Solid, cut: Solid, number: int) -> None:
    for axis, name in enumerate("xyz"):
        out = max(body.low[axis] - cut.low[axis], cut.high[axis] - body.high[axis])
        if out > _SLACK:
            raise ShapeError(
                f"cut {number} sticks out of the body by {1000 * out:.4g} mm along {name}; "
                "shorten it or move it, so that it takes away only what is there"
            )


def weigh(
    shape: Shape,
    density: RangeLike | None = None,
    *,
    made: str = "machined",
    half_width: float | None = None,
) -> ShapeMass:
    """Mass, centre of gravity and inertia of a shape.

    Parameters
    ----------
    shape : Shape
        Lengths in metres.
    density : number or sequence, optional
        For every piece without a density of its own. [kg/m³]
    made : str
        ``machined`` or ``casting``: the doubt of the kind, 5 % or 25 % (common practice, no source).
    half_width : float, optional
        The doubt in place of that default, as a share. The approximation's own doubt still holds. [0 to 1)

    Returns
    -------
    ShapeMass
        Low and high are the worst case: lowest density, lowest fill and the doubt of the kind together.

    Raises
    ------
    ShapeError
        No density, an unknown kind, or a half-width outside 0 to 1.

    Examples
    --------
    >>> from handling_db.families.shape_kinds import cylinder
    >>> round(weigh(cylinder(diameter=0.075, length=0.430), 7850).best, 1)
    14.9
    """
    if half_width is None:
        if made not in HALF_WIDTHS:
            raise ShapeError(f"{made!r} is not a way it is made here; write {' or '.join(HALF_WIDTHS)}")
        half_width = HALF_WIDTHS[made]
    if not 0 <= half_width < 1:
        raise ShapeError(f"a half-width of {half_width:g} is not a share between 0 and 1; write 0.05 for 5 %")
    half_width = max(half_width, shape.least_doubt)
    common = None if density is None else as_density(density)
    low, high, weighted = [], [], []
    for piece in shape.pieces:
        own = piece.density or common
        if own is None:
            raise ShapeError("no density is given; write one for the shape or for each of its parts")
        least, best, most = product(own, piece.factor)
        low.append(least * piece.solid.volume)
        high.append(most * piece.solid.volume)
        weighted.append(piece.solid.scaled(best))
    mass = add_solids(weighted)
    return ShapeMass(
        shape.volume,
        math.fsum(low) * (1 - half_width),
        mass.volume,
        math.fsum(high) * (1 + half_width),
        half_width,
        mass.centre,
        shape.remarks,
    )
