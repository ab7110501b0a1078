"""US Navy NAVEDTRA 14251 (Steelworker) and 14081 (Equipment Operator).

Rigging safety list: one leg's load times the number of legs is wrong for three and four legs; of four legs on
a rigid load two may carry all. Verified: page text. Field formula for shackles. Verified: manual page.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.leg_rules import by_rules
from tests.telling import words

SHORT_TON = 907.18474


def test_of_four_legs_two_are_counted(factors):
    rule = factors.rule("rigid-load-two-carry")

    two, four, three = (by_rules((rule,), n, math.radians(30), 1000.0)[0] for n in (2, 4, 3))

    assert four.single_leg_rating_kg == two.single_leg_rating_kg
    assert four.single_leg_rating_kg == pytest.approx(1000 / 2 / math.cos(math.radians(30)))
    assert three.single_leg_rating_kg is None
    assert words([three.says])[0] == "does not cover 3 legs at 30° from the vertical."
