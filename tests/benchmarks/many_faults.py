"""Several faults at once over many weighed wholes: how many are seen, listed, told apart, and how many are false.

Run it with ``python -m tests.benchmarks.many_faults``; it prints the seed and its tables. Nothing in it is a
real machine: masses, quantities, sources and their errors are drawn at random.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from handling_db.balance.explain import explain
from handling_db.balance.measurements import gather
from handling_db.balance.reconcile import reconcile
from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.places import place_size
from handling_db.checker.rules.sums import parts_sum
from handling_db.findings import Verdict
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.component import Component
from tests.benchmarks.study import LB, LIST, SCALE, reading, sources, swapped
from tests.from_text import with_reference

SEED = 20261130
WHOLES = 14
COLLECTIONS = 60  # for each number of faults
SINGLES = 60  # for each kind of fault
SIZES = (0.5, 1.0, 1.5, 2.0)


@dataclass
class Part:
    """One part line as it is recorded."""

    name: str
    kg: float
    quantity: int
    printed: str
    half: float
    source: str
    recorded: int
    listed: bool = True  # in its assembly's list
    there: bool = True  # recorded at all
    at: str = "100 mm"


@dataclass
class Whole:
    """One assembly with its parts and its weighed figure."""

    name: str
    parts: list[Part]
    printed: str
    half: float = 1.0

    @property
    def kg(self) -> float:
        """As it is."""
        return sum(part.kg * part.quantity for part in self.parts)


@dataclass
class Planted:
    """One fault: its kind, the causes that would name it, and the figure that is wrong; empty for a list."""

    kind: str
    whole: str
    causes: set[tuple[str, str]]
    figure: str


@dataclass
class Machine:
    """Assemblies beside one another, each weighed, with the fluid of the unit they make up."""

    wholes: list[Whole]
    litres: float
    printed: str = ""
    planted: list[Planted] = field(default_factory=list)


def sound(rnd: random.Random) -> Machine:
    """A machine of so many weighed assemblies of 4 to 8 lines, without any fault."""
    wholes = []
    for w in range(WHOLES):
        parts = []
        for p in range(rnd.randrange(4, 9)):
            kg = 10 ** rnd.uniform(-0.3, 2.1)
            quantity = rnd.choice((1, 1, 1, 1, 2, 2, 4, 6, 8)) if kg < 20 else 1
            source, half, _ = SCALE if rnd.random() < 0.8 else LIST
            printed = f"{reading(rnd, kg, half(kg)):.2f} kg"
            parts.append(Part(f"w{w}p{p}", kg, quantity, printed, half(kg), source, quantity))
        whole = Whole(f"w{w}", parts, "")
        whole.printed = f"{reading(rnd, whole.kg, whole.half):.1f} kg"
        wholes.append(whole)
    machine = Machine(wholes, rnd.uniform(5, 40))
    machine.printed = f"{reading(rnd, sum(whole.kg for whole in wholes), 5.0):.1f} kg"
    return machine


def records(machine: Machine) -> Collection:
    """The machine as records."""
    found = sources()

    def add(given: dict[str, object]) -> None:
        found.append(("component", Component.model_validate(given)))

    known = {
        "counts": "as listed",
        "without": "none",
        "checked by": "keeper",
        "state": "dry",
        "source": "book",
    }
    lines = [{"component": whole.name, "quantity": "1"} for whole in machine.wholes]
    add({"component": "unit", "name": "unit", "kind": "assembly", "parts listed": "all",
         "parts": [*lines, {"component": "oil", "quantity": "1"}],
         "masses": [{"id": "unit-whole", "printed": machine.printed, "plus or minus": "5 kg", **known}]})  # fmt: skip
    add({"component": "oil", "name": "oil", "kind": "fluid",
         "fluid": {"litres": f"{machine.litres:.1f} L", "density": "0.87 kg/L", "stays": "1 L"}})  # fmt: skip
    for whole in machine.wholes:
        listed = [part for part in whole.parts if part.there and part.listed]
        add({"component": whole.name, "name": whole.name, "kind": "assembly", "parts listed": "all",
             "parts": [{"component": p.name, "quantity": str(p.recorded), "at": [p.at, "0 mm", "0 mm"]}
                       for p in listed],
             "masses": [{"id": f"{whole.name}-whole", "printed": whole.printed,
                         "plus or minus": f"{whole.half:.3f} kg", **known}]})  # fmt: skip
        for part in whole.parts:
            if part.there:
                add({"component": part.name, "name": part.name, "kind": "part", "masses": [
                    {"id": f"{part.name}-figure", "printed": part.printed, "plus or minus": f"{part.half:.3f} kg",
                     "source": part.source}]})  # fmt: skip
    return with_reference(collect(found))


Fault = Callable[[random.Random, Machine, Whole], "Planted | None"]


def _one(rnd: random.Random, whole: Whole, least: float = 0.0) -> Part:
    fitting = [part for part in whole.parts if part.kg * part.quantity > least]
    return rnd.choice(fitting or whole.parts)


def _kg(text: str) -> float:
    return float(text.split()[0])


def misspelt_parent(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """A row whose parent was misspelt: the part is recorded and goes into nothing."""
    part = _one(rnd, whole)
    part.listed = False
    return Planted("misspelt parent", whole.name, {("belongs here", part.name)}, "")


def missing_part(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """A part that nobody recorded."""
    _one(rnd, whole).there = False
    return Planted("missing part", whole.name, {("lacking", whole.name)}, "")


def unit(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """Pounds, written as kilograms."""
    part = _one(rnd, whole)
    part.printed = f"{_kg(part.printed) / LB:.2f} kg"
    return Planted("unit", whole.name, {("unit", part.name)}, f"{part.name}-figure")


def factor(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """A slipped decimal point."""
    part = _one(rnd, whole)
    part.printed = f"{_kg(part.printed) * rnd.choice((10, 0.1)):.3f} kg"
    return Planted("factor", whole.name, {("factor", part.name)}, f"{part.name}-figure")


def digits(rnd: random.Random, machine: Machine, whole: Whole) -> Planted | None:
    """Two digits swapped."""
    part = _one(rnd, whole, least=5)
    text = swapped(part.printed, rnd)
    if text is None:
        return None
    part.printed = text
    return Planted("swapped digits", whole.name, {("digits", part.name)}, f"{part.name}-figure")


def count(rnd: random.Random, machine: Machine, whole: Whole) -> Planted | None:
    """One listed where there are several."""
    several = [part for part in whole.parts if part.quantity > 1]
    if not several:
        return None
    part = rnd.choice(several)
    part.recorded = 1
    return Planted("count", whole.name, {("counted twice", part.name), ("count", part.name)}, "")


def place(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """Millimetres, written as metres: no mass is wrong, the place is."""
    part = _one(rnd, whole)
    part.at = f"{rnd.randrange(200, 900)} m"
    return Planted("place", whole.name, {("place", whole.name)}, "")


def the_whole(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """The whole's figure in pounds."""
    whole.printed = f"{_kg(whole.printed) / LB:.1f} kg"
    return Planted("whole", whole.name, {("unit", whole.name)}, f"{whole.name}-whole")


def oil(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """Weighed with some of the unit's oil in it, called dry."""
    whole.printed = f"{_kg(whole.printed) + machine.litres * 0.87 * rnd.uniform(0.3, 1.0):.1f} kg"
    return Planted("oil", whole.name, {("fluid", "oil")}, f"{whole.name}-whole")


def packing(rnd: random.Random, machine: Machine, whole: Whole) -> Planted:
    """The whole's figure is gross, with 5 to 15 % of packing."""
    whole.printed = f"{_kg(whole.printed) * rnd.uniform(1.05, 1.15):.1f} kg"
    return Planted("packing", whole.name, {("packing", whole.name)}, f"{whole.name}-whole")


FAULTS: dict[str, Fault] = {
    "misspelt parent": misspelt_parent,
    "missing part": missing_part,
    "unit": unit,
    "factor": factor,
    "swapped digits": digits,
    "count": count,
    "place": place,
    "whole": the_whole,
    "oil": oil,
    "packing": packing,
}


def share(found: int, of: int) -> str:
    """A share with its interval, 95 %, by Wilson (1927): how well so few cases tell it."""
    if not of:
        return "-"
    z, p = 1.96, found / of
    middle = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    low, high = max(0.0, middle - half), min(1.0, middle + half)
    places = 2 if of > 1000 else 0
    return f"{found} of {of} ({100 * low:.{places}f} to {100 * high:.{places}f} %)"


@dataclass
class Seen:
    """What was counted over some collections."""

    planted: int = 0
    seen: int = 0  # the whole over it disagrees, or the place is told
    listed: int = 0  # of these, the true cause is on the list
    lengths: list[int] = field(default_factory=list)
    figures: int = 0  # planted, and something about a mass is wrong
    sizes: list[float] = field(default_factory=list)  # gap of best figures over both half-widths
    rounds: list[int] = field(default_factory=list)  # at which the wrong figure is named
    named: int = 0
    groups: list[int] = field(default_factory=list)
    clean: int = 0  # figures with nothing wrong that something checks
    false: int = 0  # of these, named outside of any whole that has a fault
    above: int = 0  # a disagreement of the unit as well
    told: int = 0  # of these, told to follow from those below it

    def row(self, name: str) -> str:
        """One line of the table."""
        cells = (
            name,
            _spread([round(size, 1) for size in self.sizes]),
            share(self.seen, self.planted),
            share(self.listed, self.seen),
            _spread(self.lengths),
            share(self.named, self.figures),
            _spread(self.groups),
            _spread(self.rounds),
            share(self.false, self.clean),
        )
        return f"| {' | '.join(str(cell) for cell in cells)} |"


def _spread(values: Sequence[float]) -> str:
    """Median and the value that nine of ten do not pass."""
    if not values:
        return "-"
    return f"{statistics.median(values):g}, {sorted(values)[math.ceil(0.9 * len(values)) - 1]}"


def look(seen: Seen, machine: Machine) -> None:
    """Run the checks on one machine and count."""
    collection = records(machine)
    evidence = Evidence(collection)
    judge = evidence.judge
    lists: dict[str, tuple[set[tuple[str, str]], int]] = {}
    for whole in machine.wholes:
        for witness in judge.totals("dry").witnesses_of(whole.name):
            explained = explain(judge, witness)
            if explained is not None:
                causes = {(cause.kind, cause.about) for cause in explained.causes}
                causes |= {("lacking", whole.name)} if explained.lacking is not None else set()
                lists[whole.name] = causes, len(explained.causes)
    sizes = {
        one.component: abs(float(parts.mass.best - one.witness.mass.best))
        / float(parts.mass.half_width_worst + one.witness.mass.half_width_worst)
        for one in evidence.judged
        if (parts := one.judgement.parts) is not None
    }
    places = {finding.about for finding in place_size(evidence)}
    gathered = gather(judge.totals("dry"))
    result = reconcile(gathered.network, gathered.readings)
    faulty = {one.whole for one in machine.planted}
    for one in machine.planted:
        seen.planted += 1
        if one.kind == "place":
            found = one.whole in places
            seen.seen += found
            seen.listed += found
            continue
        seen.figures += 1
        seen.sizes.append(sizes[one.whole])
        if one.whole in lists:
            seen.seen += 1
            causes, length = lists[one.whole]
            seen.listed += bool(one.causes & causes)
            seen.lengths.append(length)
        for number, group in enumerate(result.causes, 1):
            # Of a list that is wrong no figure is: what shows is any of those that it ties together.
            if one.figure in group or (
                not one.figure and any(_whole_of(name) == one.whole for name in group)
            ):
                seen.named += 1
                seen.rounds.append(number)
                seen.groups.append(len(group))
                break
    for figure in result.figures:
        name = figure.reading.id
        if figure.normalised is not None and _whole_of(name) not in faulty:
            seen.clean += 1
            seen.false += any(name in group for group in result.causes)
    top = [finding for finding in parts_sum(evidence) if finding.about == "unit"]
    if top and top[0].verdict is Verdict.DISAGREES:
        seen.above += 1
        seen.told += bool(top[0].because_of)


def _whole_of(figure: str) -> str:
    """``w3`` for ``w3p2-figure`` and for ``w3-whole``."""
    return figure.split("-")[0].split("p")[0]


def plant(rnd: random.Random, machine: Machine, kind: str, whole: Whole) -> bool:
    """Put one fault in; whether that was possible."""
    planted = FAULTS[kind](rnd, machine, whole)
    if planted is not None:
        machine.planted.append(planted)
    return planted is not None


def separate(rnd: random.Random, many: int) -> Machine:
    """A machine with so many faults, each under another whole."""
    machine = sound(rnd)
    for whole in rnd.sample(machine.wholes, many):
        while not plant(rnd, machine, rnd.choice(list(FAULTS)), whole):
            pass
    return machine


def together(rnd: random.Random, many: int) -> Machine:
    """A machine with so many faults under one whole, in different parts of it."""
    machine = sound(rnd)
    whole = rnd.choice([whole for whole in machine.wholes if len(whole.parts) > many])
    order = rnd.sample(whole.parts, len(whole.parts))
    for part in order:
        if len(machine.planted) == many:
            break
        kind = rnd.choice(("unit", "factor", "swapped digits"))
        plant(rnd, machine, kind, replace(whole, parts=[part]))
    return machine


def detection(rnd: random.Random, collections: int) -> list[str]:
    """How many errors of a whole are seen, by their size in half-widths of the comparison."""
    lines = ["| size of the error | seen |", "| --- | --- |"]
    counts = dict.fromkeys(SIZES, 0)
    tried = above = above_seen = 0
    for _ in range(collections):
        machine = sound(rnd)
        evidence = Evidence(records(machine))
        for one in evidence.judged:
            parts = one.judgement.parts
            if parts is None or one.component == "unit" or one.judgement.verdict is not Verdict.AGREES:
                continue
            tried += 1
            whole = one.witness.mass
            half = float(parts.mass.half_width_worst + whole.half_width_worst)
            gap = abs(float(parts.mass.best - whole.best))
            sign = rnd.choice((-1, 1))
            for size in SIZES:
                counts[size] += _apart(parts.mass, whole, sign * size * half)
            beyond = (half + gap) * rnd.uniform(1.0, 1.5) + 1e-9
            above += 1
            above_seen += _apart(parts.mass, whole, sign * beyond)
    lines += [f"| {size:g} h | {share(counts[size], tried)} |" for size in SIZES]
    lines.append(f"| above h + gap before | {share(above_seen, above)} |")
    return lines


def _apart(parts: object, whole: object, error: float) -> bool:
    """Whether the whole, with so much added to it, no longer touches the parts; by its limits alone."""
    low, high = float(whole.low) + error, float(whole.high) + error  # type: ignore[attr-defined]
    return low > float(parts.high) or high < float(parts.low)  # type: ignore[attr-defined]


HEAD = (
    "| faults | size in h (median, 90 %) | seen | true cause listed, of those seen | causes listed (median, 90 %) | wrong figure in a named "
    "group | figures in that group (median, 90 %) | number of that group (median, 90 %) | clean figures named |\n"
    "| --- | --- | --- | --- | --- | --- | --- | --- | --- |"
)


def study(collections: int, singles: int, seed: int) -> list[str]:
    """All tables."""
    rnd = random.Random(seed)
    lines = [*detection(rnd, max(4, collections // 3)), "", HEAD]
    clean = Seen()
    for _ in range(collections):
        look(clean, sound(rnd))
    lines.append(clean.row("none"))
    totals = []
    for many in (1, 3, 12):
        seen = Seen()
        for _ in range(collections if many > 1 else collections * 3):
            look(seen, separate(rnd, many))
        name = "1" if many == 1 else f"{many}, each under another whole"
        lines.append(seen.row(name))
        totals.append((name, seen))
    for many in (2, 3):
        seen = Seen()
        for _ in range(collections):
            look(seen, together(rnd, many))
        lines.append(seen.row(f"{many} under one whole"))
    lines += ["", *_above(totals), "", HEAD.replace("| faults |", "| one fault, by kind |")]
    for kind in FAULTS:
        seen = Seen()
        while seen.planted < singles:
            machine = sound(rnd)
            if plant(rnd, machine, kind, rnd.choice(machine.wholes)):
                look(seen, machine)
        lines.append(seen.row(kind))
    return lines


def _above(totals: list[tuple[str, Seen]]) -> list[str]:
    lines = [
        "| faults below the unit | unit disagrees | of these, told to follow from below |",
        "| --- | --- | --- |",
    ]
    for name, seen in totals:
        lines.append(f"| {name} | {seen.above} | {share(seen.told, seen.above)} |")
    return lines


def main() -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--collections", type=int, default=COLLECTIONS)
    parser.add_argument("--singles", type=int, default=SINGLES)
    parser.add_argument("--seed", type=int, default=SEED)
    asked = parser.parse_args()
    print(f"seed {asked.seed}, {asked.collections} collections a line, {asked.singles} of each kind\n")
    print("\n".join(study(asked.collections, asked.singles, asked.seed)))


if __name__ == "__main__":
    main()
