"""Truth drawn from the doubt that a record states, kind by kind: how often the printed range holds it.

Where every error stays inside its stated limits the range holds the truth always; each miss is a fault. Where
only a standard uncertainty is stated, or errors are normal, it cannot: there is a share, and no target for a
single figure. ``python -m tests.oracles.doubt_coverage --write`` keeps the shares for docs/validation.md.
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from handling_db.lookup.weight import answer
from tests.from_text import collection
from tests.oracles.count import Count
from tests.oracles.whole_evidence import Case

KEPT = Path(__file__).with_name("coverage.json")
UNITS = 12  # in one collection
NEAR = 1e-9  # [kg]
SOURCES = """\
- {source: book, name: a handbook, kind: maker's manual}
- {source: scale, name: a scale, kind: weighed, instrument: {name: scale, step: 0.001 kg, calibration doubt: 0.5 kg}}
- {source: list, name: a list, kind: supplier's list, all off alike: 3 %}
"""


@dataclass(frozen=True)
class Drawn:
    """One figure: what is printed, and the truth behind it. [kg]"""

    printed: str
    true: float


Draw = Callable[[np.random.Generator, float, float], Drawn]


def _rectangular(rng: np.random.Generator, kg: float, bias: float) -> Drawn:
    half = 0.02 * kg
    read = round(kg + rng.uniform(-half, half) * 0.999, 4)
    return Drawn(f"printed: {read:.4f} kg, plus or minus: {half:.4f} kg, source: book", kg)


def _rounded(rng: np.random.Generator, kg: float, bias: float) -> Drawn:
    step = 0.5 if kg < 50 else 5.0
    return Drawn(f"printed: {round(kg / step) * step:.1f} kg, step: {step:g} kg, source: book", kg)


def _normal_u(rng: np.random.Generator, kg: float, bias: float) -> Drawn:
    u = 0.01 * kg
    return Drawn(f"printed: {kg + rng.normal(0, u):.4f} kg, u: {u:.4f} kg, source: book", kg)


def _normal_half(rng: np.random.Generator, kg: float, bias: float) -> Drawn:
    half = 0.02 * kg
    read = kg + rng.normal(0, half / math.sqrt(3))
    return Drawn(f"printed: {read:.4f} kg, plus or minus: {half:.4f} kg, source: book", kg)


def _scale(rng: np.random.Generator, kg: float, bias: float) -> Drawn:
    own = 0.005 * kg
    read = kg + 0.5 * bias + rng.uniform(-own, own) * 0.999
    return Drawn(f"printed: {read:.4f} kg, plus or minus: {own + 0.5:.4f} kg, source: scale", kg)


def _list(rng: np.random.Generator, kg: float, bias: float) -> Drawn:
    # what the list has is read; the piece is off it by the list's bias and by a share of its own
    true = kg * (1 + 0.03 * bias + rng.uniform(-0.01, 0.01) * 0.999)
    return Drawn(f"printed: {kg:.4f} kg, plus or minus: {0.04 * kg:.4f} kg, source: list", true)


KINDS: dict[str, tuple[Draw, bool]] = {
    "±, error rectangular": (_rectangular, True),
    "rounded to a step": (_rounded, True),
    "one scale's bias and an own error, rectangular": (_scale, True),
    "one list's bias and an own error, rectangular": (_list, True),
    "±, error normal with u = half-width over root 3": (_normal_half, False),
    "only u stated, error normal": (_normal_u, False),
}
"""Name, how a figure is drawn, and whether its error stays inside what is stated."""


@dataclass
class Shares:
    """How often a truth was held, of how many."""

    single: list[bool] = field(default_factory=list)
    summed: list[bool] = field(default_factory=list)
    inferred: list[bool] = field(default_factory=list)
    two_u: list[bool] = field(default_factory=list)


def units(rng: np.random.Generator, draw: Draw, found: Shares) -> list[str]:
    """Several units of eight parts, one of them three times; a ninth that nobody weighed in a weighed whole."""
    bias = float(rng.uniform(-1, 1))
    lines, true = [], {}
    for unit in range(UNITS):
        parts = []
        for part in range(6):
            kg = float(10 ** rng.uniform(0.5, 2))
            drawn = draw(rng, kg, bias)
            name, many = f"u{unit}p{part}", 3 if part == 0 else 1
            true[name] = drawn.true
            parts.append((name, many))
            lines.append(f"- {{component: {name}, name: {name}, kind: part, masses: [{{{drawn.printed}}}]}}")
        true[f"u{unit}"] = sum(many * true[name] for name, many in parts)
        rest, around = f"u{unit}rest", f"u{unit}all"
        true[rest] = float(rng.uniform(20, 200))
        whole = draw(rng, true[f"u{unit}"] + true[rest], bias)
        if whole.true != true[f"u{unit}"] + true[rest]:  # the list's draw moves the truth, not the print
            true[rest] += whole.true - (true[f"u{unit}"] + true[rest])
        known = "counts: as listed, without: none, checked by: me"
        listed = ", ".join(f"{{component: {name}, quantity: {many}}}" for name, many in parts)
        lines += [
            f"- {{component: u{unit}, name: u{unit}, kind: assembly, parts listed: all, parts: [{listed}]}}",
            f"- {{component: {rest}, name: {rest}, kind: part}}",
            f"- {{component: {around}, name: {around}, kind: assembly, parts listed: all, "
            f"parts: [{{component: u{unit}, quantity: 1}}, {{component: {rest}, quantity: 1}}], "
            f"masses: [{{{whole.printed}, {known}}}]}}",
        ]
    records = collection(SOURCES + "\n".join(lines))
    missed = []
    for name, kg in true.items():
        told = answer(records, name, state="dry").headline
        held = float(told.low) - NEAR <= kg <= float(told.high) + NEAR
        where = found.inferred if name.endswith("rest") else found.single if "p" in name else found.summed
        where.append(held)
        if not held:
            missed.append(f"{name}: true {kg}, {float(told.low)} to {float(told.high)}")
        if where is found.summed and told.u is not None:
            found.two_u.append(abs(float(told.best) - kg) <= 2 * told.u)
    return missed


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Every kind in turn for so many seconds; a miss is a fault where errors stay inside what is stated."""
    count = Count()
    until = time.monotonic() + seconds
    while count.cases == 0 or time.monotonic() < until:
        for name, (draw, bounded) in KINDS.items():
            missed = units(rng, draw, Shares())
            count.cases += UNITS
            if bounded:
                for words in missed:
                    count.note("dangerous", f"{name}: {words}")
            if count.cases and time.monotonic() >= until:
                break
    return count


def share(held: list[bool]) -> str:
    """``95.2 % (94.1 to 96.1)``: with its interval of 95 %, by Wilson."""
    if not held:
        return "-"
    n, p, z = len(held), sum(held) / len(held), 1.96
    middle, half = (
        (p + z * z / (2 * n)) / (1 + z * z / n),
        z * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n)),
    )
    half /= 1 + z * z / n
    low, high = 100 * max(0.0, middle - half), 100 * min(1.0, middle + half)
    return f"{100 * p:.1f} % of {n} ({low:.1f} to {high:.1f})"


def widths(rng: np.random.Generator, cases: int) -> list[float]:
    """The width of printed dry ranges over the width that linear programming gives, of all pieces."""
    found = []
    for _ in range(cases):
        case = Case(rng, planted=False)
        records = collection(case.text())
        for piece in case.unit.all():
            told = answer(records, piece.name).states[0]
            least, most = case.program(piece, 1), case.program(piece, -1)
            if told.planning is not None and most is not None and least is not None and most - least > 1:
                found.append(float(told.high - told.low) * 1000 / (most - max(least, 0.0)))
    return found


def planted(rng: np.random.Generator, cases: int) -> tuple[int, int, int]:
    """With wrong figures beside right ones: answers, those whose plan is below the truth, and also the second."""
    answers = below = lost = 0
    for _ in range(cases):
        case = Case(rng, planted=True)
        if all(said.right for said in case.said):
            continue
        records = collection(case.text())
        for piece in case.unit.all():
            for state in answer(records, piece.name).states:
                if state.planning is None:
                    continue
                true = case.true(piece, state.state, 1.0 if state.state == "filled" else None) / 1000
                plan, rests = float(state.planning), state.rests
                answers += 1
                below += plan < true - 1e-6
                reach = math.inf if rests.second_open else max(plan, float(rests.second or 0))
                lost += reach < true - 1e-6
    return answers, below, lost


def table(seed: int, rounds: int) -> dict[str, object]:
    """Everything for the page."""
    rng = np.random.default_rng(seed)
    lines = []
    for name, (draw, bounded) in KINDS.items():
        found = Shares()
        for _ in range(rounds):
            units(rng, draw, found)
        row = [share(found.single), share(found.summed), share(found.inferred), share(found.two_u)]
        lines.append([name, "always" if bounded else "a share", *row])
    ratios = sorted(widths(rng, 3 * rounds))
    answers, below, lost = planted(rng, 6 * rounds)
    return {
        "seed": seed,
        "rounds": rounds,
        "kinds": lines,
        "widths": [
            len(ratios),
            statistics.median(ratios),
            ratios[math.ceil(0.9 * len(ratios)) - 1],
            ratios[-1],
        ],
        "planted": [answers, below, lost],
    }


def main() -> None:
    """Print the table, and keep it where asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=20261130)
    parser.add_argument("--rounds", type=int, default=20, help=f"collections of {UNITS} units a kind")
    parser.add_argument("--write", action="store_true", help="keep it for docs/validation.md")
    asked = parser.parse_args()
    found = table(asked.seed, asked.rounds)
    print(json.dumps(found, indent=1, ensure_ascii=False))
    if asked.write:
        KEPT.write_text(json.dumps(found, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
