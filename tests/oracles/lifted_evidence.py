"""Lifts out of random collections with a hidden truth: hook and legs hold it, whatever contradicts.

The collections are those of `whole_evidence`; places, what is taken and the two far plumb legs are made here. A
linear program of its own bounds what the pieces weigh together and, by moments, what each of two plumb legs
carries. Where figures are planted that contradict right ones, the hook figure or the second one beside it must
still reach the truth.
"""

from __future__ import annotations

import math
import re
import time

import numpy as np

from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from tests.from_text import collection
from tests.oracles.count import DANGEROUS, Count
from tests.oracles.whole_evidence import Case, Piece

APART = 2.0  # of the two points, either side of the datum [m]
LEGS = 200.0  # [m]: plumb to one part in 10,000
WIDE = 0.01
NEAR = 1e-3  # [kg]


class Lift:
    """A random case with places, and some of its pieces on the hook."""

    def __init__(self, rng: np.random.Generator, planted: bool) -> None:
        self.case = Case(rng, planted)
        self.places: dict[tuple[str, str], int] = {}
        self.taken: list[tuple[str, ...]] = []
        self.leaves: dict[str, tuple[int, float]] = {}  # how many, and where along x [m]
        self.true: dict[str, int] = {}
        self.stands: dict[str, int] = {}  # where each piece is along x [mm]
        self.bears = ""  # the piece with the points
        for piece, _ in self.case.unit.parts:
            if piece.parts and rng.random() < 0.4:
                for part, _ in piece.parts:
                    if rng.random() < 0.5:
                        self.taken.append((piece.name, part.name))
            elif rng.random() < 0.7:
                self.taken.append((piece.name,))
        self._place(rng, self.case.unit, 1, 0.0, ())
        if not self.leaves:
            self.taken = [(self.case.unit.parts[0][0].name,)]
            self.places.clear()
            self._place(rng, self.case.unit, 1, 0.0, ())

    def _place(
        self, rng: np.random.Generator, piece: Piece, many: int, x: float, way: tuple[str, ...]
    ) -> None:
        self.true[piece.name] = piece.grams
        self.stands[piece.name] = round(x * 1000)
        if many == 1 and way in self.taken:
            self.bears = self.bears or piece.name
        for part, q in piece.parts:
            at = int(rng.integers(-700, 701))
            self.places[piece.name, part.name] = at
            here = (*way, part.name)
            there = x + at / 1000
            if not part.parts and any(here[: len(one)] == one for one in self.taken):
                self.leaves[part.name] = (many * q, there)
            self._place(rng, part, many * q, there, here)

    def text(self) -> str:
        """The records."""
        parent = ""
        lines = []
        for line in self.case.text().splitlines():
            if line.startswith("- component: "):
                parent = line.removeprefix("- component: ")
            if line.startswith("  parts: "):
                line = re.sub(
                    r"\{component: (\w+), quantity: (\d+)\}",
                    lambda m, p=parent: self._line(p, m[1], m[2]),
                    line,
                )
            lines.append(line)
            if line == "- component: unit":
                lines.append("  attitudes: [{id: as-is, name: as it lies}]")
            if line == f"- component: {self.bears}":
                lines.append("  pick points:")
                for name, x in (("left", -APART), ("right", APART)):
                    at = round(x * 1000) - self.stands[self.bears]
                    lines.append(f"    - {{id: {name}, name: {name}, at: [{at} mm, 0 mm, 20 mm]}}")
        ways = ", ".join(f"[{', '.join(way)}]" for way in self.taken)
        leg = f"length: {LEGS:g} m, length plus or minus: 0.001 mm"
        return "\n".join(
            [
                *lines,
                "- lift group: up\n  name: Up\n  root: unit\n  attitude: as-is\n  trapped: none",
                "  packing: none\n  gear: none\n  checked by: rigger",
                f"  takes: [{ways}]",
                f"  picks: [{{point: left, {leg}}}, {{point: right, {leg}}}]\n",
            ]
        )

    def _line(self, parent: str, name: str, many: str) -> str:
        at = self.places.get((parent, name))
        place = "" if at is None else f", at: [{at} mm, 0 mm, 0 mm]"
        return f"{{component: {name}, quantity: {many}{place}}}"

    def arms(self, right: bool) -> dict[str, float]:
        """What each gram of a leaf adds to one of the legs: by moments about the other."""
        return {
            name: many * ((x + APART if right else APART - x) / (2 * APART))
            for name, (many, x) in self.leaves.items()
        }


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random lifts for so many seconds."""
    count = Count()
    until = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < until:
        lift = Lift(rng, bool(rng.random() < 0.4))
        count.cases += 1
        try:
            _look(lift, count)
        except AssertionError:
            raise
        except Exception as error:  # whatever it is, it is counted with the records that made it
            count.note("crashes", f"{type(error).__name__} {error}\n{lift.text()}")
    return count


def _look(lift: Lift, count: Count) -> None:
    answer = lift_answer(collection(lift.text()), "up", LiftQuestion())
    planted = any(not said.right for said in lift.case.said)
    true = sum(many * lift.true[name] for name, (many, _) in lift.leaves.items()) / 1000
    told = answer.lift
    plan = math.inf if told is None or told.high is None else told.high
    beside = [one.facts["most_kg"] for one in answer.first if one.kind == "missing somewhere"]
    if any(one.kind == "no limit while they disagree" for one in answer.first):
        beside.append(math.inf)
    reach = max([plan, *(float(one) for one in beside if isinstance(one, int | float))])
    what = f"true {true}, plan {plan}, up to {reach}\n{lift.text()}"
    if reach < true - NEAR:
        count.note("dangerous", what)
    if planted:
        return
    if plan < true - NEAR or (told is not None and told.low > true + NEAR):
        count.note("dangerous", what)
    most = lift.case.bound({name: float(many) for name, (many, _) in lift.leaves.items()}, -1)
    if (most is None) != (plan == math.inf):
        # Without an upper figure of each piece there is none for the hook, although a whole may bound the sum.
        count.note("dangerous" if most is None else "wide", f"program {most} g, {what}")
    if most is None or plan == math.inf:
        return
    if plan < most / 1000 * (1 - DANGEROUS) - NEAR:
        count.note("dangerous", f"program {most} g, {what}")
    elif plan > most / 1000 * (1 + DANGEROUS) + NEAR:
        count.note("wide", f"program {most} g, {what}")
    if not lift.bears:
        return
    if answer.legs is None:
        count.note("wide", f"no legs: {answer.no_legs}\n{what}")
        return
    for leg in answer.legs.legs:
        hardest = lift.case.bound(lift.arms(leg.point == "right"), -1)
        pull = leg.tension_high_kg or 0.0
        if hardest is None or pull < hardest / 1000 * (1 - DANGEROUS) - NEAR:
            count.note("dangerous", f"leg at {leg.point}: {pull} kg, program {hardest} g, {what}")
        elif pull > hardest / 1000 * (1 + WIDE) + NEAR:
            count.note("wide", f"leg at {leg.point}: {pull} kg, program {hardest} g, {what}")
