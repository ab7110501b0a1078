"""EN 818-4, Short link chain for lifting purposes: chain slings, grade 8; and EN 818-6, use.

Ratings and multiples: verified in secondary tables and a catalogue that restates the standard; edition not
stated. Symmetry test of EN 818-6: the 80 % in a secondary source, the 15 degrees from memory.
"""

from __future__ import annotations

import math

import pytest

from handling_db.rigging.tags import TagRow, one_leg

# mm: one leg; two legs up to 45, 45 to 60; three or four up to 45, 45 to 60 degrees from the vertical.
# Tonnes.
TABLE = [
    (6, 1.12, 1.60, 1.12, 2.36, 1.70),
    (7, 1.50, 2.12, 1.50, 3.15, 2.24),
    (8, 2.00, 2.80, 2.00, 4.25, 3.00),
    (10, 3.15, 4.25, 3.15, 6.70, 4.75),
    (13, 5.30, 7.50, 5.30, 11.20, 8.00),
    (16, 8.00, 11.20, 8.00, 17.00, 11.80),
    (20, 12.50, 17.00, 12.50, 26.50, 19.00),
    (22, 15.00, 21.20, 15.00, 31.50, 22.40),
    (26, 21.20, 30.00, 21.20, 45.00, 31.50),
    (32, 31.50, 45.00, 31.50, 67.00, 47.50),
]


@pytest.mark.parametrize("row", TABLE)
def test_printed_ratings_are_the_multiples_moved_to_preferred_numbers(row, factors):
    """Up to 4.2 % apart, either way: a product is no substitute for the tag."""
    single = row[1]
    rule = factors.rule("uniform-en-818-4")
    near, far = math.radians(45), math.radians(60)

    products = [
        rule.multiplier(2, near),
        rule.multiplier(2, far),
        rule.multiplier(3, near),
        rule.multiplier(4, far),
    ]

    for multiple, printed in zip(products, row[2:], strict=True):
        assert single * multiple == pytest.approx(printed, rel=0.042)


@pytest.mark.parametrize("row", TABLE)
@pytest.mark.parametrize("legs", [2, 3, 4])
def test_one_leg_by_the_lines_for_several_is_the_printed_one_or_a_little_less(row, legs, factors):
    """At most 1 % above it, which the step to a preferred number makes, with the lower of the two lines."""
    near, far = (row[2], row[3]) if legs == 2 else (row[4], row[5])
    lines = [TagRow(legs, 45.0, near), TagRow(legs, 60.0, far)]

    single = one_leg(lines, 40.0, factors.leg_rules)

    assert single is not None
    assert 0.95 * row[1] <= single.rating_kg <= 1.01 * row[1]


def test_the_preferred_number_goes_both_ways(factors):
    rule = factors.rule("uniform-en-818-4")

    assert 2.00 * rule.multiplier(3, 0.7) < 4.25
    assert 3.15 * rule.multiplier(2, 0.7) > 4.25


def test_beyond_sixty_degrees_there_is_no_rating(factors):
    assert factors.rule("uniform-en-818-4").multiplier(2, math.radians(60.1)) is None


# Verified: secondary.
@pytest.mark.parametrize(
    ("celsius", "part"),
    [(-41, None), (-40, 1.0), (200, 1.0), (250, 0.9), (300, 0.9), (400, 0.75), (401, None)],
)
def test_heat(celsius, part, factors):
    assert factors.heat("chain-en-818-4-grade-8").factor(celsius) == part
