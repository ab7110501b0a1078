"""Free hanging against least energy (scipy SLSQP from many starts) and linear programming (HiGHS).

The independent side knows a hang only as: the hook may be anywhere that every leg reaches, and the load sinks.
"""

from __future__ import annotations

import math
import time

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog, minimize

from handling_db.mechanics.body import Body
from handling_db.mechanics.hang.hang_doubt import Hang, hang_doubt
from handling_db.mechanics.hang.hanging import settle
from tests.oracles.count import DANGEROUS, Count

Array = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
TIGHT = 1e-6


def sink(points: Array, reach: Array, centre: Array, start: Array) -> Array | None:
    """Where the hook is when a load has sunk from a start; None where the solver finds no end."""

    def energy(hook: Array) -> float:
        return -float((hook - centre) @ (hook - centre))

    found = minimize(
        energy,
        start,
        jac=lambda hook: -2.0 * (hook - centre),
        constraints={
            "type": "ineq",
            "fun": lambda hook: reach**2 - ((hook - points) ** 2).sum(axis=1),
            "jac": lambda hook: -2.0 * (hook - points),
        },
        method="SLSQP",
        options={"maxiter": 300, "ftol": 1e-14},
    )
    hook = np.asarray(found.x)
    gap = np.linalg.norm(hook - points, axis=1) - reach
    return hook if np.isfinite(hook).all() and gap.max() < TIGHT else None


def rests(points: Array, reach: Array, centre: Array, hook: Array, rng: np.random.Generator) -> bool:
    """Whether a load pushed a little comes back to the same depth."""
    depth = np.linalg.norm(hook - centre)
    for _ in range(4):
        other = sink(points, reach, centre, hook + rng.normal(size=3) * 1e-4 * reach.max())
        if other is not None and np.linalg.norm(other - centre) > depth + 1e-7 * reach.max():
            return False
    return True


def lean(hook: Array, centre: Array) -> float:
    """Tilt from the asked attitude. [rad]"""
    line = hook - centre
    return math.atan2(float(np.hypot(line[0], line[1])), float(line[2]))


def pull_limits(points: Array, reach: Array, centre: Array, hook: Array) -> tuple[Array, Array] | None:
    """Least and most pull of each leg over every balance in this pose, parts of the weight."""
    ways = hook - points
    distance = np.linalg.norm(ways, axis=1)
    tight = distance > reach - 1e-8 * reach.max()
    columns = (ways / distance[:, None])[tight].T
    plumb = (hook - centre) / np.linalg.norm(hook - centre)
    give = 1e-6
    low, high = np.zeros(len(points)), np.zeros(len(points))
    for place, leg in enumerate(np.flatnonzero(tight)):
        for sign, kept in ((1.0, low), (-1.0, high)):
            cost = np.zeros(columns.shape[1])
            cost[place] = sign
            found = linprog(
                cost,
                A_ub=np.vstack([columns, -columns]),
                b_ub=np.concatenate([plumb + give, give - plumb]),
                method="highs",
            )
            if found.status != 0:
                return None
            kept[leg] = sign * found.fun
    return low, high


def random_hang(rng: np.random.Generator) -> tuple[Array, Array, Array]:
    """Points, lengths, centre: any picks, level or unequal legs, points over or under the centre."""
    legs = int(rng.integers(2, 7))
    spread = rng.uniform(0.1, 1.0)
    if rng.random() < 0.4:
        turn = rng.uniform(0.0, 2.0 * math.pi) + np.arange(legs) * 2.0 * math.pi / legs
        points = np.column_stack([spread * np.cos(turn), spread * np.sin(turn), np.zeros(legs)])
    else:
        points = rng.uniform(-1.0, 1.0, (legs, 3)) * [spread, spread, 0.3 * spread]
    points = points + np.array([0.0, 0.0, rng.uniform(-0.3, 0.8)])
    centre = rng.normal(size=3) * 0.1 * spread * (rng.random() < 0.8)
    hook = np.array([*(centre[:2] + rng.normal(size=2) * 0.05 * (rng.random() < 0.5)), 0.0])
    hook[2] = points[:, 2].max() + rng.uniform(0.3, 2.0)
    reach = np.linalg.norm(hook - points, axis=1)
    if rng.random() < 0.6:
        reach = reach + rng.uniform(0.0, 0.1) * rng.random(legs) * (rng.random(legs) < 0.7)
    return points, reach, centre


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random hangs against sinking from many starts."""
    count = Count()
    end = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < end:
        points, reach, centre = random_hang(rng)
        count.cases += 1
        told = f"points {points.tolist()}, lengths {reach.tolist()}, centre {centre.tolist()}"
        names = [f"p{i}" for i in range(len(points))]
        try:
            picks = {
                name: (float(p[0]), float(p[1]), float(p[2])) for name, p in zip(names, points, strict=True)
            }
            ours = settle(
                picks,
                dict(zip(names, map(float, reach), strict=True)),
                (float(centre[0]), float(centre[1]), float(centre[2])),
            )
            one = Body.of([(1.0, 1.0, 1.0)], [centre])
            worst = hang_doubt(Hang(points, reach, np.zeros(len(reach)), one, UP))
        except Exception as error:
            count.note("crashes", f"{error!r}: {told}")
            continue
        judge(count, told, points, reach, centre, ours, worst.tension_kg, rng)
    return count


def judge(
    count: Count,
    told: str,
    points: Array,
    reach: Array,
    centre: Array,
    ours: object,
    worst: Array,
    rng: np.random.Generator,
) -> None:
    """Compare one pose of the program with what sinking from many starts finds."""
    from handling_db.mechanics.hang.hanging import Rest

    assert isinstance(ours, Rest)
    hook = np.array(ours.hook)
    gap = np.linalg.norm(hook - points, axis=1) - reach
    if gap.max() > TIGHT:
        count.note("dangerous", f"a leg of the program's pose is stretched by {gap.max()}: {told}")
        return
    starts = [centre + np.array([0.0, 0.0, 1.0]) * reach.max(), centre - np.array([0.0, 0.0, 0.5])]
    starts += [centre + rng.normal(size=3) * reach.max() for _ in range(4)]
    found = [place for start in starts if (place := sink(points, reach, centre, start)) is not None]
    near = [place for place in found if lean(place, centre) < ours.tilt - 2e-3]
    for place in sorted(near, key=lambda p: lean(p, centre)):
        if rests(points, reach, centre, place, rng):
            count.note("dangerous", f"rests nearer at {math.degrees(lean(place, centre))}°: {told}")
            return
    if not rests(points, reach, centre, hook, rng):
        count.note("dangerous", f"does not rest at {math.degrees(ours.tilt)}°: {told}")
        return
    limits = pull_limits(points, reach, centre, hook)
    if limits is None:
        count.note("dangerous", f"no pulls hold the program's pose: {told}")
        return
    for leg, pull, most, over in zip(ours.legs, limits[1], worst, (1e-3,) * len(worst), strict=True):
        if leg.pull_high < pull * (1.0 - DANGEROUS) - over:
            count.note("dangerous", f"{leg.point}: {leg.pull_high} of {pull}: {told}")
        elif leg.pull_high > pull * 1.01 + over:
            count.note("wide", f"{leg.point}: {leg.pull_high} of {pull}: {told}")
        if most > leg.pull_high + 1e-6:
            count.note("dangerous", f"{leg.point}: two poses, {most} and {leg.pull_high}: {told}")
