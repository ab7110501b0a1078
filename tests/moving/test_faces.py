"""Faces laid on the floor: the room keeps its handedness, and round faces are never made larger."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.vectors import Placement, apply, cross, dot, rotation
from handling_db.moving.faces import AROUND, land, opposite, room_words, towards
from handling_db.quantities.amount import StaticsError
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.parts.common import Datum

WAYS = {"x": (1, 0, 0), "-x": (-1, 0, 0), "y": (0, 1, 0), "-y": (0, -1, 0), "z": (0, 0, 1), "-z": (0, 0, -1)}


def face(square_to="-x", **outline):
    given_outline = outline or {"circle": {"at": ["300 mm", "0 mm", "-510 mm"], "radius": "290 mm"}}
    return SetDownFace.model_validate(
        {"id": "flange", "name": "flange", "square to": square_to, **given_outline}
    )


@pytest.mark.parametrize(("word", "out"), WAYS.items())
def test_the_face_looks_down_and_the_room_is_right_handed(word, out):
    turn = land(face(word), Placement()).turn
    assert apply(turn, tuple(map(float, out))) == pytest.approx((0, 0, -1))
    assert dot(cross(turn[0], turn[1]), turn[2]) == pytest.approx(1)


@given(st.tuples(*[st.floats(-3, 3)] * 3), st.sampled_from(sorted(WAYS)))
def test_a_turned_component_still_stands_face_down(angles, word):
    frame = Placement((1.0, 2.0, 3.0), rotation(*angles))
    landed = land(face(word), frame)
    outward = apply(frame.turn, tuple(map(float, WAYS[word])))
    assert apply(landed.turn, outward) == pytest.approx((0, 0, -1), abs=1e-9)
    assert landed.place(landed.middle) == pytest.approx((0, 0, 0), abs=1e-9)


def test_a_round_face_lies_inside_its_rim():
    landed = land(face(), Placement())
    assert len(landed.outline) == AROUND
    assert all(math.hypot(*point) <= 0.29 + 1e-12 for point in landed.outline)
    assert landed.middle == pytest.approx((0.3, 0.0, -0.51))


def test_corners_lie_round_the_middle():
    corners = [["0 mm", "-100 mm", "0 mm"], ["0 mm", "100 mm", "0 mm"], ["0 mm", "0 mm", "300 mm"]]
    landed = land(face(corners=corners), Placement())
    for found, meant in zip(sorted(landed.outline), [(-0.1, -0.15), (0.0, 0.15), (0.1, -0.15)], strict=True):
        assert found == pytest.approx(meant)


def test_corners_that_are_not_in_one_plane_are_refused():
    corners = [["0 mm", "0 mm", "0 mm"], ["5 mm", "100 mm", "0 mm"], ["0 mm", "0 mm", "300 mm"]]
    with pytest.raises(
        StaticsError, match=r"do not lie in one plane square to -x: they are up to 5 mm apart"
    ):
        land(face(corners=corners), Placement())


def test_a_face_without_an_outline_gives_no_figures():
    bare = SetDownFace.model_validate({"id": "flange", "name": "flange"})
    with pytest.raises(StaticsError, match="outline of the face 'flange' is not recorded"):
        land(bare, Placement())


def test_words_follow_the_datum():
    datum = Datum.model_validate({"at": "seat", "x": "rearward", "y": "right", "z": "up"})
    assert room_words(land(face(), Placement()).turn, datum) == ("right", "up", "rearward")
    assert room_words(land(face("x"), Placement()).turn, datum) == ("up", "right", "forward")
    assert opposite("right") == "left"
    assert opposite("x") == "-x"
    assert towards((0.0, -1.0), "right", "up") == "down"
    assert towards((0.7, 0.7), "right", "up") == "right and up"
