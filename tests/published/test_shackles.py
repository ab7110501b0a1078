"""Shackles: side load factors, WAC 296-155-33905 Figure 17, and ratings of US Fed Spec RR-C-271 / EN 13889.

Factors: verified in four secondary sources. Bands of the regulation: verified; its reductions from memory.
Ratings: verified in a secondary supplier table.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import yaml

from handling_db.rigging.links import Link, link_rating

DATA = Path(__file__).parents[2] / "data" / "reference" / "rating-factors.yml"

RATINGS = [  # body mm, pin mm, tonnes
    (5, 6, 0.33),
    (6, 8, 0.50),
    (8, 10, 0.75),
    (9, 11, 1.00),
    (11, 13, 1.50),
    (13, 16, 2.00),
    (16, 19, 3.25),
    (19, 22, 4.75),
    (22, 25, 6.50),
    (25, 28, 8.50),
    (28, 32, 9.50),
    (32, 35, 12.0),
    (35, 38, 13.5),
    (38, 42, 17.0),
    (45, 50, 25),
    (50, 57, 35),
    (65, 70, 55),
    (75, 83, 85),
]


@pytest.mark.parametrize(
    ("degrees", "rating"), [(0, 1000), (5, 1000), (6, 700), (45, 700), (46, 500), (90, 500), (91, None)]
)
def test_side_load_by_bands(degrees, rating, factors):
    shackle = Link(
        name="shackle",
        kind="shackle",
        family="shackle-side-load",
        shouldered=None,
        size=None,
        straight_kg=1000.0,
        angled_kg=(),
        rating_source="body mark",
    )

    assert link_rating(shackle, math.radians(degrees), factors.families).rating_kg == rating


def test_reference_data_holds_the_printed_ratings():
    tables = yaml.safe_load(DATA.read_text(encoding="utf-8"))["ratings by size"]
    held = next(table for table in tables if table["id"] == "shackles-rr-c-271")

    assert [tuple(row) for row in held["rows"]] == RATINGS
