"""A turn: what the hook reads over the angle with its band, and the unit drawn at four angles."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from decimal import ROUND_CEILING

from markupsafe import Markup, escape

from handling_db.lifting.pictured.turned import OnEdge
from handling_db.lifting.turn.figures import TurnAnswer, TurnStep
from handling_db.mechanics.vectors import Vector
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.intervals import Axis
from handling_db.web.drawings.labels import LINE, Box, Label, Placing, width_of, wrapped, written
from handling_db.web.drawings.lift import hull, polygon
from handling_db.web.drawings.units import mass_text

_TOP, _BOTTOM = 56.0, 262.0  # edges of the plot
_PANEL = 190.0
Flat = tuple[float, float]


def turn_curve(answer: TurnAnswer, *, first: str = "kg") -> Markup | None:
    """Hook reading over the angle turned, with its doubt as a band and the angle where it goes over.

    Parameters
    ----------
    answer : TurnAnswer
    first : str
        kg or lb.

    Returns
    -------
    Markup or None
        None where there are no figures.
    """
    if len(answer.steps) < 2:
        return None
    last = max(answer.steps[-1].turned, answer.goes_over or 0.0, 10.0) * 1.04
    carried = [_carried(step) for step in answer.steps]
    most = max(high for *_, high in carried) * 1.06 or 1.0
    axis = Axis(0.0, most, _BOTTOM, _TOP, first)
    ticks = axis.ticks()
    start = max(width_of(text) for _, text in ticks) + 14.0

    def spot(turned: float, kg: float) -> Flat:
        return start + turned / last * (WIDTH - start - 16), axis.at(max(kg, 0.0))

    lows = [spot(turned, low) for turned, low, _, _ in carried]
    highs = [spot(turned, high) for turned, _, _, high in carried]
    shapes = [
        polygon([*lows, *reversed(highs)], "band"),
        f'<path class="curve" d="{_path([spot(turned, best) for turned, _, best, _ in carried])}"/>',
        f'<path class="axis" d="M{start:.1f} {_TOP - 8}V{_BOTTOM}H{WIDTH - 16:.0f}"/>',
    ]
    # as close as the words fit beside one another
    apart = next((d for d in (10, 20, 30, 45) if d / last * (WIDTH - start - 16) >= 46.0), 90)
    for turned in range(0, math.floor(last) + 1, apart):
        x, y = spot(turned, 0)
        told = f"{turned}°"
        x = min(x, WIDTH - width_of(told) / 2 - 2)
        shapes.append(f'<text class="plain" text-anchor="middle" x="{x:.1f}" y="{y + 20:.1f}">{told}</text>')
    for kg, text in ticks:
        y = axis.at(kg)
        shapes.append(f'<path class="axis" d="M{start - 5:.1f} {y:.1f}h5"/>')
        shapes.append(
            f'<text class="plain" text-anchor="end" x="{start - 8:.1f}" y="{y + 5:.1f}">{escape(text)}</text>'
        )
    placing = Placing(Box(start + 2, 4.0, WIDTH - 4.0, _BOTTOM), [Box(0.0, _BOTTOM, WIDTH, _BOTTOM + 24.0)])
    labels = [Label(f"{mass_text(carried[0][2], first)} at the start", spot(0, carried[0][2]), away=7.0)]
    if answer.goes_over is not None:
        x, _ = spot(answer.goes_over, 0)
        shapes.append(f'<path class="stop" d="M{x:.1f} {_TOP - 8:.1f}V{_BOTTOM}"/>')
        labels.append(Label(f"goes over by itself at {answer.goes_over:.0f}°", (x, _TOP - 10), away=5.0))
    placing.put(labels)
    says = (
        f"{answer.lift.name}: what the hook reads over the angle turned"
        f"{', past the balance what holds it back' if answer.goes_over is not None else ''}; "
        f"{'; '.join(label.text for label in labels)}"
    )
    below = max(placing.bottom + 20.0, _BOTTOM + 42.0)
    under = (
        f'<text class="plain" text-anchor="middle" x="{WIDTH / 2:.0f}" y="{below:.0f}">'
        "angle turned; grey: what doubt allows</text>"
    )
    return framed(says, below + 12.0, *shapes, placing.svg(), under)


def _carried(step: TurnStep) -> tuple[float, float, float, float]:
    """Angle, least, best and heaviest pull: of the hook, past the balance of what holds it back. [deg, kg]"""
    if step.hook_kg > 0.0 or step.hold_kg <= 0.0:
        return step.turned, step.hook_low_kg, step.hook_kg, step.hook_high_kg
    if step.line_kg is not None and step.line_high_kg is not None:
        return step.turned, step.line_kg, step.line_kg, step.line_high_kg
    return step.turned, step.hold_kg, step.hold_kg, step.hold_high_kg


def _path(spots: Sequence[Flat]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in spots)


def four_angles(answer: TurnAnswer, load: OnEdge | None, *, first: str = "kg") -> Markup | None:
    """The unit on its edge at four angles, with hook and centre; to one scale.

    Parameters
    ----------
    answer : TurnAnswer
    load : OnEdge or None
        What is drawn of it, at the start. [m]
    first : str
        kg or lb.

    Returns
    -------
    Markup or None
        None where there are no figures, or nothing can be placed.
    """
    if load is None or len(answer.steps) < 2:
        return None
    angles = _angles(answer)
    points = [
        load.hook,
        *([load.centre] if load.centre else []),
        *(c for p in load.pieces for c in p.corners),
    ]
    everywhere = [_turned(point, step.turned) for point in points for step in angles] + [(0.0, 0.0)]
    across, up = zip(*everywhere, strict=True)
    room = max(max(across) - min(across), max(up) - min(up), 0.1)
    scale = (_PANEL - 24.0) / room
    tall = (max(up) - min(up)) * scale + 24.0
    told = [(f"{step.turned:.0f}°", *wrapped(_told(step, answer, first), _PANEL)) for step in angles]
    under = LINE * max(map(len, told)) + 10.0
    shapes = []
    for number, step in enumerate(angles):
        left, top = number % 2 * (_PANEL + 8.0) + 1.0, number // 2 * (tall + under) + 6.0

        def spot(at: Flat, left: float = left, top: float = top) -> Flat:
            return left + 12.0 + (at[0] - min(across)) * scale, top + 12.0 + (max(up) - at[1]) * scale

        shapes.append(_panel(load, step, spot, left))
        shapes.append(written(told[number], Box(left, top + tall, left + _PANEL, top + tall + under)))
    says = f"{answer.lift.name} at four angles: " + "; ".join(
        f"{step.turned:.0f}°, {_told(step, answer, first)}" for step in angles
    )
    return framed(says, 2 * (tall + under) + 10.0, *shapes)


def _angles(answer: TurnAnswer) -> list[TurnStep]:
    """The start, two between, and where it goes over, or the end of the turn where it does not."""
    end = answer.steps[-1].turned if answer.goes_over is None else answer.goes_over
    wanted = [0.0, end / 3, end * 2 / 3, end]
    return [min(answer.steps, key=lambda step, at=at: abs(step.turned - at)) for at in wanted]  # type: ignore[misc]


def _told(step: TurnStep, answer: TurnAnswer, first: str) -> str:
    if answer.goes_over is not None and abs(step.turned - answer.goes_over) < 1.0:
        return "goes over"
    return f"hook {mass_text(step.hook_high_kg, first, rounding=ROUND_CEILING)} at most"


def _turned(point: Vector, angle: float) -> Flat:
    """Across and up once it is turned: the side of positive x rises. [deg]"""
    turn = math.radians(angle)
    return (
        point[0] * math.cos(turn) - point[2] * math.sin(turn),
        point[0] * math.sin(turn) + point[2] * math.cos(turn),
    )


def _panel(load: OnEdge, step: TurnStep, spot: Callable[[Flat], Flat], left: float) -> str:
    def at(point: Vector) -> Flat:
        return spot(_turned(point, step.turned))

    edge = spot((0.0, 0.0))
    hook = at(load.hook)
    shapes = [
        f'<path class="axis" d="M{left + 4:.1f} {edge[1]:.1f}h{_PANEL - 8:.1f}"/>',
        *(polygon(hull(map(at, piece.corners)), "body") for piece in load.pieces),
        f'<path class="leader" d="M{edge[0]:.1f} {edge[1]:.1f}L{hook[0]:.1f} {hook[1]:.1f}"/>',
        f'<circle class="point" cx="{edge[0]:.1f}" cy="{edge[1]:.1f}" r="5"/>',
        f'<path class="leg" d="M{hook[0]:.1f} {hook[1]:.1f}v-20m-6 8l6 -8l6 8"/>',
        f'<path class="hook" d="M{hook[0] - 5:.1f} {hook[1] - 5:.1f}h10v10h-10z"/>',
    ]
    if load.centre is not None:
        x, y = at(load.centre)
        shapes.append(f'<path class="centre" d="M{x - 8:.1f} {y:.1f}h16M{x:.1f} {y - 8:.1f}v16"/>')
        shapes.append(f'<path class="plumb" d="M{x:.1f} {y:.1f}V{edge[1]:.1f}"/>')
    return "".join(shapes)
