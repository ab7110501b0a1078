"""The most a leg pulls over the doubt of masses, places and lengths, against a search of its own.

The independent side sinks the load for each choice (scipy SLSQP) and takes the pulls by non-negative least
squares; it goes through random corners and then flips one limit after the other as long as that is worse.
"""

from __future__ import annotations

import time

import numpy as np
from scipy.optimize import nnls

from handling_db.mechanics.body import Body
from handling_db.mechanics.hang.hang_doubt import Hang, hang_doubt
from tests.oracles.count import DANGEROUS, Count
from tests.oracles.hangs import UP, Array, lean, sink

TRIES = 25
STEPS = 25


class Question:
    """One load with doubts, and the pull of one leg for a choice of them (each -1 to 1)."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.legs = int(rng.choice([2, 2, 3, 3, 4]))
        pieces = int(rng.integers(1, 15 if rng.random() < 0.3 else 5))
        turn = rng.uniform(0.0, 6.3) + np.arange(self.legs) * 2.0 * np.pi / self.legs
        turn = turn + rng.normal(size=self.legs) * 0.2
        ring = rng.uniform(0.3, 0.8)
        self.points = np.column_stack(
            [
                ring * np.cos(turn),
                ring * np.sin(turn),
                rng.uniform(0.2, 0.7) + 0.1 * rng.normal(size=self.legs),
            ]
        )
        self.mass = rng.uniform(10.0, 300.0, pieces)
        self.off = self.mass * rng.choice([0.0, 0.02, 0.1, 0.5], pieces)
        self.at = rng.uniform(-1.0, 1.0, (pieces, 3)) * [0.5 * ring, 0.5 * ring, 0.2]
        self.half = rng.choice([0.0, 0.005, 0.02], (pieces, 3)) * (rng.random() < 0.5)
        middle = (self.mass[:, None] * self.at).sum(axis=0) / self.mass.sum()
        hook = np.array([*middle[:2], self.points[:, 2].max() + rng.uniform(0.5, 1.5)])
        self.reach = np.linalg.norm(hook - self.points, axis=1) + rng.random(self.legs) * 0.03
        self.spread = np.full(self.legs, rng.choice([0.0, 0.003, 0.01]))
        start = sink(self.points, self.reach, middle, hook)
        self.start = hook if start is None else start
        self.size = pieces + 3 + self.legs

    def ours(self) -> Array:
        """Highest pulls by the program. [kg]"""
        body = Body(self.mass - self.off, self.mass, self.mass + self.off, self.at, self.half)
        return hang_doubt(Hang(self.points, self.reach, self.spread, body, UP)).tension_kg

    def pulls(self, choice: Array) -> Array | None:
        """Pulls for one choice; None where the sinking does not end. [kg]"""
        pieces = len(self.mass)
        mass = self.mass + choice[:pieces] * self.off
        at = self.at + choice[pieces : pieces + 3] * self.half
        reach = self.reach + choice[pieces + 3 :] * self.spread
        centre = (mass[:, None] * at).sum(axis=0) / mass.sum()
        hook = sink(self.points, reach, centre, self.start)
        if hook is None or lean(hook, centre) > 0.6:
            return None
        ways = hook - self.points
        distance = np.linalg.norm(ways, axis=1)
        tight = distance > reach - 3e-6
        plumb = (hook - centre) / np.linalg.norm(hook - centre)
        pulls = np.zeros(self.legs)
        pulls[tight], left = nnls((ways / distance[:, None])[tight].T, plumb)
        return None if left > 1e-4 or tight.sum() > 3 else pulls * mass.sum()

    def told(self) -> str:
        """Everything needed to make it again."""
        return "; ".join(f"{name} {np.asarray(value).tolist()}" for name, value in vars(self).items())


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random loads with doubts: the program never below what a search finds."""
    count = Count()
    end = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < end:
        question = Question(rng)
        count.cases += 1
        try:
            ours = question.ours()
        except Exception as error:
            count.note("crashes", f"{error!r}: {question.told()}")
            continue
        leg = int(rng.integers(question.legs))
        found = search(question, leg, rng)
        if found is not None and ours[leg] < found * (1.0 - DANGEROUS):
            count.note("dangerous", f"leg {leg}: {ours[leg]} of {found}: {question.told()}")
    return count


def search(question: Question, leg: int, rng: np.random.Generator) -> float | None:
    """The worst pull of one leg that random corners and flips find. [kg]"""
    best: float | None = None
    choice = np.zeros(question.size)
    for step in range(TRIES + STEPS):
        trial = rng.choice([-1.0, 1.0], question.size) if step < TRIES else choice.copy()
        if step >= TRIES:
            trial[rng.integers(question.size)] = rng.choice([-1.0, 0.0, 1.0])
        pulls = question.pulls(trial)
        if pulls is not None and (best is None or pulls[leg] > best):
            best, choice = float(pulls[leg]), trial
    return best
