"""The states of a planned job as pictures: recorded shapes only, turned as the piece lies, on what it stands."""

from __future__ import annotations

import math

import pytest

from handling_db.jobs.pictured import StepPicture, _upright, step_pictures
from handling_db.mechanics.vectors import apply
from handling_db.records.collection import Collection
from tests.from_text import SCALE, collection

# A box of 400 x 200 x 600 mm with its datum in a lower corner, and a lid beside it without a direction.
TEXT = (
    SCALE
    + """
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts:
    - {component: block, quantity: 1, at: [100 mm, 0 mm, 0 mm]}
    - {component: lid, quantity: 1, at: [0 mm, 0 mm, 0 mm]}
  attitudes:
    - {id: up, name: as it stands}
    - {id: on-its-end, name: on its end, turned: {pitch: -90 deg}}
  set down faces:
    - {id: foot, name: foot, may rest: yes, corners: [[100 mm, 0 mm, 0 mm], [500 mm, 0 mm, 0 mm], [500 mm, 200 mm, 0 mm], [100 mm, 200 mm, 0 mm]], square to: -z}
- component: block
  name: Block
  kind: part
  shape lies: {at: [0 mm, 100 mm, 300 mm]}
  masses: [{shape: {box: {length: 400 mm, width: 200 mm, height: 600 mm}, density: steel}, plus or minus: 1 kg, source: scale}]
- component: lid
  name: Lid
  kind: part
  masses: [{printed: 5 kg, plus or minus: 1 kg, source: scale}]
- fixture: bench-stand
  name: Stand
  kind: stand
  height: 250 mm
- job plan: turned
  name: Turned
  unit: unit
  starts: {attitude: up, rests: {on: stand, fixture: bench-stand, face: foot}}
  steps:
    - {do: look, what: Look}
    - {do: set down, what: On its end, of: [block], attitude: on-its-end, rests: {on: floor}}
"""
)


@pytest.fixture(scope="module")
def pictures() -> tuple[StepPicture, ...]:
    records = collection(TEXT)
    return step_pictures(records, records.job_plans["turned"])


def spans(picture: StepPicture) -> list[float]:
    corners = [corner for box in picture.bodies[0].shapes for corner in box]
    return [max(c[axis] for c in corners) - min(c[axis] for c in corners) for axis in range(3)]


def test_shapes_stand_as_the_piece_does(pictures: tuple[StepPicture, ...]) -> None:
    assert [picture.number for picture in pictures] == [0, 1, 2]
    assert spans(pictures[0]) == pytest.approx([0.4, 0.2, 0.6])
    assert spans(pictures[2]) == pytest.approx([0.6, 0.2, 0.4])  # what was along x is upright


def test_what_has_no_recorded_direction_is_counted_and_not_drawn(pictures: tuple[StepPicture, ...]) -> None:
    body = pictures[0].bodies[0]

    assert len(body.shapes) == 1
    assert body.not_drawn == 1


def test_the_stand_has_its_recorded_height(pictures: tuple[StepPicture, ...]) -> None:
    assert pictures[0].bodies[0].stand_m == pytest.approx(0.25)
    assert pictures[0].bodies[0].floor == pytest.approx(0.0)
    assert pictures[0].bodies[0].carried == ("stand",)
    assert pictures[2].bodies[0].stand_m is None
    assert pictures[2].bodies[0].carried == ("floor",)


@pytest.mark.parametrize("seed", range(8))
def test_up_comes_up_and_x_looks_right(seed: int) -> None:
    import numpy as np

    rng = np.random.default_rng(seed)
    up = rng.normal(size=3)
    up /= np.linalg.norm(up)
    turn = _upright((float(up[0]), float(up[1]), float(up[2])))

    assert apply(turn, (float(up[0]), float(up[1]), float(up[2]))) == pytest.approx((0.0, 0.0, 1.0), abs=1e-9)
    x = apply(turn, (1.0, 0.0, 0.0))
    assert x[1] == pytest.approx(0.0, abs=1e-9)
    assert x[0] == pytest.approx(math.hypot(up[1], up[2]), abs=1e-9)
    matrix = np.array(turn)
    assert np.allclose(matrix @ matrix.T, np.eye(3))
    assert np.linalg.det(matrix) == pytest.approx(1.0)


def test_the_demo_has_a_picture_for_every_step_in_the_order_of_its_figures(demo: Collection) -> None:
    plan = demo.job_plans["transfer-box-apart"]
    pictures = step_pictures(demo, plan)

    assert [picture.number for picture in pictures] == list(range(len(plan.steps) + 1))
    carried = [picture.bodies[0].carried for picture in pictures]
    by = {step.id: carried[number] for number, step in enumerate(plan.steps, 1)}
    assert by["hook-on"] == ("hook", "cribbing")
    assert by["part-halves"] == ("hook",)
    assert by["park-half"] == ("pallet",)
    temporary = {
        step.id: len(pictures[number].bodies[0].temporary) for number, step in enumerate(plan.steps, 1)
    }
    assert (temporary["caliper-off"], temporary["red-in"], temporary["bolts-out"], temporary["red-out"]) == (
        0,
        4,
        4,
        0,
    )
