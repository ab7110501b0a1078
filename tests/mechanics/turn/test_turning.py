from __future__ import annotations

import math

import pytest

from handling_db.mechanics.turn.two_hooks import turned_spot


def test_a_spot_comes_up_on_the_lifted_side():
    assert turned_spot((1.5, 0.5), (0.5, 0.5), math.pi / 2) == pytest.approx((0.0, 1.0))
