"""Weights of steel bars, tubes and plate by the rules of metal suppliers' tables.

Verified: secondary (several suppliers' pages that repeat each other; none names an edition). The tables
state 0.2836 lb/in³, rounded to 0.283 or 0.284, or 7850 kg/m³, so coefficients agree to 0.3 %, not better.
"""

import pytest

from handling_db.families import shape_kinds as kinds
from handling_db.families.shapes import weigh

INCH, FOOT, POUND = 0.0254, 0.3048, 0.45359237
POUND_PER_CUBIC_INCH = POUND / INCH**3


def pounds(shape, density=0.2833 * POUND_PER_CUBIC_INCH):
    return weigh(shape, density).best / POUND


@pytest.mark.parametrize("size", [0.5, 1, 2.25, 3])
@pytest.mark.parametrize(
    ("make", "coefficient"),
    [
        (lambda d: kinds.cylinder(diameter=d, length=FOOT), 2.667),
        (lambda d: kinds.box(length=FOOT, width=d, height=d), 3.396),
        (lambda d: kinds.hexagon_prism(across_flats=d, length=FOOT), 2.942),
    ],
    ids=["round", "square", "hexagon"],
)
def test_pounds_per_foot_of_bar(make, coefficient, size):
    assert pounds(make(size * INCH)) == pytest.approx(coefficient * size**2, rel=0.003)


@pytest.mark.parametrize(("width", "thickness"), [(2, 0.5), (6, 0.25)])
def test_pounds_per_foot_of_flat(width, thickness):
    flat = kinds.box(length=FOOT, width=width * INCH, height=thickness * INCH)

    assert pounds(flat) == pytest.approx(3.396 * width * thickness, rel=0.003)


@pytest.mark.parametrize(("outside", "wall"), [(2, 0.125), (36, 0.75)])
def test_pounds_per_foot_of_tube(outside, wall):
    """10.6802 t (OD - t), printed to six digits: 0.2833 lb/in³ exactly."""
    tube = kinds.tube(outside=outside * INCH, wall=wall * INCH, length=FOOT)

    assert pounds(tube) == pytest.approx(10.6802 * wall * (outside - wall), rel=5e-6)


def test_pounds_per_square_foot_of_plate():
    plate = kinds.plate(length=FOOT, width=FOOT, thickness=INCH)

    assert pounds(plate) == pytest.approx(40.8, abs=0.05)


def test_shop_rule_for_round_bar():
    """(4 d)² / 6 lb per foot: 24 lb for 3 in; 24.05 by 490 lb/ft³."""
    bar = kinds.cylinder(diameter=3 * INCH, length=FOOT)

    assert pounds(bar, 490 * POUND / FOOT**3) == pytest.approx(24.05, abs=0.005)
    assert pounds(bar) == pytest.approx((4 * 3) ** 2 / 6, rel=0.003)


@pytest.mark.parametrize(
    ("diameter", "printed", "step"),
    [(12, 0.89, 0.01), (20, 2.47, 0.01), (50, 15.4, 0.1), (100, 61.65, 0.01), (200, 246.62, 0.01)],
)
def test_kilograms_per_metre_of_round_bar(diameter, printed, step):
    """At 7850 kg/m³, to the digits printed. One table has 61.66 for 100 mm, 61.65 by its own coefficient."""
    bar = kinds.cylinder(diameter=diameter / 1000, length=1.0)

    assert weigh(bar, 7850).best == pytest.approx(printed, abs=step / 2 + 1e-9)
    assert weigh(bar, 7850).best == pytest.approx(0.0061654 * diameter**2, rel=1e-5)


def test_kilograms_per_square_metre_of_plate():
    plate = kinds.plate(length=1.0, width=1.0, thickness=0.001)

    assert weigh(plate, 7850).best == pytest.approx(7.85)
