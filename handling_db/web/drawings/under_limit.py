"""Choices beside a limit: what is asked of it with each, as ranges on one scale, the limit as a line."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR

from markupsafe import Markup, escape

from handling_db.jobs.lighten.figures import LeftFigure, LightenAnswer
from handling_db.web.drawings.frame import framed
from handling_db.web.drawings.intervals import Axis
from handling_db.web.drawings.labels import SIZE, width_of, wrapped
from handling_db.web.drawings.units import mass_text

_LEFT, _RIGHT = 12.0, 378.0
_TOP = 30.0  # room for the words of the limit
_ROW = 20.0  # the range under its words
_LINE = 18.0


def under_limit(
    answer: LightenAnswer, rows: Sequence[tuple[str, LeftFigure]], *, first: str = "kg"
) -> Markup | None:
    """Each rest as a range from its lowest to what is asked of the limit at most.

    Parameters
    ----------
    answer : LightenAnswer
    rows : sequence of (words, rest)
    first : str
        kg or lb.

    Returns
    -------
    Markup or None
        None where no row has an upper figure.
    """
    limit = answer.limit
    known = [rest for _, rest in rows if rest.asked_kg is not None and rest.load is not None]
    if not known:
        return None
    lows = [limit.asked(rest.load.low) for rest in known if rest.load is not None]
    highs = [rest.asked_kg for rest in known if rest.asked_kg is not None]
    # Not from nothing: what differs is a few kilograms, so the scale shows what lies around the limit.
    axis = Axis.over(min(*lows, limit.kg), max(*highs, limit.kg), _LEFT, _RIGHT, first)
    shapes, texts, y = [], [], _TOP
    for words, rest in rows:
        for line in wrapped(words, _RIGHT - _LEFT):
            texts.append(f'<text class="halo" x="{_LEFT:.1f}" y="{y + 13:.1f}">{escape(line)}</text>')
            y += _LINE
        if rest.asked_kg is None or rest.load is None:
            texts.append(f'<text class="plain" x="{_LEFT:.1f}" y="{y + 13:.1f}">no upper figure</text>')
        else:
            left, right = axis.at(limit.asked(rest.load.low)), axis.at(rest.asked_kg)
            kind = "expect" if rest.under else "over"
            shapes.append(
                f'<rect class="{kind}" x="{left:.1f}" y="{y + 4:.1f}" '
                f'width="{max(right - left, 2.0):.1f}" height="11"/>'
            )
        y += _ROW + 6.0
    bottom = y + 2.0
    x = axis.at(limit.kg)
    told = f"limit {mass_text(limit.kg, first, rounding=ROUND_FLOOR)}"
    anchor, at = _kept(x, width_of(told))
    line = f'<path class="stop" d="M{x:.1f} {_TOP - 6:.1f}V{bottom:.1f}"/>'
    head = f'<text class="halo" text-anchor="{anchor}" x="{at:.1f}" y="18">{escape(told)}</text>'
    ticks = "".join(
        f'<path class="axis" d="M{axis.at(kg):.1f} {bottom:.1f}v7"/>'
        f'<text class="plain" text-anchor="middle" x="{at:.1f}" y="{bottom + 22:.1f}">'
        f"{escape(text)}</text>"
        for kg, at, text in axis.marked(3)
    )
    base = f'<path class="axis" d="M{_LEFT:.1f} {bottom:.1f}H{_RIGHT:.1f}"/>'
    said = "; ".join(
        f"{words}: {mass_text(rest.asked_kg, first, rounding=ROUND_CEILING)}"
        if rest.asked_kg is not None
        else f"{words}: no upper figure"
        for words, rest in rows
    )
    inside = (base, ticks, *shapes, line, head, *texts)
    return framed(f"{told}; at most {said}", bottom + 22.0 + SIZE / 2, *inside, kind="underlimit")


def _kept(x: float, wide: float) -> tuple[str, float]:
    """Where words over a line stand so that they stay in the frame."""
    if x - wide / 2 < _LEFT:
        return "start", _LEFT
    if x + wide / 2 > _RIGHT:
        return "end", _RIGHT
    return "middle", x
