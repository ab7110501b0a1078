"""Where the hook stands while the load is held, and how it swings: closed forms, and a solver from outside."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from handling_db.mechanics.hang.breaking_loose import highest_hook, jump, way_of
from handling_db.mechanics.hang.hanging import ImpossibleLegsError, settle


def test_of_two_unequal_legs_the_short_one_is_straight_first():
    # 1500 and 1550 mm on points 300 mm apart: plumb over the short leg the other has 20 mm to spare,
    # since the way to it is sqrt(300^2 + 1500^2) = 1530 mm. So the hook stops 150 mm off a centre in the middle.
    picks = {"a": (-0.15, 0.0, 0.5), "b": (0.15, 0.0, 0.5)}
    hook = highest_hook(picks, {"a": 1.55, "b": 1.5})
    assert hook == pytest.approx((0.15, 0.0, 2.0))
    swing = jump(hook, (0.0, 0.0, 0.0))
    assert swing.off_m == pytest.approx(0.15)
    assert swing.towards == pytest.approx((1.0, 0.0, 0.0))


def test_two_nearly_equal_legs_meet_at_the_corner_of_their_triangle():
    # Base 1000 mm, sides 1000 and 1010 mm: the foot of the corner by the law of cosines.
    hook = highest_hook({"a": (0.0, 0.0, 0.0), "b": (1.0, 0.0, 0.0)}, {"a": 1.0, "b": 1.01})
    along = (1.0 + 1.0 - 1.01**2) / 2.0
    assert hook == pytest.approx((along, 0.0, math.sqrt(1.0 - along**2)), abs=1e-12)


def test_a_leg_that_is_far_too_long_stays_slack():
    picks = {"a": (0.0, 0.0, 0.0), "b": (0.1, 0.0, 0.0)}
    assert highest_hook(picks, {"a": 1.0, "b": 5.0}) == pytest.approx((0.0, 0.0, 1.0), abs=1e-9)


def test_legs_that_cannot_meet_are_refused():
    with pytest.raises(ImpossibleLegsError, match="cannot meet"):
        highest_hook({"a": (0.0, 0.0, 0.0), "b": (3.0, 0.0, 0.0)}, {"a": 1.0, "b": 1.0})


def test_the_doubt_of_the_centre_only_adds():
    swing = jump((0.03, 0.04, 1.0), (0.0, 0.0, 0.0), patch=(0.01, 0.02, 0.5))
    assert swing.off_m == pytest.approx(0.05)
    assert swing.off_high_m == pytest.approx(math.hypot(0.04, 0.06))


@pytest.mark.parametrize("seed", range(12))
def test_the_centre_ends_plumb_under_the_hook(seed):
    rng = np.random.default_rng(100 + seed)
    points = {str(i): tuple(p) for i, p in enumerate(rng.uniform((-0.5, -0.5, 0.3), (0.5, 0.5, 1.3), (3, 3)))}
    lengths = {name: float(rng.uniform(1.2, 1.5)) for name in points}
    centre = tuple(rng.uniform(-0.2, 0.2, 3))
    held = highest_hook(points, lengths)
    rest = settle(points, lengths, centre)
    way = way_of(centre, held, rest.hook, rest.turn)
    assert way[:2] == pytest.approx((held[0] - centre[0], held[1] - centre[1]), abs=1e-9)
    assert math.hypot(*way[:2]) == pytest.approx(jump(held, centre).off_m, abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_no_solver_finds_a_higher_place(seed):
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 7))
    points = rng.uniform(-0.6, 0.6, (count, 3)) * (1.0, 1.0, 0.3)
    reach = rng.uniform(1.0, 1.6, count)
    names = [str(i) for i in range(count)]
    up = rng.normal(size=3)
    up /= np.linalg.norm(up)
    try:
        hook = np.array(
            highest_hook(
                {n: tuple(p) for n, p in zip(names, points, strict=True)},
                dict(zip(names, reach, strict=True)),
                up=tuple(up),
            )
        )
    except ImpossibleLegsError:
        pytest.skip("these legs do not meet")
    limits = [
        {"type": "ineq", "fun": lambda h, p=p, r=r: r**2 - np.sum((h - p) ** 2)}
        for p, r in zip(points, reach, strict=True)
    ]
    best = max(
        float(found.x @ up)
        for start in (points.mean(axis=0) + 0.5 * up, points[0] + 0.9 * reach[0] * up, points.mean(axis=0))
        for found in [minimize(lambda h: -(h @ up), start, constraints=limits, method="SLSQP")]
        if all(np.sum((found.x - p) ** 2) <= r**2 + 1e-6 for p, r in zip(points, reach, strict=True))
    )
    assert float(hook @ up) == pytest.approx(best, abs=1e-5)
    assert all(np.linalg.norm(hook - p) <= r + 1e-9 for p, r in zip(points, reach, strict=True))
