"""Drawings as SVG text: only what is recorded, points and centres with a scale bar; no outlines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from handling_db.quantities.display import figure
from handling_db.weights.answer import PartFigure, StateFigure

WIDTH = 390.0
_MARGIN = 34.0
_LARGEST = 34.0  # radius of the heaviest part
_ROWS = 6  # names that are written, each in a row of its own where need be
_ROW = 19.0
_FOOT = _ROWS * _ROW + 40.0  # room for names and scale bar under the points


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
    if len(placed) < 2:
        return None
    scale, left, bottom, height = _fit(placed)
    heaviest = max((float(p.best * p.quantity) for p in placed if p.known), default=0.0)
    dots = [_dot(part, heaviest, scale, left, bottom, height) for part in placed]
    dots.sort(key=lambda dot: -dot.radius)
    shapes = [_circle(dot) for dot in dots]
    words = _labels(dots, height)
    cross = ""
    if whole.centre is not None:
        x = _MARGIN + (whole.centre[0] - left) * scale
        y = height - _FOOT - _LARGEST / 2 - (whole.centre[2] - bottom) * scale
        cross = (
            f'<path class="centre" d="M{x - 11:.1f} {y:.1f}h22M{x:.1f} {y - 11:.1f}v22"/>'
            f'<circle class="centre" cx="{x:.1f}" cy="{y:.1f}" r="6"/>'
        )
    bar = _scale_bar(scale, height)
    described = escape(
        f"{title}: where the mass of {len(placed)} parts sits, seen from the side, x to the right, z up"
    )
    return Markup(
        f'<svg class="drawing" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" aria-label="{described}">'
        f"<title>{described}</title>{''.join(shapes)}{cross}{''.join(words)}{bar}</svg>"
    )


def _fit(placed: Sequence[PartFigure]) -> tuple[float, float, float, float]:
    """Pixels a metre, the left and bottom edge in metres, and the height of the drawing in pixels."""
    xs = [p.centre[0] for p in placed if p.centre]
    zs = [p.centre[2] for p in placed if p.centre]
    wide, tall = max(max(xs) - min(xs), 0.05), max(max(zs) - min(zs), 0.05)
    room = WIDTH - 2 * _MARGIN - 2 * _LARGEST
    scale = min(room / wide, 300.0 / tall)
    left = min(xs) - (_LARGEST + (room - wide * scale) / 2) / scale
    bottom = min(zs) - _LARGEST / 2 / scale
    return scale, left, bottom, tall * scale + 2 * _LARGEST + 12 + _FOOT


def _dot(part: PartFigure, heaviest: float, scale: float, left: float, bottom: float, height: float) -> _Dot:
    x, _, z = part.centre or (0.0, 0.0, 0.0)
    mass = float(part.best * part.quantity)
    share = math.sqrt(mass / heaviest) if heaviest > 0 and part.known else 0.0
    return _Dot(
        part.name,
        _MARGIN + (x - left) * scale,
        height - _FOOT - _LARGEST / 2 - (z - bottom) * scale,
        max(4.0, share * _LARGEST) if part.known else 14.0,
        part.known,
    )


def _circle(dot: _Dot) -> str:
    kind = "mass" if dot.known else "unknown"
    return f'<circle class="{kind}" cx="{dot.across:.1f}" cy="{dot.up:.1f}" r="{dot.radius:.1f}"/>'


def _labels(dots: Sequence[_Dot], height: float) -> list[str]:
    """Names of the parts nobody weighed and of the heaviest ones, in rows under the points.

    Each name stands under its point, in the first row where it overlaps no other; a line leads up to it.
    """
    rows: list[list[tuple[float, float]]] = [[] for _ in range(_ROWS)]
    texts = []
    for dot in sorted(_named(dots), key=lambda d: d.across):
        name = dot.name if len(dot.name) <= 26 else f"{dot.name[:24]}…"
        text = name if dot.known else f"{name}: no weight"
        half = len(text) * 4.5
        x = min(max(dot.across, half + 4), WIDTH - half - 4)
        row = next(
            (n for n, taken in enumerate(rows) if all(abs(x - at) > half + wide + 6 for at, wide in taken)),
            _ROWS - 1,
        )
        rows[row].append((x, half))
        y = height - _FOOT + 18 + row * _ROW
        texts.append(f'<path class="leader" d="M{dot.across:.1f} {dot.up:.1f}V{y - 14:.1f}"/>')
        words = escape(text)
        texts.append(f'<text class="halo" text-anchor="middle" x="{x:.1f}" y="{y:.1f}">{words}</text>')
    return sorted(texts, reverse=True)  # lines first, so that no line runs over a name


def _named(dots: Sequence[_Dot]) -> list[_Dot]:
    unknown = [dot for dot in dots if not dot.known][:3]
    return unknown + [dot for dot in dots if dot.known][: _ROWS - len(unknown)]


def _scale_bar(scale: float, height: float) -> str:
    """A bar of a round length, a quarter to a half of the width."""
    longest = WIDTH / 2.5 / scale
    length = 10.0 ** math.floor(math.log10(longest))
    length *= max(step for step in (1, 2, 5) if step * length <= longest)
    pixels = length * scale
    y = height - 14
    text = f"{figure(length * 1000, 0)} mm"
    return (
        f'<path class="axis" d="M{_MARGIN:.1f} {y - 6:.1f}v6h{pixels:.1f}v-6"/>'
        f'<text x="{_MARGIN + pixels + 8:.1f}" y="{y:.1f}">{text}, from the side</text>'
    )
