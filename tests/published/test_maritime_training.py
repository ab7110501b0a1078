"""Rigging page of a university's maritime training course: two unequal legs. Verified: page read.

The printed inputs are impossible as geometry: 4 ft and 14 ft legs do not fit 2 ft and 10 ft across with 3 ft
of height.
"""

from __future__ import annotations

import pytest

from handling_db.mechanics.hang.hanging import settle
from handling_db.rigging.legs import carry


def test_consistent_lengths_by_statics():
    """4,006.2 and 2,320.1 are our own arithmetic, not printed."""
    case = carry(
        {"1": (-2, 0, 0), "2": (10, 0, 0)}, (0, 0, 3), (0, 0, -1), 4000.0, flat_angle_stated_by="the example"
    )
    assert [leg.tension_kg for leg in case.legs] == pytest.approx([4006.2, 2320.1], abs=0.05)


def test_the_printed_lengths_cannot_be():
    """Legs of 4 and 14 from points 2 and 10 to the side, 3 under the hook: the hook is plumb over neither."""
    rest = settle({"1": (-2, 0, 0), "2": (10, 0, 0)}, {"1": 4.0, "2": 14.0}, (0, 0, -1))
    assert rest.tilt > 0.1
