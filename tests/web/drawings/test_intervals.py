"""Drawings of intervals and sweeps: to scale, open where there is no limit, in words, black lines only."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handling_db.evidence.answer import SweepAnswer, SweepLine
from handling_db.web.drawings.intervals import Axis, IntervalRow, interval_drawing
from handling_db.web.drawings.sweep import sweep_drawing
from handling_db.weights.answer import StateFigure

SUM = IntervalRow("Sum of the parts", "440 to 450 kg", Fraction(440), Fraction(450), Fraction(445))
BOOK = IntervalRow("A book", "410 to 420 kg", 410.0, 420.0)


def spans(drawing: str) -> list[tuple[float, float]]:
    """Left and right end of each line."""
    paths = re.findall(r'class="span" d="M([\d.]+) [\d.]+v12m0 -6H([\d.]+)', drawing)
    return [(float(left), float(right)) for left, right in paths]


def test_lines_are_to_one_scale() -> None:
    drawing = interval_drawing([SUM, BOOK], "t")
    assert drawing is not None
    (sum_left, sum_right), (book_left, book_right) = spans(str(drawing))

    assert sum_right - sum_left == pytest.approx(book_right - book_left, abs=0.2)
    assert sum_left - book_right == pytest.approx(2 * (sum_right - sum_left), abs=0.3)


def test_no_upper_limit_is_an_arrow_to_the_edge() -> None:
    drawing = str(interval_drawing([IntervalRow("Known parts", "at least 440 kg", 440.0, None), BOOK], "t"))

    assert spans(drawing)[0][1] == 390 - 16
    assert drawing.count("l7 6l-7 6") == 1
    assert drawing.count('class="guide"') == 1  # only the lower limit is carried down


def test_one_line_has_nothing_beside_it() -> None:
    assert interval_drawing([SUM], "t") is None


def test_words_are_escaped_and_colour_is_left_to_the_sheet() -> None:
    drawing = str(interval_drawing([SUM, IntervalRow("<b> & co", "1 kg", 410.0, 420.0)], "x"))

    ET.fromstring(drawing)
    assert "<b>" not in drawing
    assert "fill=" not in drawing
    assert "style=" not in drawing


@example([(100000.0, 0.0, False), (100000.0, 1.192092896e-07, False)], "kg")
@given(
    st.lists(st.tuples(st.floats(0, 1e6), st.floats(0, 1e5), st.booleans()), min_size=2, max_size=14),
    st.sampled_from(["kg", "lb"]),
)
def test_every_drawing_is_well_formed_and_stays_inside(
    figures: list[tuple[float, float, bool]], first: str
) -> None:
    rows = [IntervalRow("a", "b", low, None if endless else low + wide) for low, wide, endless in figures]
    drawing = str(interval_drawing(rows, "t", first=first))

    ET.fromstring(drawing)
    assert len(spans(drawing)) == len(rows)
    for left, right in spans(drawing):
        assert 15.9 <= left <= right <= 390 - 15


@given(st.floats(0, 1e6), st.floats(1e-3, 1e5), st.sampled_from(["kg", "lb"]))
def test_axis_has_a_few_round_ticks_inside(low: float, wide: float, first: str) -> None:
    axis = Axis.over(low, low + wide, 0, 100, first)
    ticks = axis.ticks()

    assert 1 <= len(ticks) <= 6
    assert all(axis.low - 1e-6 <= kg <= axis.high + 1e-6 for kg, _ in ticks)
    assert len({text for _, text in ticks}) == len(ticks)


def swept(*lines: SweepLine) -> SweepAnswer:
    return SweepAnswer("a", "A", "n", "each", "", "dry", (), lines)


def line(value: float, low: float, high: float, *, complete: bool = True) -> SweepLine:
    figure = StateFigure("dry", (low + high) / 2, low, high, complete, "sum of parts")
    return SweepLine(f"{value:g}", value, figure)


def test_sweep_leaves_out_builds_that_cannot_be() -> None:
    drawing = str(sweep_drawing(swept(line(1, 5, 6), SweepLine("2", 2.0, None, "no"), line(3, 7, 8))))

    ET.fromstring(drawing)
    assert drawing.count('class="span"') == 2


def test_sweep_with_a_gap_points_upward() -> None:
    drawing = str(sweep_drawing(swept(line(1, 5, 6), line(2, 6, 7, complete=False))))

    assert "m-5 7l5 -7l5 7" in drawing


def test_words_and_single_values_are_not_drawn() -> None:
    words = SweepLine("yes", None, line(1, 5, 6).figure)

    assert sweep_drawing(swept(words, words)) is None
    assert sweep_drawing(swept(line(1, 5, 6))) is None
