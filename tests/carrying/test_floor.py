"""Floors: shares per foot, point loads, load per area."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.demand import Demand
from handling_db.carrying.floor import CentreOutsideFeetError, area_load, foot_shares, point_loads
from handling_db.moving.notices import told

SQUARE = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
PARTS = st.floats(min_value=0, max_value=1)


def test_three_feet_by_levers():
    shares = foot_shares([(0, 0), (1, 0), (0, 1)], (0.5, 0.2), patch=(0, 0))

    for one in (shares.even, shares.lowest, shares.highest):
        assert pytest.approx((0.3, 0.5, 0.2)) == one
    assert pytest.approx(shares.lowest) == shares.highest


def test_four_feet_in_the_middle_can_stand_on_two():
    shares = foot_shares(SQUARE, (0.5, 0.5), patch=(0, 0))

    assert pytest.approx((0.25,) * 4) == shares.even
    assert pytest.approx((0.0,) * 4) == shares.lowest
    assert pytest.approx((0.5,) * 4) == shares.highest
    assert told(shares.cautions)[0].startswith(
        "More than three feet: statics alone does not say how they share."
    )


def test_four_feet_off_the_middle():
    """By levers along each way: (1-x)(1-y) and so on is one of many answers; the even one lies on a plane."""
    shares = foot_shares(SQUARE, (0.6, 0.5), patch=(0, 0))

    assert pytest.approx((0.2, 0.3, 0.3, 0.2)) == shares.even
    assert pytest.approx((0.0, 0.1, 0.1, 0.0)) == shares.lowest
    assert pytest.approx((0.4, 0.5, 0.5, 0.4)) == shares.highest


def test_a_foot_that_would_pull_is_let_go():
    """Close to one corner a linear answer would pull at the far foot."""
    shares = foot_shares(SQUARE, (0.1, 0.1), patch=(0, 0))

    assert pytest.approx((0.8, 0.1, 0.0, 0.1)) == shares.even


@given(x=PARTS, y=PARTS, dx=st.floats(min_value=0, max_value=0.3), dy=st.floats(min_value=0, max_value=0.3))
def test_shares_balance_and_stay_within_their_range(x, y, dx, dy):
    shares = foot_shares(SQUARE, (x, y), patch=(dx, dy))

    assert sum(shares.even) == pytest.approx(1)
    assert sum(n * foot[0] for n, foot in zip(shares.even, SQUARE, strict=True)) == pytest.approx(x, abs=1e-7)
    assert sum(n * foot[1] for n, foot in zip(shares.even, SQUARE, strict=True)) == pytest.approx(y, abs=1e-7)
    for even, low, high in zip(shares.even, shares.lowest, shares.highest, strict=True):
        assert 0 <= low <= even + 1e-7
        assert even <= high + 1e-7 <= 1 + 2e-7


@given(x=PARTS, y=PARTS, a=st.floats(min_value=0, max_value=0.2), b=st.floats(min_value=0, max_value=0.2))
def test_more_doubt_never_narrows_the_range(x, y, a, b):
    narrow = foot_shares(SQUARE, (x, y), patch=(a, a))
    wide = foot_shares(SQUARE, (x, y), patch=(a + b, a + b))

    assert all(w <= n + 1e-9 for w, n in zip(wide.lowest, narrow.lowest, strict=True))
    assert all(w >= n - 1e-9 for w, n in zip(wide.highest, narrow.highest, strict=True))


def test_a_foot_inside_the_patch_may_carry_all():
    shares = foot_shares(SQUARE, (0.1, 0.1), patch=(0.15, 0.15))

    assert pytest.approx(shares.highest[0]) == 1.0
    assert (
        "Part of the patch of the centre of gravity lies outside the area between the feet: it may tip."
        in told(shares.cautions)
    )


def test_patch_not_recorded_is_said():
    shares = foot_shares([(0, 0), (1, 0), (0, 1)], (0.3, 0.3))

    assert "The doubt of the centre of gravity is not recorded: the shares are for one point only." in told(
        shares.cautions
    )


@given(
    feet=st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), min_size=3, max_size=6, unique=True),
    weights=st.lists(st.integers(1, 5), min_size=6, max_size=6),
)
def test_any_centre_between_the_feet_stands(feet, weights):
    """A mean of the feet with any weights lies between them."""
    (x0, y0), (x1, y1) = feet[0], feet[1]
    assume(any((x1 - x0) * (y - y0) != (x - x0) * (y1 - y0) for x, y in feet))
    total = sum(weights[: len(feet)])
    at = tuple(sum(w * foot[i] for w, foot in zip(weights, feet, strict=False)) / total for i in (0, 1))

    shares = foot_shares(feet, at, patch=(0, 0))

    assert sum(shares.even) == pytest.approx(1)
    assert min(shares.even) >= 0


@pytest.mark.parametrize(
    ("feet", "centre", "kind", "message"),
    [
        (
            SQUARE,
            (1.1, 0.5),
            CentreOutsideFeetError,
            "The centre of gravity at x 1.1 m, y 0.5 m is outside the area between the feet: it "
            "does not stand on "
            "them. Check the feet and the centre, or give other feet.",
        ),
        (
            SQUARE[:2],
            (0.5, 0),
            MovingInputError,
            "2 feet given; give 3 to 10. For a body on two runners give their four ends.",
        ),
        (
            [(0, 0), (1, 1), (2, 2)],
            (1, 1),
            MovingInputError,
            "All feet are in one line (or in one place): give feet that span an area.",
        ),
        (
            SQUARE,
            (float("inf"), 0),
            MovingInputError,
            "x of the centre of gravity is inf, which is not a figure: give it in metres.",
        ),
    ],
)
def test_errors(feet, centre, kind, message):
    with pytest.raises(kind) as error:
        foot_shares(feet, centre, patch=(0, 0))

    assert message == str(error.value)


def test_point_loads():
    shares = foot_shares(SQUARE, (0.5, 0.5), patch=(0, 0))
    load = Demand(name="stand", low_kg=390, high_kg=400)

    first = point_loads(SQUARE, shares, load, 0.01)[0]

    assert pytest.approx((first.even_kg, first.highest_kg, first.at_least_kg)) == (100, 200, 0)
    assert pytest.approx(first.pressure_kpa) == 200 * 9.80665 / 0.01 / 1000


def test_point_loads_of_an_at_least_mass():
    feet = [(0, 0), (1, 0), (0, 1)]
    shares = foot_shares(feet, (1 / 3, 1 / 3), patch=(0, 0))
    load = Demand(name="unit", low_kg=300, high_kg=None, missing=("drive",))

    first = point_loads(feet, shares, load, None)[0]

    assert (first.even_kg, first.highest_kg, first.pressure_kpa) == (None, None, None)
    assert pytest.approx(first.at_least_kg) == 100


@pytest.mark.parametrize(
    ("limit", "unit", "word"),
    [
        (1400, "kg/m2", "below"),
        (1300, "kg/m2", "above"),
        (13.1, "kN/m2", "below"),
        (13.0, "kN/m2", "above"),
        (273, "lb/ft2", "below"),
        (271, "lb/ft2", "above"),
        (None, None, "not known"),
    ],
)
def test_area_load_beside_a_limit(limit, unit, word):
    load = Demand(name="unit", low_kg=1275, high_kg=1275)

    assert word == area_load(load, area=0.96, limit=limit, limit_unit=unit).beside.word


def test_area_load_of_an_at_least_mass():
    load = Demand(name="unit", low_kg=960, high_kg=None, missing=("drive",))

    floor = area_load(load, area=0.96, limit=2000, limit_unit="kg/m2")

    assert (floor.beside.percent_at_least, floor.beside.word) == (True, "not known")
    assert pytest.approx(floor.kg_per_m2) == 1000


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"limit_unit": None},
            "the limit of floor, 500, has no unit that is known here: write kg/m2, kN/m2 or lb/ft2.",
        ),
        (
            {"area": None},
            "the footprint is not recorded: give the area that bears on the floor, in square "
            "metres. Nothing is "
            "assumed in its place.",
        ),
        (
            {"load": Demand(name="unit", low_kg=None, high_kg=None)},
            "the mass of unit is not recorded: give it in kg. Nothing is assumed in its place.",
        ),
    ],
)
def test_area_errors(change, message):
    values = {
        "load": Demand(name="unit", low_kg=1, high_kg=2),
        "area": 1.0,
        "limit": 500,
        "limit_unit": "kg/m2",
        **change,
    }
    with pytest.raises(MovingInputError) as error:
        area_load(values.pop("load"), **values)

    assert message == str(error.value)
