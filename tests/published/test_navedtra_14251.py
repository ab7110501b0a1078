"""US Navy NAVEDTRA 14251 (Steelworker) and 14081 (Equipment Operator).

Rigging safety list: one leg's load times the number of legs is wrong for three and four legs; of four legs on
a rigid load two may carry all. Verified: page text. Field formula for shackles. Verified: manual page.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.leg_rules import by_rules
from handling_db.rigging.links import field_rule_shackle_kg

SHORT_TON = 907.18474


def test_of_four_legs_two_are_counted(factors):
    rule = factors.rule("rigid-load-two-carry")

    two, four, three = (by_rules((rule,), n, math.radians(30), 1000.0)[0] for n in (2, 4, 3))

    assert four.single_leg_rating_kg == two.single_leg_rating_kg
    assert four.single_leg_rating_kg == pytest.approx(1000 / 2 / math.cos(math.radians(30)))
    assert three.single_leg_rating_kg is None
    assert three.says == "does not cover 3 legs at 30° from the vertical."


def test_shackle_field_formula_in_inches():
    found = field_rule_shackle_kg(0.625 * 0.0254)

    assert found / SHORT_TON == pytest.approx(1.1719, abs=0.00005)
    # Exactly 2,343.75, which the manual rounds up.
    assert found / 0.45359237 == pytest.approx(2343.8, abs=0.0501)


def test_shackle_field_formula_in_centimetres():
    """Printed as 0.417 D2 tonnes; 1.59 cm gives 1.05 t."""
    assert field_rule_shackle_kg(0.0159) / 1000 == pytest.approx(1.05, abs=0.02)
    assert field_rule_shackle_kg(0.0159) / 1000 == pytest.approx(0.417 * 1.59**2, rel=0.015)
