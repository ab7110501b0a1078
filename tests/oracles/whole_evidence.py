"""Random collections with a hidden truth inside every stated limit: the look-up holds it, and how wide it is.

The truth, the readings and the linear program are made here from a tree of numbers; the program under test
sees nothing but YAML text. Where figures are planted that contradict right ones, the plan or the second
figure beside it must still reach the truth.
"""

from __future__ import annotations

import math
import time
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import linprog

from handling_db.lifting.load.answer import group_mass
from handling_db.lookup.weight import answer
from handling_db.quantities.amount import total
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import LiftGroup
from tests.from_text import collection
from tests.oracles.count import Count

NEAR = 1e-6  # [kg]
WIDE = 1e-3
STATES = ("dry", "drained", "filled")


@dataclass
class Piece:
    """A node of the hidden tree; grams throughout, fluids in grams too."""

    name: str
    parts: list[tuple[Piece, int]] = field(default_factory=list)
    grams: int = 0

    def dry(self) -> int:
        """True dry mass. [g]"""
        return self.grams + sum(q * part.dry() for part, q in self.parts)

    def counts(self, leaves: dict[str, int], many: int = 1) -> dict[str, int]:
        """How many of each leaf are in it."""
        if not self.parts:
            leaves[self.name] = leaves.get(self.name, 0) + many
        for part, q in self.parts:
            part.counts(leaves, many * q)
        return leaves

    def all(self) -> list[Piece]:
        """It and everything below."""
        return [self, *(one for part, _ in self.parts for one in part.all())]


@dataclass
class Said:
    """A reading: of what, in which state, and what was read. [g]"""

    of: Piece
    state: str
    read: int
    half: int
    scale: str
    right: bool = True


class Case:
    """One random collection.

    Parameters
    ----------
    rng : numpy.random.Generator
    planted : bool
        Whether wrong figures stand beside right ones.
    """

    def __init__(self, rng: np.random.Generator, planted: bool) -> None:
        self.rng = rng
        count = iter(range(1000))
        halves = []
        for _ in range(rng.integers(2, 4)):
            inside = [
                (self.leaf(next(count)), int(rng.choice([1, 1, 1, 2, 3]))) for _ in range(rng.integers(1, 4))
            ]
            if rng.random() < 0.3:
                group = Piece(
                    f"group{next(count)}", [(self.leaf(next(count)), 1), (self.leaf(next(count)), 2)]
                )
                inside.append((group, 1))
            halves.append((Piece(f"half{next(count)}", inside), 1))
        self.unit = Piece("unit", [*halves, (self.leaf(next(count)), 4)])
        self.scales = {"near": int(rng.choice([0, 200, 1000])), "far": 0}  # calibration doubt [g]
        self.bias = {name: self.within(doubt) for name, doubt in self.scales.items()}
        # litres in thousandths, density in grams a litre: both whole numbers, so that records say them exactly
        self.litres, self.litres_doubt = int(rng.integers(5_000, 40_000)), int(rng.choice([0, 200, 1000]))
        self.density, self.density_doubt = int(rng.integers(850, 900)), int(rng.choice([0, 5, 20]))
        self.stays, self.stays_doubt = int(rng.integers(600, 3_000)), int(rng.choice([0, 200, 500]))
        self.looked = bool(rng.random() < 0.8)
        rho = self.density + self.within(self.density_doubt)
        filled = (self.litres + self.within(self.litres_doubt)) * rho / 1000
        drained = (self.stays + self.within(self.stays_doubt)) * rho / 1000
        if not self.looked:
            drained = filled * float(rng.choice([0.0, rng.random(), 1.0]))
        self.oil = {"dry": 0.0, "drained": drained, "filled": filled}
        self.kept = {piece.name: float(rng.choice([0.0, rng.random(), 1.0])) for piece in self.unit.all()}
        self.said = self.readings()
        if planted:
            self.plant()

    def leaf(self, number: int) -> Piece:
        """A part with a true mass."""
        return Piece(f"part{number}", [], int(self.rng.integers(200, 120_000)))

    def within(self, doubt: int) -> int:
        """An error within a doubt, often at its very end."""
        ends = self.rng.random()
        return -doubt if ends < 0.25 else doubt if ends < 0.5 else int(self.rng.integers(-doubt, doubt + 1))

    def true(self, piece: Piece, state: str, share: float | None = None) -> float:
        """The true mass in a state; an assembly of the unit with a share of the oil. [g]"""
        if piece is self.unit:
            return piece.dry() + self.oil[state]
        if not piece.parts:
            return float(piece.dry())
        part = self.kept[piece.name] if share is None else share
        return piece.dry() + part * self.oil[state]

    def readings(self) -> list[Said]:
        """Readings of some leaves and some assemblies, each inside its doubt."""
        found = []
        for piece in self.unit.all():
            often = 0.5 if piece.parts else 0.75
            for _ in range(2):
                if self.rng.random() < often:
                    found.append(self.reading(piece))
                often = 0.15
        return found

    def reading(self, piece: Piece) -> Said:
        """One reading; the oil in a filled half is another share every time."""
        state = str(self.rng.choice(STATES)) if piece.parts else "dry"
        share = float(self.rng.choice([0.0, self.rng.random(), 1.0])) if state == "filled" else None
        scale = str(self.rng.choice(["near", "far"]))
        half = self.scales[scale] + int(self.rng.choice([50, 300, 2000]))
        middle = self.true(piece, state, share) + self.bias[scale]
        own = half - self.scales[scale]
        low, high = math.ceil(middle - own), math.floor(middle + own)
        ends = self.rng.random()
        read = low if ends < 0.3 else high if ends < 0.6 else int(self.rng.integers(low, high + 1))
        return Said(piece, state, max(read, 1), half, scale)

    def plant(self) -> None:
        """One to three figures that agree on a wrong value, beside a right one of the same piece and state."""
        beside = self.said[int(self.rng.integers(len(self.said)))] if self.said else None
        if beside is None or (beside.of.parts and beside.state != "dry"):
            return
        off = int(self.rng.choice([-1, 1])) * (4 * beside.half + int(self.rng.integers(5_000, 40_000)))
        for _ in range(int(self.rng.integers(1, 4))):
            half = int(self.rng.choice([100, 500]))
            read = beside.read + off + int(self.rng.integers(-half // 2, half // 2 + 1))
            if read - half > 0:
                self.said.append(Said(beside.of, beside.state, read, half, "plant", right=False))

    def text(self) -> str:
        """The records."""
        lines = [
            "- {source: far, name: far scale, kind: weighed}",
            "- {source: plant, name: planted, kind: weighed}",
            f"- {{source: near, name: near scale, kind: weighed, instrument: {{name: near, step: 0.001 kg, "
            f"calibration doubt: {self.scales['near'] / 1000} kg}}}}",
            "- component: oil\n  name: oil\n  kind: fluid\n  fluid:",
            f"    litres: {self.litres / 1000:.3f} L\n    litres plus or minus: {self.litres_doubt / 1000:.3f} L",
            f"    density: {self.density / 1000:.3f} kg/L",
            f"    density plus or minus: {self.density_doubt / 1000:.3f} kg/L",
        ]
        if self.looked:
            lines += [
                f"    stays: {self.stays / 1000:.3f} L\n    stays plus or minus: {self.stays_doubt / 1000:.3f} L"
            ]
        for piece in self.unit.all():
            kind = "assembly" if piece.parts else "part"
            lines.append(f"- component: {piece.name}\n  name: {piece.name}\n  kind: {kind}")
            if piece.parts:
                parts = [f"{{component: {part.name}, quantity: {q}}}" for part, q in piece.parts]
                parts += ["{component: oil, quantity: 1}"] if piece is self.unit else []
                lines.append(f"  parts listed: all\n  parts: [{', '.join(parts)}]")
            own = [said for said in self.said if said.of is piece]
            lines += ["  masses:"] if own else []
            for said in own:
                bounds = f", state: {said.state}, counts: as listed, without: none, checked by: me"
                lines.append(
                    f"    - {{printed: {said.read / 1000:.3f} kg, plus or minus: {said.half / 1000:.3f} kg, "
                    f"source: {said.scale}{bounds if piece.parts else ''}}}"
                )
        return "\n".join(lines) + "\n"

    def program(self, piece: Piece, sign: int) -> float | None:
        """The least (1) or most (-1) dry mass of a piece by a program of its own; None where it has none. [g]"""
        return self.bound({name: float(q) for name, q in piece.counts({}).items()}, sign)

    def bound(self, weights: Mapping[str, float], sign: int) -> float | None:
        """The least (1) or most (-1) of a weighted sum of leaves; None where it has no end. [g]"""
        leaves = sorted(self.unit.counts({}))
        pieces = [one.name for one in self.unit.all() if one.parts and one is not self.unit]
        names = [*leaves, *(f"kept {name}" for name in pieces), "drained", "filled", "bias"]
        place = {name: n for n, name in enumerate(names)}
        rows: list[np.ndarray] = []
        ends: list[float] = []

        def most(counts: dict[str, float], end: float) -> None:
            row = np.zeros(len(names))
            for name, count in counts.items():
                row[place[name]] += count
            rows.append(row)
            ends.append(end)

        for said in self.said:
            dry: dict[str, float] = {name: float(q) for name, q in said.of.counts({}).items()}
            own = said.half
            if said.scale == "near" and self.scales["near"]:
                dry["bias"] = self.scales["near"]
                own -= self.scales["near"]
            under, over = dict(dry), dict(dry)
            if said.of is self.unit and said.state != "dry":
                under[said.state] = over[said.state] = 1.0
            elif said.of.parts and said.state == "drained":
                under[f"kept {said.of.name}"] = over[f"kept {said.of.name}"] = 1.0
            elif said.of.parts and said.state == "filled":
                over["filled"] = 1.0
            most(under, said.read + own)
            # a scale shows no less than nothing: a reading that may have stood there has no lower limit
            if said.read > own or "bias" not in over:
                most({name: -count for name, count in over.items()}, -(said.read - own))
        for name in pieces:
            most({f"kept {name}": 1.0, "drained": -1.0}, 0.0)
        light, heavy = self.density - self.density_doubt, self.density + self.density_doubt
        full = [(self.litres + s * self.litres_doubt) / 1000 for s in (-1, 1)]
        stay = [(self.stays + s * self.stays_doubt) / 1000 for s in (-1, 1)]
        box: list[tuple[float, float | None]] = [(0.0, None)] * (len(leaves) + len(pieces))
        box += [(stay[0] * light, stay[1] * heavy) if self.looked else (0.0, None)]
        box += [(full[0] * light, full[1] * heavy), (-1.0, 1.0)]
        most({"drained": 1.0, "filled": -1.0}, 0.0)
        if self.looked:
            most({"drained": 1.0, "filled": -stay[1] / full[0]}, 0.0)
            most({"drained": -1.0, "filled": stay[0] / full[1]}, 0.0)
        cost = np.zeros(len(names))
        for name, weight in weights.items():
            cost[place[name]] = sign * weight
        found = linprog(cost, A_ub=np.array(rows), b_ub=np.array(ends), bounds=box, method="highs")
        return sign * float(found.fun) if found.status == 0 else None


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random collections for so many seconds."""
    count = Count()
    until = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < until:
        case = Case(rng, planted=bool(rng.random() < 0.3))
        count.cases += 1
        try:
            records = collection(case.text())
            plans: dict[str, float] = {}
            reaches: dict[str, float] = {}
            for piece in case.unit.all():
                planted = any(not said.right for said in case.said)
                _look(case, piece, records, count, planted=planted)
                if piece is case.unit or any(piece is half for half, _ in case.unit.parts if half.parts):
                    _lift(case, piece, records, count, planted=planted)
                dry = answer(records, piece.name).states[0]
                plan = math.inf if dry.planning is None else float(dry.planning)
                plans[piece.name] = plan
                reaches[piece.name] = (
                    math.inf if dry.rests.second_open else max(plan, float(dry.rests.second or 0))
                )
            half = case.unit.parts[0][0]
            part, many = half.parts[int(rng.integers(len(half.parts)))]
            _lift(case, case.unit, records, count, planted=planted, left=(half, part, many))
            for whole in case.unit.all():
                # nothing is lighter than what is in it, whoever is wrong: a weighed whole keeps its own figure
                # as its plan, and where an unweighed part may be more, the second figure beside it says so
                measured = {said.of.name for said in case.said}
                for part, many in whole.parts:
                    of_whole = plans if part.name in measured else reaches
                    if of_whole[whole.name] < many * plans[part.name] - NEAR < math.inf:
                        told = (
                            f"{whole.name} {of_whole[whole.name]}, {many} {part.name} plan {plans[part.name]}"
                        )
                        count.note("dangerous", f"{told}\n{case.text()}")
        except AssertionError:
            raise
        except Exception as error:  # whatever it is, it is counted with the records that made it
            count.note("crashes", f"{type(error).__name__} {error}\n{case.text()}")
    return count


def _lift(
    case: Case,
    piece: Piece,
    records: Collection,
    count: Count,
    *,
    planted: bool,
    left: tuple[Piece, Piece, int] | None = None,
) -> None:
    """A lift of one assembly whose litres nobody stated: empty or with all of the oil it lies within the load.

    Parameters
    ----------
    left : (Piece, Piece, int), optional
        A half of the unit, a part of it that stays behind, and how many of it.
    """
    group = LiftGroup.model_validate(
        {
            "lift group": "up",
            "name": "up",
            "root": "unit",
            "takes": [["unit" if piece is case.unit else piece.name]],
            "leaves": [] if left is None else [[left[0].name, left[1].name]],
            "packing": "none",
            "checked by": "nobody",
        }
    )
    mass = group_mass(records, group)
    load = total(mass.parts()).amount
    most = math.inf if load.high is None else load.high
    if mass.together is not None and load.high is not None:
        most = (
            math.inf if mass.together.most is None else most + float(mass.together.most - mass.together.plan)
        )
    dry = piece.dry() - (0 if left is None else left[1].dry() * left[2])
    empty, full = dry / 1000, (dry + case.oil["filled"]) / 1000
    what = f"lift of {piece.name}: {load}, up to {most}, true {empty} to {full}\n{case.text()}"
    if most < full - NEAR or (not planted and load.low > empty + NEAR):
        count.note("dangerous", what)


def _look(case: Case, piece: Piece, records: object, count: Count, *, planted: bool) -> None:
    told = answer(records, piece.name)  # type: ignore[arg-type]
    for state in told.states:
        share = 1.0 if state.state == "filled" else None  # all of it may be in any half
        true = case.true(piece, state.state, share) / 1000
        plan = math.inf if state.planning is None else float(state.planning)
        rests = state.rests
        reach = math.inf if rests.second_open else max(plan, float(rests.second or 0))
        what = f"{piece.name} {state.state}: true {true}, plan {plan}, up to {reach}\n{case.text()}"
        if reach < true - NEAR:
            count.note("dangerous", what)
        if state.complete and plan < float(state.high) - NEAR:
            count.note("dangerous", f"plan below the figure beside it, up to {state.high}; {what}")
        if planted or not state.complete:
            continue
        if plan < true - NEAR or not float(state.low) - NEAR <= true <= float(state.high) + NEAR:
            count.note("dangerous", f"{state.low} to {state.high}, {what}")
    if planted:
        return
    dry = told.states[0]
    least, most = case.program(piece, 1), case.program(piece, -1)
    if (most is None) != (dry.planning is None):
        count.note(
            "dangerous" if most is None else "wide", f"{piece.name}: program {most}, {dry}\n{case.text()}"
        )
    elif most is not None and least is not None and dry.planning is not None:
        low, high = float(dry.low) * 1000, float(dry.high) * 1000
        slack = 1e-3 + 1e-6 * most
        if high < most - slack or low > max(least, 0.0) + slack:
            count.note(
                "dangerous", f"{piece.name}: {low} to {high} g, program {least} to {most}\n{case.text()}"
            )
        elif high - most > WIDE * most + slack or least - low > WIDE * most + slack:
            count.note("wide", f"{piece.name}: {low} to {high} g, program {least} to {most}\n{case.text()}")
