"""Every witness as a line beside the sum of the parts: plain lines with words, on one axis of mass."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from handling_db.evidence.answer import PageNumbers
from handling_db.quantities.display import figure, in_unit, pair, span, with_doubt
from handling_db.quantities.table import KG, LB
from handling_db.web.drawings.frame import WIDTH, framed
from handling_db.web.drawings.labels import LINE, width_of, wrapped
from handling_db.weights.answer import Number, WeightAnswer

_SIDE = 16.0
_TOP = 6.0
_UNDER = 12.0  # from the words to the drawn line below them
_ROW = 22.0  # from the drawn line to the next words
_FOOT = 34.0
MOST_ROWS = 14


@dataclass(frozen=True, slots=True)
class IntervalRow:
    """One line: who says it, and from where to where.

    Parameters
    ----------
    name, says : str
        Two lines of words above the drawn line.
    low : Number
        [kg]
    high : Number or None
        None is "at least": the line has no right end. [kg]
    best : Number or None
        A tick across the line. [kg]
    """

    name: str
    says: str
    low: Number
    high: Number | None
    best: Number | None = None


def witness_rows(answer: WeightAnswer, numbers: PageNumbers, *, first: str = "kg") -> list[IntervalRow]:
    """The sum of the parts, every figure of the component, and what is inferred for it.

    Returns
    -------
    list of IntervalRow
        The sum first, where there are parts.
    """
    rows = _sum(answer, first)
    several_states = len({state.best for state in answer.states}) > 1
    for said in answer.statements:
        state = f", {said.state}" if several_states and said.state != "not stated" else ""
        build = f", {said.build}" if said.build and said.build != "every build" else ""
        words = span(said.low, said.high, first=first)
        rows.append(IntervalRow(f"{said.source_name}{state}{build}", words, said.low, said.high, said.best))
    for one in numbers.inferred:
        if one.id == answer.id and not one.too_light:
            words = span(one.low, one.high, first=first)
            rows.append(IntervalRow(f"Inferred from {one.whole_of_name}", words, one.low, one.high, one.best))
    bound = numbers.bound
    if bound is not None and bound.high is not None and answer.parts:
        name = f"All figures together, {numbers.bound_state}"
        rows.append(IntervalRow(name, span(bound.low, bound.high, first=first), bound.low, bound.high))
    return rows[:MOST_ROWS]


def _sum(answer: WeightAnswer, first: str) -> list[IntervalRow]:
    if not answer.parts:
        return []
    # Where a share of the oil around may be in it the parts are dry: the oil has a line of its own.
    state = answer.states[0] if answer.headline.fluid_elsewhere else answer.headline
    for route in state.rests.routes:
        if route.what in {"its parts", "its known parts"}:
            known = route.high is None
            name = "Sum of the known parts" if known else "Sum of the parts"
            if route.high is None:
                words = f"at least {pair(route.low, route.low / 1000, first=first)}"
            else:
                words = span(route.low, route.high, first=first)
            return [IntervalRow(name, words, route.low, route.high)]
    if state.basis == "sum of parts" and not state.nothing_known:
        high = state.high if state.complete else None
        name = "Sum of the parts" if state.complete else "Sum of the known parts"
        says = span(state.low, state.high, first=first) if state.complete else with_doubt(state, first=first)
        return [IntervalRow(name, says, state.low, high, state.best)]
    for said in answer.statements:
        if said.parts_low is not None and said.parts_high is not None:
            known = said.missing_low is not None
            name = "Sum of the known parts" if known else "Sum of the parts"
            words = span(said.parts_low, said.parts_high, first=first)
            high = None if known else said.parts_high
            return [IntervalRow(name, f"at least {words}" if known else words, said.parts_low, high)]
    return []


def interval_drawing(rows: Sequence[IntervalRow], title: str, *, first: str = "kg") -> Markup | None:
    """The rows one under the other on one axis; the limits of the first run down through all.

    Parameters
    ----------
    rows : sequence of IntervalRow
    title : str
        For people who do not see the drawing.
    first : str
        kg or lb on the axis.

    Returns
    -------
    Markup or None
        None for fewer than two rows: there is nothing to hold beside one another.
    """
    if len(rows) < 2:
        return None
    ends = [float(row.low) for row in rows] + [float(row.high) for row in rows if row.high is not None]
    axis = Axis.over(min(ends), max(ends), _SIDE, WIDTH - _SIDE, first)
    shapes, words, lines = [], [], []
    top = _TOP
    for row in rows:
        for text, kind in ((row.name, "halo"), (row.says, "halo plain")):
            told = wrapped(text, WIDTH - 2 * _SIDE)
            words += [
                f'<text class="{kind}" x="{_SIDE:.0f}" y="{top + LINE * n - 4.5:.1f}">{escape(line)}</text>'
                for n, line in enumerate(told, 1)
            ]
            top += LINE * len(told)
        lines.append(top + _UNDER)
        shapes.append(_line(row, axis, top + _UNDER))
        top += _ROW
    foot = top + 6
    height = top + _FOOT
    shapes.insert(0, _guides(rows[0], axis, lines[0], foot))
    marks = [
        f'<path class="axis" d="M{axis.at(kg):.1f} {foot:.1f}v5"/>'
        f'<text class="plain" text-anchor="middle" x="{x:.1f}" y="{foot + 21:.1f}">{text}</text>'
        for kg, x, text in axis.marked()
    ]
    base = f'<path class="axis" d="M{_SIDE:.0f} {foot:.1f}H{WIDTH - _SIDE:.0f}"/>'
    says = f"{title}: " + "; ".join(f"{row.name} {row.says}" for row in rows)
    return framed(says, height, *shapes, *words, base, *marks)


def _guides(row: IntervalRow, axis: Axis, top: float, foot: float) -> str:
    limits = [row.low] if row.high is None else [row.low, row.high]
    return "".join(
        f'<path class="guide" d="M{axis.at(float(kg)):.1f} {top:.1f}V{foot:.1f}"/>' for kg in limits
    )


def _line(row: IntervalRow, axis: Axis, y: float) -> str:
    left = axis.at(float(row.low))
    if row.high is None:
        right, end = WIDTH - _SIDE, "m-7 -6l7 6l-7 6"
    else:
        right, end = max(axis.at(float(row.high)), left + 1), "m0 -6v12"
    best = f"M{axis.at(float(row.best)):.1f} {y - 8:.1f}v16" if row.best is not None else ""
    return f'<path class="span" d="M{left:.1f} {y - 6:.1f}v12m0 -6H{right:.1f}{end}{best}"/>'


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis of mass along a drawing, with round figures in one unit."""

    low: float
    high: float
    start: float
    end: float
    first: str

    @classmethod
    def over(cls, low: float, high: float, start: float, end: float, first: str) -> Axis:
        """An axis that holds two masses with some room beside them. [kg, drawing units]"""
        # Figures that differ by less than a drawing can show are drawn as one, with room around it.
        apart = high - low if high - low > abs(high) * 1e-6 else 0.0
        room = apart * 0.06 or max(abs(high) * 0.02, 0.01)
        return cls(max(low - room, 0.0), high + room, start, end, first)

    def at(self, kg: float) -> float:
        """The place of a mass in the drawing."""
        return self.start + (self.end - self.start) * (kg - self.low) / (self.high - self.low)

    def ticks(self, most: int = 4) -> list[tuple[float, str]]:
        """Masses at round figures of the unit, with their words. [kg]"""
        unit = LB if self.first == "lb" else KG
        low, high = (float(in_unit(kg, unit)) for kg in (self.low, self.high))
        raw = (high - low) / most
        step = 10.0 ** math.floor(math.log10(raw))
        step *= next(factor for factor in (1, 2, 5, 10) if factor * step >= raw)
        places = max(0, -math.floor(math.log10(step)))
        per_kg = float(in_unit(1.0, unit))
        count = range(math.ceil(low / step), math.floor(high / step) + 1)
        return [(n * step / per_kg, f"{figure(n * step, places)} {self.first}") for n in count]

    def marked(self, most: int = 4) -> list[tuple[float, float, str]]:
        """The ticks whose words fit beside one another along a level axis: mass, middle of the words, words.

        Every second, third ... tick is left out where they would not.
        """
        ticks = self.ticks(most)
        for each in range(1, len(ticks) + 1):
            found = []
            for kg, text in ticks[::each]:
                half = width_of(text) / 2
                # kept so far inside that the words do
                found.append((kg, min(max(self.at(kg), self.start + half), self.end - half), text))
            edges = [(x - width_of(text) / 2, x + width_of(text) / 2) for _, x, text in found]
            if all(right + 4 <= left for (_, right), (left, _) in itertools.pairwise(edges)):
                break
        return found
