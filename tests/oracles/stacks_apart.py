"""Random stacks taken apart step by step: what is left, weighed by sums, tipped by scipy's hull, held by networkx.

True masses are drawn within their stated doubt. The independent side knows a stack as points with masses on a
flat polygon: it tips where the plumb line through their centre passes the hull of the polygon.
"""

from __future__ import annotations

import datetime
import itertools
import math
import time
from typing import Any

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from handling_db.jobs.steps.answer import StepsAnswer
from handling_db.jobs.steps.figures import steps_answer
from handling_db.jobs.steps.lifts import StepsQuestion
from handling_db.records.collection import collect
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.job_plan import JobPlan
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.source import Source, SourceKind
from tests.oracles.count import Count

Array = NDArray[np.float64]
DAY = datetime.date(2026, 11, 30)
TINY = 1e-4  # relative doubt of masses where both sides have to agree


class Stack:
    """Parts on a polygon, each bolted to an earlier one, some by bolts that nobody looked at."""

    def __init__(self, rng: np.random.Generator) -> None:
        count = int(rng.integers(3, 8))
        self.doubt = TINY if rng.random() < 0.5 else float(rng.uniform(0.005, 0.05))
        self.at = rng.uniform(-0.4, 0.4, size=(count, 3))
        self.at[:, 2] = rng.uniform(0.2, 1.2, size=count)
        self.at[0] = (0.0, 0.0, 0.02)  # the base lies at the face
        self.at = np.round(self.at, 3)
        self.stated = np.round(rng.uniform(5.0, 80.0, size=count), 1)
        self.half = np.round(self.stated * self.doubt, 4) + 1e-4
        self.true = self.stated + self.half * rng.uniform(-1.0, 1.0, size=count)
        self.on = [-1] + [int(rng.integers(0, i)) for i in range(1, count)]
        self.looked = [True] + [bool(rng.random() < 0.75) for _ in range(1, count)]
        angles = np.sort(rng.uniform(0, 2 * math.pi, size=int(rng.integers(4, 8))))
        radius = rng.uniform(0.25, 0.6)
        self.face = np.round(np.column_stack([radius * np.cos(angles), radius * np.sin(angles)]), 3)

    def children(self, part: int, left: set[int]) -> set[int]:
        """What hangs on a part, and on that."""
        graph = nx.DiGraph([(self.on[i], i) for i in left if self.on[i] in left])
        return nx.descendants(graph, part) if part in graph else set()

    def sets(self, left: set[int]) -> list[set[int]]:
        """Every set of parts that may be left: a bolt nobody looked at may hold or not."""
        open_ties = [i for i in sorted(left) if i and not self.looked[i]]
        found = []
        for gone in itertools.chain.from_iterable(
            itertools.combinations(open_ties, n) for n in range(len(open_ties) + 1)
        ):
            rest = set(left)
            for part in gone:
                rest -= {part} | self.children(part, left)
            if rest not in found:
                found.append(rest)
        return found

    def tips(self, left: set[int], masses: Array) -> float:
        """Least tilt at which some parts go over; 0 where they do not stand. [deg]"""
        parts = sorted(left)
        centre = masses[parts] @ self.at[parts] / masses[parts].sum()
        hull = ConvexHull(self.face)
        inside = -(hull.equations[:, :2] @ centre[:2] + hull.equations[:, 2])
        return math.degrees(math.atan2(inside.min(), centre[2])) if inside.min() > 0.0 else 0.0


def records_of(stack: Stack, steps: list[dict[str, Any]]) -> tuple[Any, JobPlan]:
    """A stack as records, and a plan with some steps."""
    parts = [
        {
            "component": f"p{i}", "name": f"P{i}", "kind": "part",
            "masses": [{"printed": f"{m:.4f} kg", "plus or minus": f"{h:.4f} kg", "source": "scale"}],
        }
        for i, (m, h) in enumerate(zip(stack.stated, stack.half, strict=True))
    ]  # fmt: skip
    unit = {
        "component": "unit", "name": "Unit", "kind": "assembly", "parts listed": "all",
        "parts": [
            {"component": f"p{i}", "quantity": "1", "at": [f"{1000 * v:.0f} mm" for v in at]}
            for i, at in enumerate(stack.at)
        ],
        "set down faces": [
            {"id": "under", "name": "underside", "may rest": "yes", "square to": "-z",
             "corners": [[f"{1000 * x:.0f} mm", f"{1000 * y:.0f} mm", "0 mm"] for x, y in stack.face]}
        ],
    }  # fmt: skip
    joints = [
        {
            "joint": f"j{i}", "name": f"J{i}", "within": "unit", "between": [f"p{stack.on[i]}", f"p{i}"],
            "ties": [{"id": "b", "kind": "bolts", "what": f"bolts {i}", **({"there": "yes"} if stack.looked[i] else {})}],
        }
        for i in range(1, len(stack.on))
    ]  # fmt: skip
    plan = {"job plan": "plan", "name": "Plan", "unit": "unit", "steps": steps,
            "starts": {"rests": {"on": "floor", "face": "under"}}}  # fmt: skip
    records: list[tuple[str, Any]] = [
        ("source kind", SourceKind.model_validate(
            {"source kind": "weighed", "name": "weighed", "rank": "10", "basis": "a scale"})),
        ("source", Source.model_validate({"source": "scale", "name": "Scale", "kind": "weighed"})),
        *(("component", Component.model_validate(one)) for one in (*parts, unit)),
        *(("joint", Joint.model_validate(one)) for one in joints),
    ]  # fmt: skip
    return collect(records), JobPlan.model_validate(plan)


def steps_of(
    stack: Stack, rng: np.random.Generator
) -> tuple[list[dict[str, Any]], list[set[int]], list[set[int]]]:
    """Random steps, the parts left after each, and what each lets fall."""
    left, steps, after, falls = set(range(len(stack.on))), [], [], []
    for _ in range(int(rng.integers(1, len(stack.on)))):
        part = int(rng.choice([i for i in left if i] or [0]))
        if part == 0:
            break
        gone = {part} | stack.children(part, left)
        tie = {"joint": f"j{part}", "tie": "b"}
        if rng.random() < 0.8:
            # With what hangs on it: an assembly taken off as one.
            ways = [[f"p{i}"] for i in sorted(gone)]
            steps.append({"do": "take off", "what": "off", "by": "hands", "ties": [tie], "pieces": ways})
            falls.append(set())
        else:
            steps.append({"do": "tie out", "what": "out", "ties": [tie]})
            falls.append(gone)
        left = left - gone
        after.append(set(left))
    return steps, after, falls


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random stacks and removals until the time is over."""
    found = Count()
    end = time.monotonic() + seconds
    while found.cases == 0 or time.monotonic() < end:
        stack = Stack(rng)
        steps, after, falls = steps_of(stack, rng)
        if not steps:
            continue
        try:
            records, plan = records_of(stack, steps)
            answer = steps_answer(records, plan, StepsQuestion(DAY))
        except Exception as error:  # whatever it is, it is a crash
            found.cases += 1
            found.note("crashes", f"{type(error).__name__}: {error}")
            continue
        found.cases += len(steps)
        _compare(stack, answer, after, falls, found)
    return found


def _compare(
    stack: Stack, answer: StepsAnswer, after: list[set[int]], falls: list[set[int]], found: Count
) -> None:
    for step, left, fallen in zip(answer.steps, after, falls, strict=True):
        told = {name for n in step.findings if n.kind == "held by nothing" for name in n.facts["pieces"]}  # type: ignore[union-attr]
        sure = {f"P{i}" for i in fallen}
        if told != sure:
            found.note("dangerous" if sure - told else "wide", f"falls {sorted(sure)}, said {sorted(told)}")
        body = next((b for b in step.bodies if any(c.kind == "floor" for c in b.carried_by)), None)
        if body is None or body.kg is None or body.kg.high is None:
            found.note("dangerous", f"no body left of {sorted(left)}")
            continue
        mass = float(stack.true[sorted(left)].sum())
        if not body.kg.low - 1e-6 <= mass <= body.kg.high + 1e-6:
            found.note("dangerous", f"mass {mass}, said {body.kg}")
        true = min(stack.tips(one, stack.true) for one in stack.sets(left))
        best = min(stack.tips(one, stack.stated) for one in stack.sets(left))
        said = body.tips_deg
        if said is None or said > true + 1e-6:
            found.note(
                "dangerous", f"tips at {true}, said {said}, left {sorted(left)}, looked {stack.looked}"
            )
        elif stack.doubt == TINY and said < best - 0.1 and best > 0.5:
            found.note("wide", f"tips at {best}, said {said}")
