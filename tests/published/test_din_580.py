"""DIN 580 lifting eye bolts and DIN 582 lifting eye nuts, Table A.1 (safety factor 6, -20 to +200 degrees C).

Verified: secondary, a sheet that reproduces Annex A. That the 45 degree figure is per bolt is from memory.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.links import Link, link_rating
from tests.telling import words

TABLE = [
    ("M8", 140, 100),
    ("M10", 230, 170),
    ("M12", 340, 240),
    ("M16", 700, 500),
    ("M20", 1200, 860),
    ("M24", 1800, 1290),
    ("M30", 3200, 2300),
    ("M36", 4600, 3300),
    ("M42", 6300, 4500),
    ("M48", 8600, 6100),
    ("M56", 11500, 8200),
    ("M64", 16000, 11000),
    ("M72x6", 20000, 14000),
    ("M80x6", 28000, 20000),
    ("M100x6", 40000, 29000),
]


def bolt(size: str | None, straight: float) -> Link:
    return Link(
        name=f"eye bolt {size}",
        kind="eye bolt",
        family="lifting-eye-din-580",
        shouldered=True,
        size=size,
        straight_kg=straight,
        angled_kg=(),
        rating_source="tag",
    )


@pytest.mark.parametrize(("size", "straight", "angled"), TABLE)
def test_a_tag_with_the_straight_rating_gives_the_printed_angled_one(size, straight, angled, factors):
    figure = link_rating(bolt(size, float(straight)), math.radians(45), factors.families)

    assert figure.rating_kg == pytest.approx(angled)
    assert 0.68 < angled / straight < 0.745
    assert "DIN 580" in words([figure.basis])[0]


def test_without_a_size_the_smallest_printed_ratio_is_taken(factors):
    figure = link_rating(bolt(None, 1000.0), math.radians(30), factors.families)

    assert figure.rating_kg == pytest.approx(1000 * 11000 / 16000)


def test_beyond_forty_five_degrees_there_is_no_rating(factors):
    figure = link_rating(bolt("M16", 700.0), math.radians(46), factors.families)

    assert figure.rating_kg is None
    assert words(figure.says)[0].startswith(
        "eye bolt M16: lifting eye bolt to DIN 580 or eye nut to DIN 582 has no rating at 46° from its axis"
    )
