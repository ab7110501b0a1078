"""Random gear between hook and load against a direct walk down every way in which it can hang.

The walk here knows nothing of the program's: it makes a list of parents, adds up what hangs under a piece by
following every other piece to the hook, and looks at each mass at both ends of its doubt. Where the record leaves
out what a piece hangs from, it tries every piece that it could hang from.
"""

from __future__ import annotations

import itertools
import time

import numpy as np

from handling_db.quantities.amount import Amount
from handling_db.rigging.stack import HOOK, Hung, Stack
from tests.oracles.count import Count

ROOT = -1


def _under(parents: list[int], piece: int) -> list[int] | None:
    """Pieces that hang under one; None where the parents run in a circle."""
    found = []
    for other in range(len(parents)):
        at, steps = other, 0
        while at != ROOT:
            if at == piece and other != piece:
                found.append(other)
            at, steps = parents[at], steps + 1
            if steps > len(parents):
                return None
    return found


def _ways(told: list[int | None], points: list[bool]) -> list[list[int]]:
    """Every list of parents that the record allows."""
    open_ends = [i for i, parent in enumerate(told) if parent is None]
    found = []
    for chosen in itertools.product([ROOT, *range(len(told))], repeat=len(open_ends)):
        parents = [parent if parent is not None else ROOT for parent in told]
        for piece, parent in zip(open_ends, chosen, strict=True):
            parents[piece] = parent
        if any(parent == i for i, parent in enumerate(parents)):
            continue
        if any(_under(parents, i) is None for i in range(len(parents))):
            continue
        # What goes to a point of the piece has only gear below it that is recorded so, or that has no place.
        side_by_side = all(not (points[i] and points[up]) for i in open_ends for up in _over(parents, i))
        if side_by_side:
            found.append(parents)
    return found


def _over(parents: list[int], piece: int) -> list[int]:
    found = []
    at = parents[piece]
    while at != ROOT:
        found.append(at)
        at = parents[at]
    return found


def one(rng: np.random.Generator, found: Count) -> None:
    """One random stack beside the walk."""
    count = int(rng.integers(1, 6))
    told: list[int | None] = []
    points = [bool(rng.random() < 0.4) for _ in range(count)]
    for i in range(count):
        choice = rng.random()
        told.append(None if choice < 0.35 else int(rng.integers(-1, i)) if i else ROOT)
    lows = rng.uniform(0.0, 60.0, count)
    highs = lows + rng.uniform(0.0, 8.0, count) * (rng.random(count) < 0.7)
    stack = Stack(
        [
            Hung(
                key=f"g{i}",
                mass=Amount(lows[i], (lows[i] + highs[i]) / 2, highs[i]),
                on=None if parent is None else HOOK if parent == ROOT else f"g{parent}",
                at_point=points[i],
            )
            for i, parent in enumerate(told)
        ]
    )
    ways = _ways(told, points)
    pull, lean = float(rng.uniform(0.2, 1.6)), rng.uniform(0.2, 2.0, count)
    zeroed = bool(rng.random() < 0.2)
    rating = float(rng.uniform(200.0, 3000.0))
    for piece in range(count):
        heaviest, lowest = 0.0, np.inf
        for parents in ways:
            held = _under(parents, piece) or []
            heaviest = max(heaviest, float(sum(highs[i] for i in held)))
            for masses in itertools.product(*zip(lows, highs, strict=True)):
                load = (rating - sum(lean[i] * masses[i] for i in held)) / pull
                lowest = min(lowest, load if zeroed else load + sum(masses))
        carried = stack.below(f"g{piece}")
        ours = stack.load_of(carried).high
        at = stack.reading_at(
            rating, pull, carried, weights={f"g{i}": lean[i] for i in range(count)}, zeroed=zeroed
        )
        case = f"g{piece} of {told}, at points {points}"
        if ours is None or ours < heaviest - 1e-9 * max(1.0, heaviest):
            found.note("dangerous", f"{case}: carries {ours}, by the walk {heaviest}")
        elif ours > heaviest + 1e-9 * max(1.0, heaviest):
            found.note("wide", f"{case}: carries {ours}, by the walk {heaviest}")
        if at is None or at > lowest + 1e-9 * max(1.0, abs(lowest)):
            found.note("dangerous", f"{case}: reached at {at}, by the walk {lowest}")
        elif at < lowest - 1e-9 * max(1.0, abs(lowest)):
            found.note("wide", f"{case}: reached at {at}, by the walk {lowest}")


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random stacks for so many seconds."""
    until, found = time.monotonic() + seconds, Count()
    while found.cases == 0 or time.monotonic() < until:
        found.cases += 1
        one(rng, found)
    return found
