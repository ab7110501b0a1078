from __future__ import annotations

import math

import pytest

from handling_db.mechanics.turn.settled import settled
from handling_db.quantities.amount import StaticsError

CUBE = [(float(x), float(y), float(z)) for z in (0, 1) for y in (0, 1) for x in (0, 1)]


@pytest.mark.parametrize(
    ("volume", "up", "at"),
    [
        (0.25, (0, 0, 1), (0.5, 0.5, 0.125)),  # a level layer
        (0.125, (1, 0, 1), (1 / 6, 0.5, 1 / 6)),  # a wedge along one edge: a third of its legs of 1/2
        (1 / 48, (1, 1, 1), (1 / 8, 1 / 8, 1 / 8)),  # a corner: a quarter of its legs of 1/2
        (1.0, (0.3, -0.2, 0.9), (0.5, 0.5, 0.5)),  # full
        (7.0, (0, 0, 1), (0.5, 0.5, 0.5)),  # more than it holds
        (0.25, (0, 0, -1), (0.5, 0.5, 0.875)),  # upside down
    ],
)
def test_closed_forms(volume, up, at):
    assert settled(CUBE, volume, up) == pytest.approx(at, abs=1e-6)


def test_two_wedges_make_the_box_whole():
    """What is left above the surface is the same liquid seen upside down: together the middle of the box."""
    up = (0.2, 0.5, math.sqrt(0.71))
    low = settled(CUBE, 0.3, up)
    high = settled(CUBE, 0.7, tuple(-v for v in up))
    assert [0.3 * a + 0.7 * b for a, b in zip(low, high, strict=True)] == pytest.approx([0.5] * 3, abs=1e-6)


@pytest.mark.parametrize(("corners", "volume"), [(CUBE[:7], 0.1), (CUBE, 0.0), (CUBE, math.nan)])
def test_no_box_or_no_liquid_is_refused(corners, volume):
    with pytest.raises(StaticsError, match="needs a volume above 0 and the eight corners"):
        settled(corners, volume, (0, 0, 1))
