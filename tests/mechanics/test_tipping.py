from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handling_db.mechanics.tipping import stand, support_polygon, tip_or_slide, tipping_push_n
from handling_db.quantities.amount import StaticsError, UnknownMassError, newtons

SQUARE = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
places = st.tuples(st.floats(-5, 5), st.floats(-5, 5))


def test_inner_points_and_points_on_an_edge_are_left_out():
    assert support_polygon([*SQUARE, (0.5, 0.5), (0.5, 0.0)]) == tuple(SQUARE)


@given(st.lists(places, min_size=3, max_size=20))
def test_every_point_lies_inside_its_polygon(points):
    try:
        hull = support_polygon(points)
    except StaticsError:
        assume(False)
    for start, end in zip(hull, hull[1:] + hull[:1], strict=True):
        for point in points:
            turn = (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])
            assert turn >= -1e-8
    assert set(hull) <= set(points)


@pytest.mark.parametrize("points", [[], [(0, 0)], [(0, 0), (1, 0)], [(0, 0), (1, 1), (2, 2)]])
def test_nothing_stands_on_a_line(points):
    with pytest.raises(
        StaticsError, match="a resting face needs at least three points that are not in one line"
    ):
        support_polygon(points)


def test_each_edge_has_its_own_angle():
    standing = stand(SQUARE, (0.3, 0.5), 0.6)
    by_base = {round(edge.base_m, 9): edge for edge in standing.edges}

    assert set(by_base) == {0.3, 0.7, 0.5}
    assert by_base[0.3].tips_at == pytest.approx(math.atan2(0.3, 0.6))
    assert standing.weakest is by_base[0.3]


def test_slope_is_taken_off_every_edge():
    level, sloped = stand(SQUARE, (0.3, 0.5), 0.6), stand(SQUARE, (0.3, 0.5), 0.6, slope=0.1)

    for before, after in zip(level.edges, sloped.edges, strict=True):
        assert after.tips_at == pytest.approx(before.tips_at - 0.1)
        assert after.best_tips_at == before.best_tips_at


def test_the_patch_takes_off_the_base_and_adds_to_the_height():
    standing = stand(SQUARE, (0.3, 0.5), 0.6, patch=(0.05, 0.02, 0.1))

    assert standing.weakest.base_m == pytest.approx(0.25)
    assert standing.weakest.tips_at == pytest.approx(math.atan2(0.25, 0.7))
    assert standing.weakest.best_tips_at == pytest.approx(math.atan2(0.3, 0.6))
    assert standing.height_m == pytest.approx(0.7)


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.95), st.floats(0.05, 2), st.floats(-3, 3))
def test_turning_the_face_changes_no_angle(x, y, height, turned):
    def moved(point):
        c, s = math.cos(turned), math.sin(turned)
        return (point[0] * c - point[1] * s + 3, point[0] * s + point[1] * c - 1)

    plain = stand(SQUARE, (x, y), height)
    other = stand([moved(p) for p in SQUARE], moved((x, y)), height)

    assert sorted(e.tips_at for e in other.edges) == pytest.approx(sorted(e.tips_at for e in plain.edges))


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.95), st.floats(0.05, 2))
def test_at_the_tip_angle_the_centre_stands_over_the_edge(x, y, height):
    edge = stand(SQUARE, (x, y), height).weakest
    # Distance across and height, turned by the tip angle about the edge.
    across = edge.base_m * math.cos(edge.tips_at) - height * math.sin(edge.tips_at)

    assert across == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("centre", "height", "patch", "says"),
    [
        (None, 0.5, (0, 0, 0), "the place of the centre of gravity is not known"),
        ((0.5, 0.5), None, (0, 0, 0), "the place of the centre of gravity is not known"),
        (
            (1.2, 0.5),
            0.5,
            (0, 0, 0),
            "the centre of gravity is 200 mm outside the face: it does not stand there",
        ),
        ((0.9, 0.5), 0.5, (0.15, 0, 0), "the centre of gravity may be 50 mm outside the face"),
        ((0.5, 0.5), -0.1, (0, 0, 0), "height, doubt and slope must be 0 or more"),
    ],
)
def test_what_does_not_stand(centre, height, patch, says):
    with pytest.raises(StaticsError, match=says):
        stand(SQUARE, centre, height, patch=patch)


def test_push_over_an_edge():
    assert tipping_push_n(100.0, 0.3, 1.2) == pytest.approx(newtons(100) * 0.3 / 1.2)
    with pytest.raises(StaticsError, match="base and height of the push must be more than 0"):
        tipping_push_n(100.0, 0.3, 0.0)


def test_tip_or_slide_as_a_cell_shows_it():
    found = tip_or_slide(100.0, 0.5, 1.0, 0.3)

    assert found.first == "slides"
    assert found.at_kg == pytest.approx(30)
    with pytest.raises(StaticsError, match="a friction coefficient is 0 or more"):
        tip_or_slide(100.0, 0.5, 1.0, -0.1)
    with pytest.raises(UnknownMassError, match="the mass is not known"):
        tip_or_slide(None, 0.5, 1.0, 0.3)
