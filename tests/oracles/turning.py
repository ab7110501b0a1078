"""Turning and standing against statics written out anew with numpy and scipy: nothing of ours on this side.

The load is a cloud of point masses on two supports at the ends of its edge, a plumb hook and a line. Six
equations of equilibrium in space are written down for the turned load and solved; the doubt is walked through
corner by corner; a load tips where the plumb line through its centre leaves the convex hull of its feet.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
from scipy.optimize import brentq, linprog
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from handling_db.mechanics.tipping import stand, tip_or_slide
from handling_db.mechanics.turn.edge_turn import (
    BackLine,
    TurnedPiece,
    Turning,
    over_edge,
)
from handling_db.mechanics.turn.settled import settled
from handling_db.quantities.amount import Amount, StaticsError
from tests.oracles.count import Count, kinds_in_turn

G = 9.80665


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random cases of every kind for so long."""
    return kinds_in_turn(rng, seconds, (in_space, goes_over, liquid, tips, pushed))


def _load(rng: np.random.Generator, *, doubt: bool) -> tuple[list[dict[str, Any]], np.ndarray, float]:
    """Random pieces over a plane with an edge along y from the origin, a hook, the length of the edge."""
    edge = float(rng.uniform(0.2, 2.0))
    pieces = []
    for _ in range(int(rng.integers(1, 5))):
        best = float(10 ** rng.uniform(0, 3))
        half = best * float(rng.uniform(0, 0.5)) if doubt else 0.0
        at = np.array([rng.uniform(-0.1, 1.5), rng.uniform(-0.2, edge + 0.2), rng.uniform(-0.2, 1.2)])
        size = rng.uniform(0, 0.2, 3) if doubt and rng.random() < 0.4 else np.zeros(3)
        corners = [at + size * np.array([i, j, k]) for k in (-1, 1) for j in (-1, 1) for i in (-1, 1)]
        pieces.append(
            {
                "low": best - half,
                "best": best,
                "high": best + half,
                "at": at,
                "corners": corners if size.any() else [at],
            }
        )
    hook = np.array([rng.uniform(0.2, 2.0), rng.uniform(-0.3, edge + 0.3), rng.uniform(-0.2, 1.5)])
    return pieces, hook, edge


def _ours(pieces: list[dict[str, Any]], hook: np.ndarray, edge: float, line: BackLine | None) -> Turning:
    return Turning(
        [
            TurnedPiece(
                str(i),
                Amount(p["low"], p["best"], p["high"]),
                tuple(p["at"]),
                tuple(map(tuple, p["corners"])) if len(p["corners"]) > 1 else (),
            )
            for i, p in enumerate(pieces)
        ],
        tuple(hook),
        edge,
        line,
    )


def _equilibrium(
    masses: np.ndarray, places: np.ndarray, pull_at: np.ndarray, pull: np.ndarray, edge: float
) -> np.ndarray:
    """Pull and upright forces at both ends [kg], from forces and moments of the turned load, least squares.

    Unknown: the pull along its direction, three forces at each end. The two ends share the push along the edge
    in no way that statics settles, so it is left to the first end.
    """
    ends = (np.zeros(3), np.array([0.0, edge, 0.0]))
    columns = [np.concatenate([pull, np.cross(pull_at, pull)])]
    for i, axis in [(0, 0), (0, 1), (0, 2), (1, 0), (1, 2)]:
        force = np.eye(3)[axis]
        columns.append(np.concatenate([force, np.cross(ends[i], force)]))
    weights = np.zeros((len(masses), 3))
    weights[:, 2] = -masses
    right = -np.concatenate([weights.sum(axis=0), np.cross(places, weights).sum(axis=0)])
    found, *_ = np.linalg.lstsq(np.array(columns).T, right, rcond=None)
    assert np.allclose(np.array(columns).T @ found, right, atol=1e-6 * masses.sum())
    return np.array([found[0], found[3], found[5]])


def in_space(rng: np.random.Generator) -> int:
    """Hook, both ends and the line at one angle, over every corner of the doubt."""
    pieces, hook, edge = _load(rng, doubt=True)
    turned = float(rng.uniform(0, math.pi / 2))
    anchor = np.array([rng.uniform(1, 5), rng.uniform(-1, edge + 1), rng.uniform(-1, 4)])
    line = BackLine(tuple(hook), tuple(anchor))
    try:
        step = _ours(pieces, hook, edge, line).step(turned)
    except StaticsError:
        return 0  # beyond the edge at the start
    turn = Rotation.from_rotvec([0.0, -turned, 0.0])  # about y the right hand turns x down: so minus
    at = turn.apply(hook)
    if at[0] < 1e-3:
        return 0
    kept: dict[str, list[np.ndarray]] = {"hook": [], "line": []}
    many = math.prod(len(p["corners"]) for p in pieces) * 2 ** len(pieces)
    choices: Any = itertools.product(
        *(itertools.product((p["low"], p["high"]), p["corners"]) for p in pieces)
    )
    if many > 600:  # only a part of the corners: ours must still hold all of them
        every = [list(itertools.product((p["low"], p["high"]), p["corners"])) for p in pieces]
        choices = ([one[int(rng.integers(len(one)))] for one in every] for _ in range(300))
    way = anchor - at
    to = way / np.linalg.norm(way)
    for choice in choices:
        masses = np.array([mass for mass, _ in choice])
        places = turn.apply(np.array([place for _, place in choice]))
        if (masses * places[:, 0]).sum() >= 0:
            kept["hook"].append(_equilibrium(masses, places, at, np.array([0.0, 0.0, 1.0]), edge))
        elif at[2] * to[0] - at[0] * to[2] > 1e-3:
            kept["line"].append(_equilibrium(masses, places, at, to, edge))
    scale = 1e-6 * sum(p["high"] for p in pieces)
    whole = many <= 600
    for name, ours in (("hook", step.hook), ("line", step.line)):
        if not kept[name] or ours is None:
            continue
        pulls = np.array(kept[name])[:, 0]
        assert ours[2] >= pulls.max() - scale, (name, ours, pulls.max())
        if whole:
            assert ours[2] <= pulls.max() + scale, (name, ours, pulls.max())
    both = [one for found in kept.values() for one in found]
    if both and step.ends is not None and (not kept["line"] or step.line is not None):
        for end in (0, 1):
            loads = np.array(both)[:, 1 + end]
            slack = scale * max(1.0, 1.0 / edge)
            assert step.ends[end][0] <= loads.min() + slack, (end, step.ends, loads.min())
            assert step.ends[end][2] >= loads.max() - slack, (end, step.ends, loads.max())
    return 1


def goes_over(rng: np.random.Generator) -> int:
    """Earliest and latest angle over the corners of the doubt; whether it comes off its edge."""
    pieces, hook, edge = _load(rng, doubt=True)
    hook[1] = edge / 2
    for p in pieces:
        shift = edge / 2 - p["at"][1]
        p["at"] = np.add(p["at"], [0, shift, 0])
        p["corners"] = [np.add(corner, [0, shift, 0]) for corner in p["corners"]]
    try:
        found = over_edge(_ours(pieces, hook, edge, None))
    except StaticsError:
        return 0
    best = np.array([p["best"] for p in pieces])
    places = np.array([p["at"] for p in pieces])

    def moment(angle: float, masses: np.ndarray, at: np.ndarray) -> float:
        c, s = math.cos(angle), math.sin(angle)
        return float((masses * (at[:, 0] * c - at[:, 2] * s)).sum())

    end = math.pi / 2
    if moment(0.0, best, places) > 0 > moment(end, best, places):
        if found.goes_over is not None:
            assert abs(found.goes_over - brentq(moment, 0, end, (best, places))) < 1e-6
        else:
            assert found.ends_at < brentq(moment, 0, end, (best, places)) + 1e-3
    for _ in range(20):
        masses = np.array([rng.choice([p["low"], p["high"]]) for p in pieces])
        at = np.array([p["corners"][int(rng.integers(len(p["corners"])))] for p in pieces])
        if not moment(0.0, masses, at) > 0 > moment(end, masses, at):
            continue
        angle = brentq(moment, 0, end, (masses, at))
        if angle > found.ends_at:
            continue
        assert found.goes_over_first is not None
        assert found.goes_over_first <= angle + 1e-6
        assert found.goes_over_last is None or found.goes_over_last >= angle - 1e-6
        # It lies on its edge as long as the hook carries less than all of it.
        for turned in np.linspace(0, angle * 0.99, 7):
            lever = hook[0] * math.cos(turned) - hook[2] * math.sin(turned)
            lifts = lever <= 0 or moment(float(turned), masses, at) / lever > masses.sum() * (1 + 1e-6)
            if lifts:
                off = found.comes_off[0] if found.comes_off else math.inf
                assert off <= turned + 0.01, (off, turned)
    return 1


def liquid(rng: np.random.Generator) -> int:
    """A liquid in a tilted box against a fine grid of its points, filled from the lowest up."""
    size = rng.uniform(0.1, 1.0, 3)
    turn = Rotation.random(random_state=int(rng.integers(2**31)))
    start = rng.uniform(-1, 1, 3)
    corners = [start + turn.apply(size * np.array([i, j, k])) for k in (0, 1) for j in (0, 1) for i in (0, 1)]
    share = float(rng.uniform(0.02, 1.0))
    up = rng.normal(size=3)
    up /= np.linalg.norm(up)
    ours = np.array(settled([tuple(c) for c in corners], share * float(np.prod(size)), tuple(up)))
    n = 24
    grid = (np.stack(np.meshgrid(*[np.arange(n)] * 3, indexing="ij"), -1).reshape(-1, 3) + 0.5) / n
    points = start + turn.apply(grid * size)
    order = np.argsort(points @ up)[: max(1, round(share * len(points)))]
    theirs = points[order].mean(axis=0)
    assert np.linalg.norm(ours - theirs) < 2.5 * size.max() / n, (ours, theirs, share)
    return 1


def tips(rng: np.random.Generator) -> int:
    """Tip angle over the weakest edge against a scan of all directions over the hull of the feet."""
    feet = rng.uniform(-1, 1, (int(rng.integers(3, 9)), 2))
    hull = ConvexHull(feet)
    weights = rng.dirichlet(np.ones(len(feet)))
    centre = weights @ feet
    height = float(10 ** rng.uniform(-1.5, 1))
    patch = tuple(float(v) for v in rng.uniform(0, 0.02, 3))
    doubtful = patch if rng.random() < 0.5 else (0.0, 0.0, 0.0)
    try:
        ours = stand([tuple(p) for p in feet], tuple(centre), height, patch=doubtful)
    except StaticsError:
        # Only where the doubt, or rounding, reaches the edge.
        inside = -(hull.equations[:, :2] @ centre + hull.equations[:, 2]).min()
        nearest = -(hull.equations[:, :2] @ centre + hull.equations[:, 2]).max()
        assert min(inside, nearest) < 0.03
        return 0
    angles = np.linspace(0, 2 * math.pi, 3601)
    ways = np.stack([np.cos(angles), np.sin(angles)], -1)
    away = hull.equations[:, :2] @ ways.T
    room = -(hull.equations[:, :2] @ centre + hull.equations[:, 2])
    with np.errstate(divide="ignore"):
        reach = np.where(away > 1e-12, room[:, None] / np.maximum(away, 1e-12), np.inf).min(axis=0)
    theirs = math.atan(float(reach.min()) / height)
    best = min(edge.best_tips_at for edge in ours.edges)
    assert abs(best - theirs) < 2e-3, (best, theirs)
    # Over the doubt: no point of the patch goes over sooner than is said.
    for sign in itertools.product((-1, 1), repeat=2):
        at = centre + np.array(sign) * doubtful[:2]
        room = -(hull.equations[:, :2] @ at + hull.equations[:, 2])
        if room.min() <= 0:
            continue
        assert ours.weakest.tips_at <= math.atan(float(room.min()) / (height + doubtful[2])) + 1e-9
    return 1


def tip_or_slide_push(mass: float, base: float, behind: float, height: float, friction: float) -> float:
    """Largest level push that two contact points with friction can hold, by linear programming. [N]"""
    # Unknown: push, upright at the far edge and at the near one, friction at each.
    weight = mass * G
    equal = [[1, 0, 0, -1, -1], [0, 1, 1, 0, 0], [height, -(base + behind), 0, 0, 0]]
    right = [0, weight, -weight * behind]
    bounds_on = [
        [0, -friction, 0, 1, 0],
        [0, 0, -friction, 0, 1],
        [0, -friction, 0, -1, 0],
        [0, 0, -friction, 0, -1],
    ]
    found = linprog(
        [-1, 0, 0, 0, 0],
        A_ub=bounds_on,
        b_ub=[0, 0, 0, 0],
        A_eq=equal,
        b_eq=right,
        bounds=[(0, None), (0, None), (0, None), (None, None), (None, None)],
    )
    assert found.status == 0
    return float(found.x[0])


def pushed(rng: np.random.Generator) -> int:
    """The push that moves it first."""
    mass, base, behind, height = (float(v) for v in 10 ** rng.uniform([0, -1.5, -1.5, -1.5], [3, 0, 0, 0.5]))
    friction = float(rng.uniform(0.02, 1.0))
    ours = tip_or_slide(mass, base, height, friction)
    theirs = tip_or_slide_push(mass, base, behind, height, friction)
    assert math.isclose(ours.at_kg * G, theirs, rel_tol=1e-6), (ours, theirs)
    assert (ours.first == "slides") == (friction < base / height - 1e-12)
    return 1
