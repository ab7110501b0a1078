"""Shop charts for shouldered machinery eye bolts, and plain eye bolts by ASME B30.26.

Verified: secondary. The first chart prints 100, 80, 65, 30, 25 % at 5, 15, 30, 45, 90 degrees; a second table 25 % at
exactly 45 degrees (design factor 5), which is read; its 55 % at 15 degrees is from memory.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.links import Link, link_rating


def link(family: str | None, shouldered: bool | None) -> Link:
    return Link(
        name="eye",
        kind="eye bolt",
        family=family,
        shouldered=shouldered,
        size="M16",
        straight_kg=1000.0,
        angled_kg=(),
        rating_source="tag",
    )


def rating(family, shouldered, degrees, factors, sideways=False):
    return link_rating(
        link(family, shouldered), math.radians(degrees), factors.families, sideways=sideways
    ).rating_kg


FIRST = {5: 1.00, 15: 0.80, 30: 0.65, 45: 0.30, 90: 0.25}
SECOND = {5: 1.00, 15: 0.55, 45: 0.25}


def by_chart(chart, degrees):
    return next((part for to, part in chart.items() if degrees <= to), None)


@pytest.mark.parametrize("degrees", [*range(0, 91, 1)])
def test_where_the_charts_differ_the_stricter_counts_at_each_angle(degrees, factors):
    printed = [part for chart in (FIRST, SECOND) if (part := by_chart(chart, degrees)) is not None]

    assert rating("shouldered-machinery-eye", True, degrees, factors) == pytest.approx(1000 * min(printed))


@pytest.mark.parametrize(("degrees", "percent"), [(0, 100), (5, 100), (15, 55), (30, 25), (45, 25), (90, 25)])
def test_figures_of_the_two_charts_together(degrees, percent, factors):
    assert rating("shouldered-machinery-eye", True, degrees, factors) == pytest.approx(10 * percent)


# Second table, lb: straight and at 45 degrees.
@pytest.mark.parametrize(("straight", "at_45"), [(2266, 567), (6292, 1573), (14080, 3520)])
def test_at_forty_five_degrees_the_stricter_second_table_is_taken(straight, at_45, factors):
    factor = factors.family("shouldered-machinery-eye").factor(45)

    assert factor is not None
    assert straight * factor == pytest.approx(at_45, abs=0.5)
    assert factor < 0.30


def test_between_printed_angles_the_wider_one_counts(factors):
    assert rating("shouldered-machinery-eye", True, 16, factors) == pytest.approx(250)
    assert rating("shouldered-machinery-eye", True, 31, factors) == pytest.approx(250)


def test_out_of_the_plane_of_the_eye_there_is_no_rating(factors):
    assert rating("shouldered-machinery-eye", True, 30, factors, sideways=True) is None


def test_plain_eye_bolts_take_no_angled_pull(factors):
    assert rating("plain-eye", False, 5, factors) == 1000.0
    assert rating("plain-eye", False, 6, factors) is None


def test_families_are_not_mixed_and_the_stricter_counts_when_unknown(factors):
    """The two bases differ by nearly 3 to 1 at 45 degrees."""
    din = rating("lifting-eye-din-580", True, 45, factors)
    machinery = rating("shouldered-machinery-eye", True, 45, factors)

    assert din / machinery == pytest.approx(500 / 700 / 0.25)
    assert rating(None, True, 45, factors) == machinery
    # Nobody looked whether it has a shoulder: it may be a plain one, which has no angled rating at all.
    assert rating(None, None, 45, factors) is None
