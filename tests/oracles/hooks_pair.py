"""The most on each of two plumb hooks over masses and places, against linear programming (HiGHS)."""

from __future__ import annotations

import math
import time

import numpy as np
from scipy.optimize import linprog

from handling_db.mechanics.body import Body
from handling_db.mechanics.turn.two_hooks import two_hooks
from handling_db.quantities.amount import Amount
from tests.oracles.count import DANGEROUS, Count


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random loads between two hooks at random angles."""
    count = Count()
    end = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < end:
        pieces = int(rng.integers(1, 9))
        mass = rng.uniform(5.0, 300.0, pieces)
        off = mass * rng.choice([0.0, 0.01, 0.1, 0.6], pieces)
        at = rng.uniform(-0.6, 0.6, (pieces, 3))
        half = rng.choice([0.0, 0.01, 0.05], (pieces, 3))
        head, tail = (
            (-rng.uniform(0.5, 1.0), rng.uniform(0.2, 0.8)),
            (rng.uniform(0.5, 1.0), rng.uniform(0.2, 0.8)),
        )
        if rng.random() < 0.5:
            head, tail = tail, head
        told = f"mass {mass.tolist()}, off {off.tolist()}, at {at.tolist()}, half {half.tolist()}, {head}, {tail}"
        count.cases += 1
        best = (mass[:, None] * at).sum(axis=0) / mass.sum()
        whole = Amount(float((mass - off).sum()), float(mass.sum()), float((mass + off).sum()))
        try:
            ours = two_hooks(
                whole,
                (float(best[0]), float(best[2])),
                head,
                tail,
                body=Body(mass - off, mass, mass + off, at, half),
                step=math.radians(5.0),
            )
        except Exception as error:
            count.note("crashes", f"{error!r}: {told}")
            continue
        step = ours.steps[int(rng.integers(len(ours.steps)))]
        turned = step.turned if head[0] > tail[0] else -step.turned
        # Rotated so that the tail goes under the head; level places decide the moments.
        c, s = math.cos(turned), math.sin(turned)
        level = at[:, 0] * c - at[:, 2] * s
        wide = half[:, 0] * abs(c) + half[:, 2] * abs(s)
        hooks = [spot[0] * c - spot[1] * s for spot in (head, tail)]
        for name, near, far, said in (
            ("tail", hooks[1], hooks[0], step.tail_kg),
            ("head", hooks[0], hooks[1], step.head_kg),
        ):
            sign = math.copysign(1.0, near - far)
            part = ((level + sign * wide) - far) / (near - far)
            found = linprog(-part, bounds=list(zip(mass - off, mass + off, strict=True)), method="highs")
            true = -float(found.fun)
            if said < true - DANGEROUS * abs(true) - 1e-6:
                count.note("dangerous", f"{name} at {step.turned}: {said} of {true}: {told}")
            elif said > true + 0.01 * abs(true) + 1e-6:
                count.note("wide", f"{name} at {step.turned}: {said} of {true}: {told}")
    return count
