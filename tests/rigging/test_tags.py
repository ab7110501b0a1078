from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.files.rating_factors import rating_factors
from handling_db.quantities.amount import StaticsError
from handling_db.rigging.leg_rules import by_rules, plan_angles
from handling_db.rigging.tags import TagRow, lean_of, one_leg, row_for, whole

RULES = rating_factors().leg_rules
# Grade 8 chain, 8 mm, EN 818-4 (secondary table): single 2.00 t; three or four legs 4.25 t to 45, 3.00 t to 60.
THREE = [TagRow(3, 45.0, 4250.0), TagRow(3, 60.0, 3000.0)]


def test_angles_by_the_three_conventions() -> None:
    assert lean_of(30, "vertical") == 30
    assert lean_of(60, "horizontal") == 30
    assert lean_of(60, "included") == 30
    with pytest.raises(
        StaticsError, match="angles count from 'plumb'; write one of vertical, horizontal, included"
    ):
        lean_of(30, "plumb")
    with pytest.raises(StaticsError, match="200° \\(vertical\\) is no angle that a leg can have"):
        lean_of(200, "vertical")


def test_one_leg_by_the_tag_of_three() -> None:
    by_45, by_60 = one_leg(THREE, 40, RULES), one_leg(THREE, 50, RULES)

    assert by_45 is not None
    assert by_60 is not None
    # The largest published factor leaves the least: 3 cos 45 = 2.121 against 2.1; of the two lines the lower counts.
    assert one_leg(THREE[:1], 40, RULES).rating_kg == pytest.approx(4250 / (3 * math.cos(math.pi / 4)))  # type: ignore[union-attr]
    assert by_45.rating_kg == pytest.approx(3000 / 1.5)
    assert by_60.rating_kg == pytest.approx(3000 / 1.5)
    assert one_leg(THREE, 61, RULES) is None


def test_a_tag_to_a_steep_angle_is_not_read_with_the_factor_of_a_wide_band() -> None:
    # Alloy chain grade 100, 9/32 in, lb as printed: 1 leg 4,300; three legs 11,200 at 60 from the horizontal.
    single = one_leg([TagRow(3, lean_of(60, "horizontal"), 11200.0)], 20, RULES)

    assert single is not None
    assert single.rating_kg == pytest.approx(4300, abs=100 / 3)
    assert single.rating_kg < 11200 / 2.1


def test_the_lowest_of_its_own_line_and_the_others() -> None:
    assert one_leg([TagRow(1, None, 1900.0), *THREE], 40, RULES).rating_kg == 1900  # type: ignore[union-attr]
    # 2.05 t is rounding beside the 2.00 t of the lines for three; 2.10 t is not.
    assert one_leg([TagRow(1, None, 2050.0), *THREE], 40, RULES).rating_kg == 2050  # type: ignore[union-attr]
    lower = one_leg([TagRow(1, None, 2100.0), *THREE], 40, RULES)
    assert lower is not None
    assert lower.row.legs == 3


def test_a_line_without_an_angle_is_read_as_for_plumb_legs() -> None:
    single = one_leg([TagRow(3, None, 1050.0)], 30, RULES)

    assert single is not None
    assert single.rating_kg == pytest.approx(350)
    assert row_for([TagRow(3, None, 1050.0)], 3, 30) is None


def test_legs_that_no_rule_covers_count_as_all_carrying_alike() -> None:
    single = one_leg([TagRow(6, 45.0, 6000.0)], 30, RULES)

    assert single is not None
    assert single.rule is None
    assert single.rating_kg == pytest.approx(6000 / (6 * math.cos(math.pi / 4)))


def test_a_slack_leg_leaves_the_tag_of_the_legs_that_carry() -> None:
    left = whole(THREE, 2, 40, RULES, slack=True)

    assert left is not None
    assert left.factor == pytest.approx(1.4)  # under 2 cos 40 = 1.53
    assert left.rating_kg == pytest.approx(1.4 * 2000)
    own = whole([*THREE, TagRow(2, 45.0, 2500.0)], 2, 40, RULES, slack=True)
    assert own is not None
    assert own.rating_kg == 2500
    assert whole(THREE, 2, 40, RULES, slack=False) is None


def test_one_leg_left_is_one_leg() -> None:
    left = whole(THREE, 1, 10, RULES, slack=True)

    assert left is not None
    assert left.rating_kg == pytest.approx(2000)


@given(st.integers(2, 4), st.floats(0, 60), st.floats(100, 10000), st.floats(0, 60))
def test_one_leg_never_gets_more_than_any_published_rule_leaves_it(
    legs: int, limit: float, rated: float, lean: float
) -> None:
    single = one_leg([TagRow(legs, limit, rated)], lean, RULES)

    if lean > limit + 1e-6:
        assert single is None
        return
    assert single is not None
    for rule in RULES:
        times = rule.multiplier(legs, math.radians(limit))
        if rule.rates_tags and times is not None:
            assert single.rating_kg <= rated / times + 1e-9


def test_uniform_factors_hold_from_fifteen_to_sixty_degrees_and_for_even_legs_only() -> None:
    def asks(lean: float, because: tuple[str, ...] = ()) -> dict[str, float | None]:
        found = by_rules(RULES, 3, math.radians(lean), 1000.0, uneven_because=because)
        return {figure.rule: figure.single_leg_rating_kg for figure in found}

    uniform = "uniform rating of chain slings"
    assert asks(15)[uniform] == pytest.approx(1000 / 2.1)
    assert asks(60)[uniform] == pytest.approx(1000 / 1.5)
    assert asks(14)[uniform] is None
    assert asks(61)[uniform] is None
    assert asks(30, ("the legs lean 20° apart, more than 15°.",))[uniform] is None
    # The trigonometric method needs no even legs to give its figure.
    assert asks(14, ("a leg leans 14°.",))["trigonometric method, three of four carry"] is not None


def test_angles_seen_from_above_go_all_the_way_round() -> None:
    third = 2 * math.pi / 3

    assert plan_angles([0.1, 0.1 + third, 0.1 - third]) == pytest.approx([third] * 3)
    assert plan_angles([0.0, math.pi / 2]) == pytest.approx([math.pi / 2, 1.5 * math.pi])
    assert plan_angles([None, 0.3]) == []
