"""The curve of a turn: what the hook reads over the angle, and where it goes over by itself."""

from __future__ import annotations

import math
from collections.abc import Sequence

from markupsafe import Markup, escape

from handling_db.lifting.turn.figures import TurnAnswer, TurnStep

WIDTH = 390.0


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
