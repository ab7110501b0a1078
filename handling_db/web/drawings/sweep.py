"""A sweep as a drawing: one upright line a value, from the least to the most it can weigh."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from markupsafe import Markup, escape

from handling_db.evidence.answer import SweepAnswer, SweepLine
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.intervals import Axis
from handling_db.web.drawings.labels import LINE, Box, width_of, wrapped, written

_RIGHT, _TOP, _BOTTOM = 22.0, 16.0, 228.0  # edges of the plot
_ROWS = 3  # of values under the plot


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
    axis = Axis.over(low, high, _BOTTOM, _TOP, first)
    marks = axis.ticks()
    start = max(width_of(text) for _, text in marks) + 24.0
    room = (WIDTH - start - 12.0 - _RIGHT) / ((max(values) - min(values)) or 1.0)
    across = [start + 12.0 + (value - min(values)) * room for value in values]
    shapes = [
        f'<path class="axis" d="M{start:.0f} {axis.at(kg):.1f}H{WIDTH - _RIGHT + 10:.0f}"/>'
        f'<text class="plain" text-anchor="end" x="{start - 6:.0f}" y="{axis.at(kg) + 5:.1f}">{text}</text>'
        for kg, text in marks
    ]
    shapes += [_bar(line, x, axis) for line, x in zip(drawn, across, strict=True)]
    texts, foot = _values([line.text.partition(" ")[0] for line in drawn], across)
    what = f"{answer.parameter}{f' [{answer.unit}]' if answer.unit not in ('', 'each') else ''}"
    lines = wrapped(what, WIDTH - 12.0)
    height = foot + LINE * len(lines) + 8.0
    texts.append(written(lines, Box(0.0, foot + 2.0, WIDTH, height), ""))
    says = (
        f"{answer.name}, {answer.state}: mass over {answer.parameter} from {drawn[0].text} to "
        f"{drawn[-1].text}; the table below has every figure"
    )
    return framed(says, height, *shapes, *texts)


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


def _values(words: Sequence[str], across: Sequence[float]) -> tuple[list[str], float]:
    """The values under their lines, in up to three rows; and how far down the rows reach.

    Of so many that they do not fit, every second, third ... is written.
    """
    placed = next(rows for each in itertools.count(1) if (rows := _in_rows(words[::each], across[::each])))
    texts = []
    for word, x, middle, row in placed:
        y = _BOTTOM + 20.0 + LINE * row
        leader = f'<path class="axis" d="M{x:.1f} {_BOTTOM + 2:.1f}V{y - 14:.1f}"/>' if row else ""
        texts.append(
            f'{leader}<text class="plain halo" text-anchor="middle" x="{middle:.1f}" y="{y:.1f}">'
            f"{escape(word)}</text>"
        )
    return texts, _BOTTOM + 20.0 + LINE * max(row for *_, row in placed) + 6.0


def _in_rows(words: Sequence[str], across: Sequence[float]) -> list[tuple[str, float, float, int]] | None:
    """Each with its place, the middle of its words and its row; None where the rows are full."""
    ends = [-1000.0] * _ROWS
    found = []
    for word, x in zip(words, across, strict=True):
        half = width_of(word) / 2
        middle = min(max(x, half + 2), WIDTH - half - 2)
        row = next((n for n, end in enumerate(ends) if middle - half >= end + 6), None)
        if row is None:
            return None
        ends[row] = middle + half
        found.append((word, x, middle, row))
    return found
