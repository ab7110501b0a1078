"""A synthetic study: known faults planted in random assemblies, and how many are found and named rightly.

Run it with ``python -m tests.benchmarks.study``; it prints the seed and a table. Nothing in it is a real
machine: masses, quantities, sources and their errors are drawn at random. What it shows is how the checks
behave when the truth is known, no more.
"""

from __future__ import annotations

import argparse
import random
import statistics
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction

from handling_db.balance.explain import Explanation, explain
from handling_db.balance.measurements import gather
from handling_db.balance.reconcile import SIGNIFICANCE, reconcile
from handling_db.findings import Verdict
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.source import Source
from handling_db.records.kinds.weighing import Weighing
from handling_db.weights.compare import Judge
from tests.from_text import with_reference

LB = 0.45359237
SEED = 20260915
TREES = 150

# How figures are made: source, its stated half-width for a mass, decimals printed.
SCALE = ("scale", lambda kg: 0.5 if kg > 60 else 0.1 if kg > 6 else 0.02, 2)
LIST = ("list", lambda kg: max(0.05 * kg, 0.05), 2)


@dataclass
class Part:
    """One part as it is."""

    name: str
    kg: float
    quantity: int
    source: str = ""
    half: float = 0.0
    read: float = 0.0
    recorded: int = 0
    printed: str = ""


@dataclass
class Unit:
    """One invented assembly with its groups, as it is and as it is recorded."""

    groups: dict[str, list[Part]]
    wholes: dict[str, tuple[float, float]] = field(default_factory=dict)  # read, half-width
    litres: float = 0.0
    state: str = "dry"
    without: str = "none"
    printed: str = ""
    tare: float = 0.0

    def parts(self) -> list[Part]:
        """Every part line."""
        return [part for group in self.groups.values() for part in group]


def reading(rnd: random.Random, kg: float, half: float) -> float:
    """A figure with a normal error whose standard deviation is the half-width over root three."""
    return max(kg + rnd.gauss(0.0, half / 3**0.5), 0.01)


def sound(rnd: random.Random) -> Unit:
    """An assembly of 3 to 5 groups of 3 to 8 lines, every part and most wholes weighed, nothing wrong."""
    groups: dict[str, list[Part]] = {}
    for g in range(rnd.randrange(3, 6)):
        group = []
        for p in range(rnd.randrange(3, 9)):
            kg = 10 ** rnd.uniform(-0.3, 2.1)
            quantity = rnd.choice((1, 1, 1, 1, 2, 2, 4, 6, 8)) if kg < 20 else 1
            source, half, _ = SCALE if rnd.random() < 0.8 else LIST
            part = Part(f"g{g}p{p}", kg, quantity, source, half(kg), recorded=quantity)
            part.read = reading(rnd, kg, part.half)
            group.append(part)
        groups[f"g{g}"] = group
    unit = Unit(groups, litres=rnd.uniform(5, 40))
    for name, group in groups.items():
        if rnd.random() < 0.6:
            kg = sum(part.kg * part.quantity for part in group)
            unit.wholes[name] = (reading(rnd, kg, 1.0), 1.0)
    kg = sum(part.kg * part.quantity for part in unit.parts())
    unit.wholes["unit"] = (reading(rnd, kg, 2.5), 2.5)
    return unit


def sources() -> list[tuple[str, object]]:
    """A scale, a price list and a handbook."""
    scale = {"name": "scale", "step": "0.01 kg"}
    return [
        ("source", Source.model_validate(given))
        for given in (
            {"source": "scale", "name": "scale", "kind": "weighed", "instrument": scale},
            {"source": "list", "name": "list", "kind": "supplier's list"},
            {"source": "book", "name": "book", "kind": "maker's manual"},
        )
    ]


def records(unit: Unit) -> Collection:
    """The assembly as records."""
    found = sources()

    def add(given: dict[str, object]) -> None:
        found.append(("component", Component.model_validate(given)))

    def whole(name: str) -> list[dict[str, object]]:
        if name not in unit.wholes:
            return []
        kg, half = unit.wholes[name]
        boundary: dict[str, object] = {"counts": "as listed", "without": "none", "checked by": "keeper"}
        printed = f"{kg:.1f} kg"
        if name == "unit":
            printed = unit.printed or printed
            if unit.without != "none":
                boundary = {"counts": "as listed", "without": [unit.without]}
        return [{"id": f"{name}-whole", "printed": printed, "plus or minus": f"{half:.3f} kg", "source": "book",
                 "state": unit.state if name == "unit" else "dry", **boundary}]  # fmt: skip

    lines = [{"component": name, "quantity": "1"} for name in unit.groups]
    oil = [{"component": "oil", "quantity": "1"}]
    add({"component": "unit", "name": "unit", "kind": "assembly", "parts listed": "all",
         "parts": lines + oil, "masses": whole("unit")})  # fmt: skip
    add({"component": "oil", "name": "oil", "kind": "fluid",
         "fluid": {"litres": f"{unit.litres:.1f} L", "density": "0.87 kg/L", "stays": "1 L"}})  # fmt: skip
    for name, group in unit.groups.items():
        add({"component": name, "name": name, "kind": "assembly", "parts listed": "all", "masses": whole(name),
             "parts": [{"component": p.name, "quantity": str(p.recorded)} for p in group]})  # fmt: skip
        for part in group:
            printed = part.printed or f"{part.read:.2f} kg"
            add({"component": part.name, "name": part.name, "kind": "part", "masses": [
                {"id": f"{part.name}-figure", "printed": printed, "plus or minus": f"{part.half:.3f} kg",
                 "source": part.source}]})  # fmt: skip
    if unit.tare:
        net = unit.wholes["unit"][0] - unit.tare
        found.append(("weighing", Weighing.model_validate({
            "weighing": "other-day", "of": "unit", "gross": f"{net + unit.tare:.1f} kg",
            "tare": f"{unit.tare:.1f} kg", "plus or minus": "2.5 kg", "state": "dry", "counts": "as listed",
            "without": "none", "checked by": "keeper", "source": "scale", "on": "2026-01-01", "by": "keeper",
        })))  # fmt: skip
    return with_reference(collect(found))


Planted = tuple[str, str, str]  # kind of cause, component it is about, id of the wrong figure


def swapped(text: str, rnd: random.Random) -> str | None:
    """A printed figure with two neighbouring digits swapped, so that it moves by a twentieth at least."""
    from handling_db.balance.slips import transposed

    number = float(text.split()[0])
    found = [t for t in transposed(text) if abs(float(t.split()[0]) / number - 1) > 0.05]
    return rnd.choice(found) if found else None


def one(rnd: random.Random, unit: Unit, least: float = 0.0) -> Part:
    """A part line at random, of some mass."""
    fitting = [part for part in unit.parts() if part.kg * part.quantity > least]
    return rnd.choice(fitting or unit.parts())


def shift(unit: Unit, kg: float) -> None:
    """Move the figure of the whole."""
    read, half = unit.wholes["unit"]
    unit.wholes["unit"] = (read + kg, half)


def left_out(rnd: random.Random, unit: Unit) -> Planted:
    """The whole's figure leaves out one line or one group."""
    if rnd.random() < 0.3:
        name = rnd.choice(list(unit.groups))
        shift(unit, -sum(p.kg * p.quantity for p in unit.groups[name]))
        return "left out", name, "unit-whole"
    part = one(rnd, unit)
    shift(unit, -part.kg * part.quantity)
    return "left out", part.name, "unit-whole"


def counted_twice(rnd: random.Random, unit: Unit) -> Planted:
    """The whole's figure counts one line twice."""
    part = one(rnd, unit)
    shift(unit, part.kg * part.quantity)
    return "counted twice", part.name, "unit-whole"


def one_for_n(rnd: random.Random, unit: Unit) -> Planted | None:
    """The whole's author counted one piece where there are several."""
    several = [part for part in unit.parts() if part.quantity > 1]
    if not several:
        return None
    part = rnd.choice(several)
    shift(unit, -part.kg * (part.quantity - 1))
    return "count", part.name, "unit-whole"


def part_in_pounds(rnd: random.Random, unit: Unit) -> Planted:
    """A part's figure in pounds, written as kilograms."""
    part = one(rnd, unit)
    part.printed = f"{part.read / LB:.2f} kg"
    return "unit", part.name, f"{part.name}-figure"


def whole_in_pounds(rnd: random.Random, unit: Unit) -> Planted:
    """The whole's figure in pounds, written as kilograms."""
    unit.printed = f"{unit.wholes['unit'][0] / LB:.1f} kg"
    return "unit", "unit", "unit-whole"


def part_times_ten(rnd: random.Random, unit: Unit) -> Planted:
    """A slipped decimal point in a part's figure."""
    part = one(rnd, unit)
    part.printed = f"{part.read * rnd.choice((10, 0.1)):.3f} kg"
    return "factor", part.name, f"{part.name}-figure"


def part_digits(rnd: random.Random, unit: Unit) -> Planted | None:
    """Two digits of a part's figure swapped."""
    part = one(rnd, unit, least=5)
    part.printed = swapped(f"{part.read:.2f} kg", rnd) or ""
    return ("digits", part.name, f"{part.name}-figure") if part.printed else None


def whole_digits(rnd: random.Random, unit: Unit) -> Planted | None:
    """Two digits of the whole's figure swapped."""
    unit.printed = swapped(f"{unit.wholes['unit'][0]:.1f} kg", rnd) or ""
    return ("digits", "unit", "unit-whole") if unit.printed else None


def oil_in(rnd: random.Random, unit: Unit) -> Planted:
    """Weighed filled, called dry."""
    shift(unit, unit.litres * 0.87)
    return "fluid", "unit", "unit-whole"


def packed(rnd: random.Random, unit: Unit) -> Planted:
    """The whole's figure is gross, with 5 to 15 % of packing."""
    shift(unit, unit.wholes["unit"][0] * rnd.uniform(0.05, 0.15))
    return "packing", "unit", "unit-whole"


def gross(rnd: random.Random, unit: Unit) -> Planted:
    """The whole's figure is gross; another weighing of it took the same tare off."""
    unit.tare = round(rnd.uniform(8, 60), 1)
    shift(unit, unit.tare)
    return "tare", "unit", "unit-whole"


def counts_after_all(rnd: random.Random, unit: Unit) -> Planted:
    """The figure says that it leaves a group out, and counts it."""
    unit.without = rnd.choice(list(unit.groups))
    return "boundary", unit.without, "unit-whole"


FAULTS: dict[str, Callable[[random.Random, Unit], Planted | None]] = {
    "a node left out of the figure": left_out,
    "a line counted twice": counted_twice,
    "one for n": one_for_n,
    "a part in lb, called kg": part_in_pounds,
    "the whole in lb, called kg": whole_in_pounds,
    "a part ten times off": part_times_ten,
    "digits of a part swapped": part_digits,
    "digits of the whole swapped": whole_digits,
    "oil in, called dry": oil_in,
    "packing in the whole": packed,
    "gross for net": gross,
    "a part left out that counts": counts_after_all,
}


@dataclass
class Row:
    """What happened to one kind of fault."""

    planted: int = 0
    apart: int = 0  # the intervals of some whole and its parts do not touch
    listed: int = 0  # of these, the true cause is on the list
    causes: list[int] = field(default_factory=list)
    pairs: list[int] = field(default_factory=list)
    flagged: int = 0  # the global test of all figures
    named: int = 0  # the wrong figure is among the suspects
    alone: int = 0  # and is the only one
    suspects: list[int] = field(default_factory=list)

    def text(self, name: str) -> str:
        """One row of the table."""
        causes = f"{statistics.median(self.causes):g}" if self.causes else "-"
        suspects = f"{statistics.median(self.suspects):g}" if self.suspects else "-"
        pairs = f"{statistics.median(self.pairs):g}" if self.pairs else "-"
        cells = (
            name,
            self.planted,
            self.apart,
            self.listed,
            causes,
            pairs,
            self.flagged,
            self.named,
            self.alone,
            suspects,
        )
        return f"| {' | '.join(str(cell) for cell in cells)} |"


HEAD = (
    "| fault | planted | apart | true cause listed | causes listed (median) | pairs (median) "
    "| flagged | wrong figure named | named alone | suspects (median) |\n"
    "| --- | --: | --: | --: | --: | --: | --: | --: | --: | --: |"
)


def look(row: Row, unit: Unit, planted: Planted | None) -> None:
    """Run both checks on one assembly and count."""
    judge = Judge(records(unit))
    row.planted += 1
    found: list[Explanation] = []
    for name in (*unit.groups, "unit"):
        for witness in judge.totals("dry").witnesses_of(name):
            judged = judge.judge(witness)
            if judged is not None and judged.verdict is Verdict.DISAGREES and witness.id != "other-day":
                explained = explain(judge, witness)
                assert explained is not None
                found.append(explained)
    row.apart += bool(found)
    row.causes.extend(len(e.causes) for e in found)
    row.pairs.extend(e.pairs for e in found)
    if planted is not None:
        row.listed += any((c.kind, c.about) == planted[:2] for e in found for c in e.causes)
    gathered = gather(judge.totals("dry"))
    result = reconcile(gathered.network, gathered.readings)
    row.flagged += result.beyond
    if result.suspects:
        row.suspects.append(len(result.suspects))
    if planted is None:
        row.named += bool(result.suspects)
    else:
        row.named += planted[2] in result.suspects
        row.alone += result.suspects == (planted[2],)


def study(trees: int, seed: int) -> list[str]:
    """The table, one row a kind of fault, and first of all assemblies without any."""
    rows = [HEAD]
    rnd = random.Random(seed)
    row = Row()
    for _ in range(4 * trees):
        look(row, sound(rnd), None)
    rows.append(row.text("none (false alarms)"))
    for name, fault in FAULTS.items():
        row = Row()
        while row.planted < trees:
            unit = sound(rnd)
            planted = fault(rnd, unit)
            if planted is not None:  # this one has nothing that such a fault can happen to: draw another
                look(row, unit, planted)
        rows.append(row.text(name))
    return rows


def main() -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trees", type=int, default=TREES, help="assemblies for each kind of fault")
    parser.add_argument("--seed", type=int, default=SEED)
    asked = parser.parse_args()
    share = Fraction(SIGNIFICANCE).limit_denominator(1000)
    print(f"seed {asked.seed}, {asked.trees} assemblies a fault, significance {float(share):g}\n")
    print("\n".join(study(asked.trees, asked.seed)))


if __name__ == "__main__":
    main()
