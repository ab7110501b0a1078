"""Faces laid on the floor: the room keeps its handedness, and round faces are never made larger."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.mechanics.vectors import PlacedFrame, apply, cross, dot, rotation
from handling_db.moving.faces import AROUND, RoomSides, land
from handling_db.quantities.amount import StaticsError
from handling_db.records.kinds.component import Component
from handling_db.records.parts.attitude import SetDownFace
from handling_db.records.sides import SideNames

WAYS = {"x": (1, 0, 0), "-x": (-1, 0, 0), "y": (0, 1, 0), "-y": (0, -1, 0), "z": (0, 0, 1), "-z": (0, 0, -1)}


def face(square_to="-x", **outline):
    given_outline = outline or {"circle": {"at": ["300 mm", "0 mm", "-510 mm"], "radius": "290 mm"}}
    return SetDownFace.model_validate(
        {"id": "flange", "name": "flange", "square to": square_to, **given_outline}
    )


@pytest.mark.parametrize(("word", "out"), WAYS.items())
def test_the_face_looks_down_and_the_room_is_right_handed(word, out):
    turn = land(face(word), PlacedFrame()).turn
    assert apply(turn, tuple(map(float, out))) == pytest.approx((0, 0, -1))
    assert dot(cross(turn[0], turn[1]), turn[2]) == pytest.approx(1)


@given(st.tuples(*[st.floats(-3, 3)] * 3), st.sampled_from(sorted(WAYS)))
def test_a_turned_component_still_stands_face_down(angles, word):
    frame = PlacedFrame((1.0, 2.0, 3.0), rotation(*angles))
    landed = land(face(word), frame)
    outward = apply(frame.turn, tuple(map(float, WAYS[word])))
    assert apply(landed.turn, outward) == pytest.approx((0, 0, -1), abs=1e-9)
    assert landed.place(landed.middle) == pytest.approx((0, 0, 0), abs=1e-9)


def test_a_round_face_lies_inside_its_rim():
    landed = land(face(), PlacedFrame())
    assert len(landed.outline) == AROUND
    assert all(math.hypot(*point) <= 0.29 + 1e-12 for point in landed.outline)
    assert landed.middle == pytest.approx((0.3, 0.0, -0.51))


def test_corners_lie_round_the_middle():
    corners = [["0 mm", "-100 mm", "0 mm"], ["0 mm", "100 mm", "0 mm"], ["0 mm", "0 mm", "300 mm"]]
    landed = land(face(corners=corners), PlacedFrame())
    for found, meant in zip(sorted(landed.outline), [(-0.1, -0.15), (0.0, 0.15), (0.1, -0.15)], strict=True):
        assert found == pytest.approx(meant)


def test_corners_that_are_not_in_one_plane_are_refused():
    corners = [["0 mm", "0 mm", "0 mm"], ["5 mm", "100 mm", "0 mm"], ["0 mm", "0 mm", "300 mm"]]
    with pytest.raises(
        StaticsError, match=r"do not lie in one plane square to -x: they are up to 5 mm apart"
    ):
        land(face(corners=corners), PlacedFrame())


def test_a_face_without_an_outline_gives_no_figures():
    bare = SetDownFace.model_validate({"id": "flange", "name": "flange"})
    with pytest.raises(StaticsError, match="outline of the face 'flange' is not recorded"):
        land(bare, PlacedFrame())


def unit_with(**more):
    return Component.model_validate(
        {
            "component": "unit",
            "name": "Unit",
            "kind": "assembly",
            "datum": {"at": "seat", "x": "rearward", "y": "right", "z": "up"},
            **more,
        }
    )


def test_a_turned_piece_is_never_described_by_up_or_down():
    sides = RoomSides(SideNames(unit_with()), land(face(), PlacedFrame()).turn)

    assert not sides.upright
    assert sides.ends(0) == ("its left side as installed", "its right side as installed")
    assert sides.ends(1) == ("its underside as installed", "its top as installed")
    assert sides.towards((0.7, 0.7)) == "its right side as installed and its top as installed"


def test_upright_the_plain_words_do():
    sides = RoomSides(SideNames(unit_with()), land(face("-z"), PlacedFrame()).turn)

    assert sides.upright
    assert sides.ends(0) == ("forward", "rearward")


def test_recorded_names_come_first_then_faces_then_the_datum():
    names = SideNames(
        unit_with(sides={"-z": "the output side"}), [("joint flange", (0, 1, 0)), ("sump", (0, 0, -1))]
    )
    sides = RoomSides(names, land(face(), PlacedFrame()).turn)

    assert sides.ends(1) == ("the output side", "its top as installed")
    assert sides.ends(0) == ("its left side as installed", "the joint flange")


def test_without_a_datum_the_axes_name_the_sides():
    bare = Component.model_validate({"component": "unit", "name": "Unit", "kind": "part"})
    sides = RoomSides(SideNames(bare), land(face(), PlacedFrame()).turn)

    assert sides.ends(1) == ("its -z side", "its +z side")
