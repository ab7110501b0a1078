"""Sketches of a lift and the curve of a turn, as SVG text: points, centre, legs, faces' words, a scale bar.

Drawn to scale from the records; no outlines, since nobody recorded any.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from markupsafe import Markup, escape

from handling_db.lifting.figures import LiftAnswer, Vector
from handling_db.lifting.turn.figures import TurnAnswer, TurnStep
from handling_db.mechanics.vectors import apply, subtract

WIDTH = 390.0
_EDGE = 46.0
_REACH = 62.0  # half the width of a name


def attitude_sketch(answer: LiftAnswer) -> Markup | None:
    """The load as it hangs, from the side and from above: points, legs, hook, centre and its patch.

    Returns
    -------
    Markup or None
        None where the points or the hook have no place.
    """
    if answer.hook_room is None or not answer.picks_room:
        return None
    shown, upward = _as_it_hangs(answer)
    side = _view(shown, (0, 2), "from the side", upward)
    above = _view(shown, (0, 1), "from above", "y to the top")
    return Markup(side + above)


def _as_it_hangs(answer: LiftAnswer) -> tuple[LiftAnswer, str]:
    """The same turned into the pose it comes to rest in, and what points up then."""
    rest = answer.legs.rest if answer.legs is not None else None
    hook = answer.hook_room
    if rest is None or hook is None or rest.tilt < 0.5:
        return answer, "z up"

    def hung(place: Vector) -> Vector:
        return apply(rest.turn, subtract(place, hook))

    centre = answer.centre
    if centre is not None:
        low, high = centre.room_low, centre.room_high
        corners = [
            hung((x, y, z)) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])
        ]
        around = [tuple(pick(corner[axis] for corner in corners) for axis in range(3)) for pick in (min, max)]
        centre = replace(
            centre,
            room=hung(centre.room),
            room_low=(around[0][0], around[0][1], around[0][2]),
            room_high=(around[1][0], around[1][1], around[1][2]),
        )
    picks = tuple((name, hung(place)) for name, place in answer.picks_room)
    hanging = replace(answer, picks_room=picks, hook_room=(0.0, 0.0, 0.0), centre=centre)
    return hanging, f"as it comes to rest, tilted by {rest.tilt:.1f}°"


def _view(answer: LiftAnswer, axes: tuple[int, int], name: str, upward: str) -> str:
    assert answer.hook_room is not None
    points = [place for _, place in answer.picks_room]
    everything: list[Vector] = [*points, answer.hook_room]
    if answer.centre is not None:
        everything += [answer.centre.room, answer.centre.room_low, answer.centre.room_high]
    across, upwards = ([place[axis] for place in everything] for axis in axes)
    wide, tall = max(max(across) - min(across), 0.1), max(max(upwards) - min(upwards), 0.1)
    scale = min((WIDTH - 2 * _EDGE) / wide, 300 / tall)
    left = min(across) - (WIDTH / scale - wide) / 2
    height = tall * scale + 2 * _EDGE + 64

    def spot(place: Vector) -> tuple[float, float]:
        x = (place[axes[0]] - left) * scale
        y = height - _EDGE - 64 - (place[axes[1]] - min(upwards)) * scale
        return x, y

    hook = spot(answer.hook_room)
    shapes = []
    if axes[1] == 2:
        shapes.append(f'<path class="plumb" d="M{hook[0]:.1f} {hook[1]:.1f}V{height - _EDGE - 60:.1f}"/>')
    written: list[tuple[float, float]] = []
    for label, place in sorted(answer.picks_room, key=lambda pick: spot(pick[1])[0]):
        x, y = spot(place)
        shapes.append(f'<path class="leg" d="M{hook[0]:.1f} {hook[1]:.1f}L{x:.1f} {y:.1f}"/>')
        shapes.append(f'<circle class="point" cx="{x:.1f}" cy="{y:.1f}" r="5"/>')
        row = y + 20
        while any(abs(row - at) < 17 and abs(x - across) < 2 * _REACH for across, at in written):
            row += 18
        written.append((x, row))
        shapes.append(_text(label, x, row, height))
    shapes.append(f'<path class="hook" d="M{hook[0] - 7:.1f} {hook[1] - 7:.1f}h14v14h-14z"/>')
    shapes.append(_text("hook", hook[0] + 34, hook[1] - 6, height))
    if answer.centre is not None:
        shapes.append(_centre(answer, spot))
    bar = _bar(scale, height)
    words = escape(f"{answer.name}, {name}: hook, pick points, legs and centre of gravity")
    caption = f'<text x="8" y="18">{escape(name)}, {upward}</text>'
    return (
        f'<svg class="drawing" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" aria-label="{words}">'
        f"<title>{words}</title>{''.join(shapes)}{bar}{caption}</svg>"
    )


def _centre(answer: LiftAnswer, spot: object) -> str:
    assert answer.centre is not None
    assert callable(spot)
    x, y = spot(answer.centre.room)
    corners = [spot(answer.centre.room_low), spot(answer.centre.room_high)]
    x0, x1 = sorted(corner[0] for corner in corners)
    y0, y1 = sorted(corner[1] for corner in corners)
    patch = ""
    if x1 - x0 > 3 or y1 - y0 > 3:
        patch = (
            f'<rect class="patch" x="{x0:.1f}" y="{y0:.1f}" width="{x1 - x0:.1f}" height="{y1 - y0:.1f}"/>'
        )
    return (
        f'{patch}<path class="centre" d="M{x - 10:.1f} {y:.1f}h20M{x:.1f} {y - 10:.1f}v20"/>'
        f'<circle class="centre" cx="{x:.1f}" cy="{y:.1f}" r="6"/>'
    )


def _text(label: str, x: float, y: float, height: float) -> str:
    half = len(label) * 4.3
    x = min(max(x, half + 4), WIDTH - half - 4)
    y = min(y, height - 36)
    return f'<text class="halo" text-anchor="middle" x="{x:.1f}" y="{y:.1f}">{escape(label)}</text>'


def _bar(scale: float, height: float) -> str:
    longest = WIDTH / 3 / scale
    length = 10.0 ** math.floor(math.log10(longest))
    length *= max(step for step in (1, 2, 5) if step * length <= longest)
    y = height - 14
    return (
        f'<path class="axis" d="M12 {y - 6:.1f}v6h{length * scale:.1f}v-6"/>'
        f'<text x="{18 + length * scale:.1f}" y="{y:.1f}">{length * 1000:.0f} mm</text>'
    )


def turn_curve(answer: TurnAnswer) -> Markup | None:
    """Hook reading over the angle turned, with the angle where it goes over by itself.

    Returns
    -------
    Markup or None
        None where there are no figures.
    """
    if len(answer.steps) < 2:
        return None
    height, bottom, left = 300.0, 250.0, 52.0
    last = max(answer.steps[-1].turned, answer.goes_over or 0.0, 10.0) * 1.06
    carried = [_carried(step) for step in answer.steps]
    most = max(high for _, _, high in carried) * 1.08 or 1.0

    def spot(turned: float, kg: float) -> tuple[float, float]:
        return left + turned / last * (WIDTH - left - 16), bottom - max(kg, 0.0) / most * (bottom - 24)

    lines = [
        f'<path class="curve" d="{_path([spot(turned, best) for turned, best, _ in carried])}"/>',
        f'<path class="curve high" d="{_path([spot(turned, high) for turned, _, high in carried])}"/>',
        f'<path class="axis" d="M{left} 24V{bottom}H{WIDTH - 16:.0f}"/>',
    ]
    for turned in range(0, math.floor(last) + 1, 10 if last < 75 else 20):
        x, y = spot(turned, 0)
        lines.append(f'<text text-anchor="middle" x="{x:.1f}" y="{y + 20:.1f}">{turned}°</text>')
    step = 10 ** math.floor(math.log10(most))
    step = step if most / step >= 3 else step / 2
    for n in range(1, math.floor(most / step) + 1):
        x, y = spot(0, n * step)
        lines.append(f'<path class="axis" d="M{x - 5:.1f} {y:.1f}h5"/>')
        lines.append(f'<text text-anchor="end" x="{x - 8:.1f}" y="{y + 5:.1f}">{n * step:g}</text>')
    words = "kg at the hook; dashed: heaviest"
    if answer.goes_over is not None:
        words = "kg: hook, then holding back; dashed: heaviest"
    lines.append(f'<text x="6" y="16">{words}</text>')
    if answer.goes_over is not None:
        x, _ = spot(answer.goes_over, 0)
        lines.append(f'<path class="plumb" d="M{x:.1f} 24V{bottom}"/>')
        words = f"goes over by itself at {answer.goes_over:.0f}°"
        lines.append(
            f'<text class="halo" text-anchor="end" x="{min(x + 4, WIDTH - 6):.1f}" y="40">{words}</text>'
        )
    title = escape(f"{answer.lift.name}: hook reading over the angle turned")
    return Markup(
        f'<svg class="drawing" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" aria-label="{title}">'
        f"<title>{title}</title>{''.join(lines)}"
        f'<text text-anchor="end" x="{WIDTH - 8:.0f}" y="{height - 8:.0f}">angle turned</text></svg>'
    )


def _carried(step: TurnStep) -> tuple[float, float, float]:
    """Angle, best and heaviest pull: of the hook, and past the balance of what holds it back. [deg, kg]"""
    if step.hook_kg > 0.0 or step.hold_kg <= 0.0:
        return step.turned, step.hook_kg, step.hook_high_kg
    if step.line_kg is not None and step.line_high_kg is not None:
        return step.turned, step.line_kg, step.line_high_kg
    return step.turned, step.hold_kg, step.hold_high_kg


def _path(spots: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in spots)
