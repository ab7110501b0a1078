"""The hook scale: from nothing to past the stop figure, with the expected range and its limits as lines."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR

from markupsafe import Markup, escape

from handling_db.lifting.figures import LiftAnswer
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.intervals import Axis
from handling_db.web.drawings.labels import Box, Label, Placing
from handling_db.web.drawings.units import mass_text

_LEFT, _RIGHT = 12.0, 378.0
_LINE = 84.0  # height of the scale below the upper edge
_FOOT = 30.0


def hook_scale(answer: LiftAnswer, *, first: str = "kg", seen_kg: float | None = None) -> Markup | None:
    """A plain scale of readings: what is expected, look again on both sides, stop, and the one seen.

    Parameters
    ----------
    answer : LiftAnswer
    first : str
        kg or lb.
    seen_kg : float, optional
        A steady reading that was given. [kg]

    Returns
    -------
    Markup or None
        None where no reading can be expected at all.
    """
    reading = answer.reading
    load = reading.expected
    if load is None:
        return None
    stop = max(reading.stops[0].at_kg, 0.0) if reading.stops else None
    high = load.best if load.high is None else load.high
    most = max(high, stop or 0.0, seen_kg or 0.0, reading.look_again_kg or 0.0) * 1.1 or 1.0
    axis = Axis(0.0, most, _LEFT, _RIGHT, first)
    shapes = [_scale(axis)]
    left, right = axis.at(load.low), max(axis.at(high), axis.at(load.low) + 2.0)
    end = f'<path class="curve" d="M{right:.1f} {_LINE - 7:.1f}H{_RIGHT:.1f}m-7 -6l7 6l-7 6"/>'
    shapes.append(
        f'<rect class="expect" x="{left:.1f}" y="{_LINE - 14:.1f}" width="{right - left:.1f}" height="14"/>'
        + ("" if load.complete else end)
    )
    told = mass_text(load.best, first)
    if not load.complete:  # of the known part, rounded down
        told = f"at least {mass_text(load.best, first, rounding=ROUND_FLOOR)}"
    labels = [Label(f"expect {told}", ((left + right) / 2, _LINE - 16), away=6.0)]
    if stop is not None:
        at = mass_text(stop, first, rounding=ROUND_FLOOR)
        shapes.append(_mark(axis.at(stop), "stop", 26.0))
        labels.append(Label(f"stop {at}", (axis.at(stop), _LINE + 8), away=18.0))
    if reading.look_again_kg is not None:
        at = mass_text(reading.look_again_kg, first, rounding=ROUND_CEILING)
        shapes.append(_mark(axis.at(reading.look_again_kg), "again", 22.0))
        labels.append(Label(f"look again {at}", (axis.at(reading.look_again_kg), _LINE - 20), away=6.0))
    if reading.look_again_below_kg is not None:
        at = mass_text(reading.look_again_below_kg, first, rounding=ROUND_FLOOR)
        shapes.append(_mark(axis.at(reading.look_again_below_kg), "again", 22.0))
        labels.append(
            Label(f"look again below {at}", (axis.at(reading.look_again_below_kg), _LINE + 8), away=18.0)
        )
    if seen_kg is not None:
        x = axis.at(seen_kg)
        shapes.append(f'<path class="seen" d="M{x:.1f} {_LINE + 2:.1f}l-8 16h16z"/>')
        labels.insert(0, Label(f"seen {mass_text(seen_kg, first)}", (x, _LINE + 18), away=8.0))
    placing = Placing(Box(4.0, 4.0, WIDTH - 4.0, _LINE + _FOOT))
    placing.taken.append(Box(_LEFT, _LINE - 16, _RIGHT, _LINE + _FOOT))
    placing.put(labels)
    height = placing.bottom + 8.0
    says = f"Scale of the hook reading for {answer.name}: {', '.join(label.text for label in labels)}"
    return framed(says, height, *shapes, placing.svg(), kind="hookscale")


def _scale(axis: Axis) -> str:
    marks = [
        f'<path class="axis" d="M{axis.at(kg):.1f} {_LINE:.1f}v8"/>'
        f'<text class="plain" text-anchor="middle" x="{x:.1f}" y="{_LINE + 24:.1f}">{escape(text)}</text>'
        for kg, x, text in axis.marked(3)
    ]
    return f'<path class="axis" d="M{_LEFT:.1f} {_LINE:.1f}H{_RIGHT:.1f}"/>{"".join(marks)}'


def _mark(x: float, kind: str, tall: float) -> str:
    return f'<path class="{kind}" d="M{x:.1f} {_LINE - tall:.1f}V{_LINE + 8:.1f}"/>'
