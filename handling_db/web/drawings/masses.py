"""Drawings as SVG text: only what is recorded, points and centres with a scale bar; no outlines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.labels import Box, Label, Placing
from handling_db.web.drawings.scale_bar import scale_bar
from handling_db.weights.answer import PartFigure, StateFigure

_MARGIN = 34.0
_LARGEST = 34.0  # radius of the heaviest part
_NAMED = 6  # of the heaviest parts; every part that nobody weighed is named, up to _UNWEIGHED
_UNWEIGHED = 8
_FOOT = 34.0  # for the scale bar

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class _Dot:
    name: str
    across: float
    up: float
    radius: float
    known: bool


def mass_drawing(parts: Sequence[PartFigure], whole: StateFigure, title: str) -> Markup | None:
    """Where the mass sits among the parts, seen from the side: x across, z up.

    The area of a circle is in proportion to the mass of its part line; a dashed circle has no known
    mass; the cross is the centre of gravity (of the known part, where something is not known).

    Parameters
    ----------
    parts : sequence of PartFigure
        Those with a centre are drawn. [m, kg]
    whole : StateFigure
    title : str
        For people who do not see the drawing.

    Returns
    -------
    Markup or None
        None where fewer than two parts have a place.
    """
    placed = [part for part in parts if part.centre is not None]
    placed.sort(
        key=lambda part: -float(part.best * part.quantity)
    )  # of dots of one size the heavier is named
    if len(placed) < 2:
        return None
    flat = _Flat([part.centre for part in placed if part.centre is not None])
    heaviest = max((float(p.best * p.quantity) for p in placed if p.known), default=0.0)
    dots = [_dot(part, heaviest, flat) for part in placed]
    dots.sort(key=lambda dot: -dot.radius)
    shapes = [_circle(dot) for dot in dots]
    placing = Placing(Box(4.0, 4.0, WIDTH - 4.0, flat.edge))
    # the middle of a circle stays free; its rim may run behind a name
    placing.taken = [_middle(dot) for dot in dots]
    cross = ""
    if whole.centre is not None:
        x, y = flat.at(whole.centre)
        cross = (
            f'<path class="centre" d="M{x - 11:.1f} {y:.1f}h22M{x:.1f} {y - 11:.1f}v22"/>'
            f'<circle class="centre" cx="{x:.1f}" cy="{y:.1f}" r="6"/>'
        )
        placing.taken.append(Box(x - 12, y - 12, x + 12, y + 12))
    placing.put(_labels(dots))
    height = placing.bottom + _FOOT
    bar = scale_bar(flat.scale, _MARGIN, height - 12, WIDTH / 2.5, ", from the side")
    says = f"{title}: where the mass of {len(placed)} parts sits, seen from the side, x to the right, z up"
    return framed(says, height, *shapes, cross, placing.svg(), bar)


class _Flat:
    """The scale of a drawing: metres to pixels, z up, with room for the heaviest part at every edge."""

    def __init__(self, places: Sequence[Place]) -> None:
        xs, zs = [place[0] for place in places], [place[2] for place in places]
        wide, tall = max(max(xs) - min(xs), 0.05), max(max(zs) - min(zs), 0.05)
        room = WIDTH - 2 * _MARGIN - 2 * _LARGEST
        self.scale = min(room / wide, 300.0 / tall)
        self.left = (min(xs) + max(xs)) / 2 - WIDTH / 2 / self.scale
        self.top = (min(zs) + max(zs)) / 2 + tall / 2
        self.edge = tall * self.scale + 2 * _LARGEST + 12

    def at(self, place: Place) -> tuple[float, float]:
        return (place[0] - self.left) * self.scale, _LARGEST + 6 + (self.top - place[2]) * self.scale


def _dot(part: PartFigure, heaviest: float, flat: _Flat) -> _Dot:
    mass = float(part.best * part.quantity)
    share = math.sqrt(mass / heaviest) if heaviest > 0 and part.known else 0.0
    radius = max(4.0, share * _LARGEST) if part.known else 14.0
    return _Dot(part.name, *flat.at(part.centre or (0.0, 0.0, 0.0)), radius, part.known)


def _circle(dot: _Dot) -> str:
    kind = "mass" if dot.known else "unknown"
    return f'<circle class="{kind}" cx="{dot.across:.1f}" cy="{dot.up:.1f}" r="{dot.radius:.1f}"/>'


def _middle(dot: _Dot) -> Box:
    """The square within a circle."""
    half = dot.radius * 0.7
    return Box(dot.across - half, dot.up - half, dot.across + half, dot.up + half)


def _labels(dots: Sequence[_Dot]) -> list[Label]:
    """Names of the parts that nobody weighed, and of the heaviest ones; the largest circles first."""
    unknown = [dot for dot in dots if not dot.known]
    named = [*unknown[:_UNWEIGHED], *[dot for dot in dots if dot.known][:_NAMED]]
    labels = [
        Label(dot.name if dot.known else f"{dot.name}: no weight", (dot.across, dot.up), dot.radius * 0.7 + 5)
        for dot in named
    ]
    rest = unknown[_UNWEIGHED:]
    if rest:
        told = f"and {len(rest)} more without a weight (dashed)"
        labels.append(Label(told, (rest[0].across, rest[0].up), rest[0].radius * 0.7 + 5))
    return labels
