"""29 CFR 1910.184, Slings.

(b), "angle of loading": within 5 degrees of the vertical counts as vertical. Verified: regulation text.
The tables N-184-1 and N-184-3 to N-184-22 were removed by 76 FR 33590 (8 June 2011). Verified: Federal
Register text.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from handling_db.rigging.links import Link, link_rating

DATA = Path(__file__).parents[2] / "data" / "reference" / "rating-factors.yml"


@pytest.mark.parametrize(("degrees", "rating"), [(0, 700), (5, 700), (5.1, 500)])
def test_within_five_degrees_counts_as_straight(degrees, rating, factors):
    bolt = Link(
        name="eye bolt",
        kind="eye bolt",
        family="lifting-eye-din-580",
        shouldered=True,
        size="M16",
        straight_kg=700.0,
        angled_kg=(),
        rating_source="tag",
    )

    figure = link_rating(bolt, math.radians(degrees), factors.families)

    assert figure.rating_kg == pytest.approx(rating)


def test_no_removed_table_is_cited():
    assert "N-184" not in DATA.read_text(encoding="utf-8")
