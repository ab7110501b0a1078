"""A sweep as a drawing: one upright line a value, from the least to the most it can weigh."""

from __future__ import annotations

from markupsafe import Markup, escape

from handling_db.evidence.answer import SweepAnswer, SweepLine
from handling_db.web.drawings.intervals import Axis

WIDTH = 390.0
HEIGHT = 280.0
_LEFT, _RIGHT, _TOP, _FOOT = 78.0, 22.0, 16.0, 52.0


def sweep_drawing(answer: SweepAnswer, *, first: str = "kg") -> Markup | None:
    """The masses of a sweep over the values, to scale both ways; the axis of mass need not start at zero.

    Parameters
    ----------
    answer : SweepAnswer
    first : str
        kg or lb on the axis.

    Returns
    -------
    Markup or None
        None for words instead of numbers, or fewer than two masses.
    """
    drawn = [line for line in answer.lines if line.value is not None and _known(line)]
    if len(drawn) < 2:
        return None
    values = [line.value or 0.0 for line in drawn]
    low = min(float(line.figure.low) for line in drawn if line.figure)
    high = max(float(line.figure.high) for line in drawn if line.figure)
    axis = Axis.over(low, high, HEIGHT - _FOOT, _TOP, first)
    room = (WIDTH - _LEFT - _RIGHT) / ((max(values) - min(values)) or 1.0)
    across = [_LEFT + (value - min(values)) * room for value in values]
    shapes = [_bar(line, x, axis) for line, x in zip(drawn, across, strict=True)]
    marks = [
        f'<path class="axis" d="M{_LEFT - 14:.0f} {axis.at(kg):.1f}H{WIDTH - _RIGHT + 10:.0f}"/>'
        f'<text class="plain" text-anchor="end" x="{_LEFT - 18:.0f}" y="{axis.at(kg) + 5:.1f}">{text}</text>'
        for kg, text in axis.ticks()
    ]
    words = _values(drawn, across)
    what = f"{answer.parameter}{f' [{answer.unit}]' if answer.unit not in ('', 'each') else ''}"
    title = (
        f'<text text-anchor="middle" x="{(_LEFT + WIDTH) / 2:.0f}" y="{HEIGHT - 8:.0f}">{escape(what)}</text>'
    )
    told = escape(
        f"{answer.name}, {answer.state}: mass over {answer.parameter} from {drawn[0].text} to "
        f"{drawn[-1].text}; the table below has every figure"
    )
    return Markup(
        f'<svg class="drawing" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" role="img" aria-label="{told}">'
        f"<title>{told}</title>{''.join(marks)}{''.join(shapes)}{''.join(words)}{title}</svg>"
    )


def _known(line: SweepLine) -> bool:
    return line.figure is not None and not line.figure.nothing_known


def _bar(line: SweepLine, x: float, axis: Axis) -> str:
    state = line.figure
    assert state is not None  # only known figures are drawn
    bottom, best = axis.at(float(state.low)), axis.at(float(state.best))
    if not state.complete:
        return f'<path class="span" d="M{x - 5:.1f} {bottom:.1f}h10m-5 0V{_TOP + 6:.1f}m-5 7l5 -7l5 7"/>'
    top = min(axis.at(float(state.high)), bottom - 1)
    return (
        f'<path class="span" d="M{x - 5:.1f} {bottom:.1f}h10m-5 0V{top:.1f}m-5 0h10'
        f'M{x - 8:.1f} {best:.1f}h16"/>'
    )


def _values(drawn: list[SweepLine], across: list[float]) -> list[str]:
    """The value under each line, as far as they do not run into one another."""
    texts = []
    taken = -1000.0
    for line, x in zip(drawn, across, strict=True):
        words = line.text.partition(" ")[0]
        half = len(words) * 4.6
        if x - half < taken + 8:
            continue
        taken = x + half
        y = HEIGHT - _FOOT + 20
        texts.append(
            f'<text class="plain" text-anchor="middle" x="{x:.1f}" y="{y:.0f}">{escape(words)}</text>'
        )
    return texts
