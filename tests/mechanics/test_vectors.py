from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.vectors import (
    IDENTITY,
    add,
    angle_between,
    any_across,
    apply,
    compose,
    cross,
    dot,
    length,
    rotation,
    rotation_about,
    rotation_onto,
    scale,
    solve,
    subtract,
    transpose,
    unit,
)

angles = st.floats(-math.pi, math.pi)
coordinates = st.floats(-10, 10)
vectors = st.tuples(coordinates, coordinates, coordinates)
directions = vectors.filter(lambda v: length(v) > 0.01).map(unit)


def test_a_quarter_turn_of_yaw_lays_x_on_y():
    assert apply(rotation(0, 0, math.pi / 2), (1, 0, 0)) == pytest.approx((0, 1, 0), abs=1e-15)


def test_a_quarter_turn_of_pitch_lays_x_on_minus_z():
    assert apply(rotation(0, math.pi / 2, 0), (1, 0, 0)) == pytest.approx((0, 0, -1), abs=1e-15)


def test_a_quarter_turn_of_roll_lays_y_on_z():
    assert apply(rotation(math.pi / 2, 0, 0), (0, 1, 0)) == pytest.approx((0, 0, 1), abs=1e-15)


def test_roll_comes_first():
    """Roll lays y on z, and yaw then leaves z alone; yaw first would end elsewhere."""
    assert apply(rotation(math.pi / 2, 0, math.pi / 2), (0, 1, 0)) == pytest.approx((0, 0, 1), abs=1e-15)


@given(angles, angles, angles, vectors)
def test_rotation_is_three_turns_about_fixed_axes(roll, pitch, yaw, point):
    step = apply(rotation_about((1, 0, 0), roll), point)
    step = apply(rotation_about((0, 1, 0), pitch), step)
    step = apply(rotation_about((0, 0, 1), yaw), step)

    assert apply(rotation(roll, pitch, yaw), point) == pytest.approx(step, abs=1e-12)


@given(angles, angles, angles)
def test_a_rotation_times_its_transpose_changes_nothing(roll, pitch, yaw):
    turn = rotation(roll, pitch, yaw)

    for row, expected in zip(compose(turn, transpose(turn)), IDENTITY, strict=True):
        assert row == pytest.approx(expected, abs=1e-14)
    assert dot(turn[0], cross(turn[1], turn[2])) == pytest.approx(1.0)


@given(directions, directions)
def test_rotation_onto_lays_one_direction_on_another(source, target):
    assert apply(rotation_onto(source, target), source) == pytest.approx(target, abs=1e-7)


def test_rotation_onto_the_opposite():
    assert apply(rotation_onto((0, 0, 1), (0, 0, -1)), (0, 0, 1)) == pytest.approx((0, 0, -1), abs=1e-15)


@given(directions)
def test_any_across_is_square_to_it(direction):
    assert dot(direction, any_across(direction)) == pytest.approx(0, abs=1e-12)


def test_small_angles_are_exact():
    assert angle_between((1, 0, 0), (1, 1e-9, 0)) == pytest.approx(1e-9, rel=1e-9)


def test_a_vector_without_length_has_no_direction():
    with pytest.raises(ValueError, match="a vector without length has no direction"):
        unit((0, 0, 0))


def test_solve_gives_factors_and_what_remains():
    factors, left = solve([(1, 0, 0), (1, 1, 0)], (3, 2, 5))

    assert factors == pytest.approx([1, 2])
    assert left == pytest.approx(5)


def test_solve_gives_nothing_for_columns_that_depend_on_one_another():
    assert solve([(1, 2, 3), (2, 4, 6)], (1, 2, 3)) is None
    assert solve([(0, 0, 0)], (1, 0, 0)) is None


def test_sums_and_differences():
    assert add((1, 2, 3), (4, 5, 6), (0, 0, 1)) == (5, 7, 10)
    assert subtract((1, 2, 3), (0, 0, 1)) == (1, 2, 2)
    assert scale((1, 2, 3), 2) == (2, 4, 6)
