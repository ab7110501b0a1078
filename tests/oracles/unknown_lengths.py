"""Lifts with no leg length recorded: no pose with legs of at least 30 degrees pulls harder than what is printed.

Poses are made here: a hook plumb over the centre with the pulls from three equations of balance, and equal legs
of any length, the load sunk from a start by scipy (see `hangs`). Nothing of the program is on this side.
"""

from __future__ import annotations

import math
import time

import numpy as np
from numpy.typing import NDArray

from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from tests.from_text import collection
from tests.lifting.hanging.test_hang import hung_text
from tests.oracles.count import DANGEROUS, Count
from tests.oracles.hangs import pull_limits, sink

Array = NDArray[np.float64]
MASS = 1000.0
STEEP = math.sin(math.radians(30.0))


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random points for so many seconds."""
    count = Count()
    until = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < until:
        count.cases += 1
        points = _points(rng)
        told = f"points {points.tolist()} mm about a centre at the origin"
        try:
            picks = [(float(x), float(y), float(z)) for x, y, z in points]
            text = hung_text(picks, [None] * len(picks), [(MASS, 0.001, (0.0, 0.0, 0.0))])
            answer = lift_answer(collection(text), "up", LiftQuestion())
        except AssertionError:
            raise
        except Exception as error:  # whatever it is, it is counted with the points that made it
            count.note("crashes", f"{type(error).__name__} {error}; {told}")
            continue
        if answer.legs is None:
            count.note("wide", f"no legs: {answer.no_legs}; {told}")
            continue
        ours = np.array([leg.tension_high_kg for leg in answer.legs.legs])
        for pulls, how in (*_level(rng, points / 1000), *_equal(rng, points / 1000)):
            if (MASS * pulls > ours * (1 + DANGEROUS) + 1e-3).any():
                count.note("dangerous", f"{how}: {MASS * pulls}, printed {ours}; {told}")
                break
    return count


def _points(rng: np.random.Generator) -> Array:
    """One to three points over the centre, in whole millimetres; the centre inside their spread."""
    while True:
        legs = int(rng.integers(1, 4))
        points = rng.uniform(-600, 600, (legs, 3))
        points[:, 2] = rng.uniform(50, 600, legs)
        if legs == 1:
            points[:, :2] *= 0.05
        points = np.round(points)
        if legs == 2:  # in one plumb plane with the centre, or it hangs level from no hook
            points[1, :2] = -points[0, :2] * int(rng.integers(1, 4))
        if legs == 1 or _pulls(points / 1000, np.array([0.0, 0.0, 5.0])) is not None:
            return np.asarray(points)


def _pulls(points: Array, hook: Array) -> Array | None:
    """Pulls over weight with the load held so; None where a leg would have to push, or nothing balances."""
    ways = hook - points
    ways = ways / np.linalg.norm(ways, axis=1)[:, None]
    found, *_ = np.linalg.lstsq(ways.T, np.array([0.0, 0.0, 1.0]), rcond=None)
    if np.abs(ways.T @ found - [0.0, 0.0, 1.0]).max() > 1e-9 or (found < 0.0).any():
        return None
    return np.asarray(found)


def _level(rng: np.random.Generator, points: Array) -> list[tuple[Array, str]]:
    found = []
    for height in points[:, 2].max() + 10 ** rng.uniform(-1.5, 1.2, 12):
        hook = np.array([0.0, 0.0, height])
        ways = hook - points
        if (ways[:, 2] / np.linalg.norm(ways, axis=1) >= STEEP).all():
            pulls = _pulls(points, hook)
            if pulls is not None:
                found.append((pulls, f"level, hook {height:.3f} m up"))
    return found


def _equal(rng: np.random.Generator, points: Array) -> list[tuple[Array, str]]:
    found = []
    size = float(np.linalg.norm(points, axis=1).max())
    for length in size * 10 ** rng.uniform(-0.2, 1.2, 4):
        reach = np.full(len(points), length)
        hook = sink(points, reach, np.zeros(3), np.array([0.0, 0.0, points[:, 2].max() + 0.3 * length]))
        if hook is None or hook[2] <= 0.0:
            continue
        limits = pull_limits(points, reach, np.zeros(3), hook)
        if limits is None:
            continue
        plumb = hook / np.linalg.norm(hook)
        ways = hook - points
        steep = ways @ plumb / np.linalg.norm(ways, axis=1)
        if (steep[limits[1] > 1e-6] >= STEEP).all():
            found.append((limits[1], f"equal legs of {length:.3f} m"))
    return found
