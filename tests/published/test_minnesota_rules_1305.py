"""Minnesota Rules 1305.1607, crane impact. Verified: rule text. For structures, not for lift plans."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("feet_per_minute", "percent"), [(0, 15), (20, 15), (30, 15), (60, 30), (100, 50), (150, 50)]
)
def test_impact_by_hoist_speed(feet_per_minute, percent, factors):
    rule = factors.allowance("crane-impact-minnesota")

    assert rule.factor(feet_per_minute) == pytest.approx(1 + percent / 100)
    assert "design of the structure" in rule.caution
