"""What is drawn of a lift: only what has a recorded place and direction, in the attitude it hangs in."""

from __future__ import annotations

import math

import pytest

from handling_db.lifting.case import LiftQuestion, work
from handling_db.lifting.pictured.outlines import outlines
from tests.lifting.hanging.test_hang import collection

RECORDS = """
- source: scale
  name: scale
  kind: weighed
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  attitudes: [{id: on-end, name: on its end, turned: {pitch: -90 deg}}]
  parts:
    - {component: body, quantity: 1, at: [100 mm, 0 mm, 0 mm]}
    - {component: lid, quantity: 1, at: [500 mm, 0 mm, 0 mm]}
    - {component: pin, quantity: 2, at: [0 mm, 0 mm, 0 mm]}
- component: body
  name: Body
  kind: part
  centre: [0 mm, 0 mm, 0 mm]
  shape lies: {at: [-50 mm, 0 mm, 0 mm]}
  set down faces: [{id: foot, name: foot, may rest: 'no', circle: {at: [-50 mm, 0 mm, 0 mm], radius: 30 mm}, square to: -x}]
  masses: [{printed: 10 kg, source: scale}, {shape: {cylinder: {diameter: 60 mm, length: 100 mm}, density: 7850 kg/m³}, made: machined, source: scale}]
- component: lid
  name: Lid
  kind: part
  shape lies: {middle: [0 mm, 0 mm, 0 mm]}
  masses: [{shape: {disc: {diameter: 60 mm, thickness: 10 mm}, density: 7850 kg/m³}, made: machined, source: scale}]
- component: pin
  name: Pin
  kind: part
  shape lies: {at: [0 mm, 0 mm, 0 mm]}
  masses: [{shape: {cylinder: {diameter: 6 mm, length: 10 mm}, density: 7850 kg/m³}, made: machined, source: scale}]
- joint: seam
  name: Seam
  within: unit
  between: [body, lid]
  plane: {at: [300 mm, 0 mm, 0 mm], square to: x, radius: 40 mm}
- lift group: up
  name: Up
  root: unit
  takes: [unit]
  parts joints: [seam]
  attitude: on-end
"""


def test_only_what_has_a_place_and_a_direction() -> None:
    shown = outlines(work(collection(RECORDS), "up", LiftQuestion()))

    # the lid says only where its middle is, and there are two pins at one place
    assert [piece.name for piece in shown.pieces] == ["Body"]
    assert [(face.name, face.may_rest) for face in shown.faces] == [("foot", False)]
    assert [joint.name for joint in shown.joints] == ["Seam"]


def test_in_the_attitude_it_hangs_in() -> None:
    """Pitched by -90 degrees about y, x points up: z of the room is x of the unit."""
    shown = outlines(work(collection(RECORDS), "up", LiftQuestion()))
    (body,) = shown.pieces
    heights = sorted({round(corner[2], 6) for corner in body.corners})
    across = sorted({round(corner[1], 6) for corner in body.corners})

    assert heights == [0.05, 0.15]  # from 50 to 150 mm along the unit's x
    assert across == [-0.03, 0.03]
    (foot,), (seam,) = shown.faces, shown.joints
    assert all(point[2] == pytest.approx(0.05) for point in foot.points)
    assert all(point[2] == pytest.approx(0.3) for point in seam.points)
    assert all(math.hypot(point[0], point[1]) == pytest.approx(0.04) for point in seam.points)
