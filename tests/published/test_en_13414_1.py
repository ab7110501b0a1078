"""EN 13414-1:2003, Steel wire rope slings, Table 4 (steel core, ferrule-secured). Verified: excerpt read."""

from __future__ import annotations

import math

import pytest

TABLE = [
    (8, 0.750, 1.05, 0.750, 1.55, 1.10),
    (13, 2.00, 2.80, 2.00, 4.15, 3.00),
    (20, 4.60, 6.50, 4.60, 9.80, 6.90),
]


@pytest.mark.parametrize("row", TABLE)
def test_multiples_of_one_leg(row, factors):
    rule = factors.rule("uniform-en-818-4")
    near, far = math.radians(45), math.radians(60)

    for (count, lean), printed in zip(((2, near), (2, far), (3, near), (4, far)), row[2:], strict=True):
        assert row[1] * rule.multiplier(count, lean) == pytest.approx(printed, rel=0.025)
