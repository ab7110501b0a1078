"""Standing figures of whole answers against shapely."""

from __future__ import annotations

import importlib
import math

import pytest

from handling_db.moving.answer import move_answer
from handling_db.moving.question import MoveQuestion
from handling_db.records.collection import Collection

geometry = importlib.import_module("shapely.geometry")

QUESTIONS = [
    MoveQuestion(what="upper-half-lift", slope=0.0),
    MoveQuestion(what="upper-half-with-brake", slope=0.0),
    MoveQuestion(what="section-off-the-truck", slope=0.0),
]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.what)
def test_nearest_edge_is_the_distance_to_the_hull(demo: Collection, question: MoveQuestion) -> None:
    """The body whose centre is drawn: shapely's hull holds the centre, its rim is as far as our edge."""
    answer = move_answer(demo, question)
    assert answer.centre is not None
    stand = answer.standing[-1]  # all of it as one body: the centre of the plan view is this one's
    assert stand.weakest is not None
    assert stand.height_m is not None
    hull = geometry.MultiPoint(stand.outline).convex_hull
    centre = geometry.Point(*answer.centre.at[:2])
    assert hull.contains(centre)
    weakest = geometry.LineString([stand.weakest.start, stand.weakest.end])
    assert centre.distance(weakest) == pytest.approx(stand.weakest.best_base_m, abs=1e-9)
    assert hull.exterior.distance(centre) == pytest.approx(stand.weakest.best_base_m, abs=1e-9)
    tilt = math.degrees(math.atan2(hull.exterior.distance(centre), stand.height_m))
    assert tilt == pytest.approx(stand.weakest.best_tips_at, abs=1e-9)


def test_face_of_the_half_lies_on_its_pallet(demo: Collection) -> None:
    answer = move_answer(demo, QUESTIONS[0])
    face = geometry.Polygon(answer.piece_outline)
    x, y = answer.footprint[0] / 2, answer.footprint[1] / 2
    assert geometry.box(-x, -y, x, y).contains(face)
    assert face.area == pytest.approx(math.pi * 0.29**2, rel=0.002)
