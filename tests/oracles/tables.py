"""Random tables, honest and hostile, against a graph library: totals, what is not known, centres, parents.

The truth is worked out on a networkx graph of the rows as they were meant: every way from a node down to a part is
followed one by one, masses are added as exact fractions, places by plain 4 by 4 matrices. The program reads the
file twice, as records and by whole columns, and is asked for every component.
"""

from __future__ import annotations

import tempfile
import time
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import networkx as nx
import numpy as np

from handling_db.database import build, queries
from handling_db.database.queries.another_build import what_if
from handling_db.lookup.weight import answer
from handling_db.tables.sources import read_paths
from handling_db.weights.answer import StateFigure
from tests.oracles.count import DANGEROUS, Count

# Ids and figures as people and programs write them, and as a reader of YAML, SQL or numbers could mistake them.
ODD = [
    "null",
    "yes",
    "~",
    "1e5",
    "0x1F",
    "a: b",
    "#7",
    "[x]",
    "{y}",
    "'q",
    'say "so"',
    "é ü",
    "-",
    "*",
    "2026-01-02",
    "%",
    "=",
]
HEAD = "parent,child,quantity,mass kg,plus_minus,x mm,y mm,z mm,yaw deg"


@dataclass
class Truth:
    """A random table as it was meant, and the ids that may not come out complete."""

    graph: nx.MultiDiGraph
    mass: dict[str, tuple[Fraction, Fraction] | None]
    text: str
    misspelt: str
    near: frozenset[str] = frozenset()  # that nobody can tell from the misspelt one


def _one_off(wrong: str, name: str) -> bool:
    """Whether one letter more, less or another makes one of the other."""
    short, long = sorted((wrong, name), key=len)
    if len(long) - len(short) > 1:
        return False
    return any(long[:n] + long[n + 1 :] in (short, short[:n] + short[n + 1 :]) for n in range(len(long)))


def _number(rng: np.random.Generator, value: Fraction) -> str:
    """One figure in one of the ways in which it may be written."""
    plain = f"{float(value):.4f}".rstrip("0").rstrip(".")
    if not rng.integers(3):
        return f"{float(value):e}" if Fraction(f"{float(value):e}") == value else plain
    return plain


def _table(rng: np.random.Generator) -> Truth:
    count = int(rng.integers(3, 16))
    names = [f"piece-{n}" for n in range(count)]
    for at in rng.choice(count, size=min(3, count), replace=False).tolist():
        if at:
            names[at] = ODD[int(rng.integers(len(ODD)))] + str(at)
    graph = nx.MultiDiGraph()
    graph.add_nodes_from(names)
    rows = [HEAD, f",{names[0]},,,,,,,"]
    quote = lambda text: '"' + text.replace('"', '""') + '"'  # noqa: E731
    parents = {0: []}
    for n in range(1, count):
        chosen = rng.choice(n, size=min(n, int(rng.integers(1, 3))), replace=False).tolist()
        parents[n] = chosen
    lists = {p for chosen in parents.values() for p in chosen}
    mass: dict[str, tuple[Fraction, Fraction] | None] = {}
    for n in range(count):
        known = n not in lists and rng.random() > 0.15
        best = Fraction(int(rng.integers(1, 90_000)), 100)
        mass[names[n]] = (best, min(best, Fraction(int(rng.integers(1, 200)), 100))) if known else None
    lines = []
    for n in range(1, count):
        for parent in parents[n]:
            number = int(rng.choice([1, 1, 1, 2, 4]))
            placed = rng.random() > 0.05
            at = [int(v) for v in rng.integers(-2000, 2000, 3)]
            yaw = int(rng.integers(-180, 180)) if number == 1 else 0
            lines.append((parent, n, number, at if placed else None, yaw))
            stated = mass[names[n]]
            cells = [_number(rng, stated[0]), _number(rng, stated[1])] if stated else ["", ""]
            place = [*map(str, at), str(yaw) if yaw else ""] if placed else ["", "", "", ""]
            rows.append(",".join([quote(names[parent]), quote(names[n]), str(number), *cells, *place]))
    for parent, n, number, at, yaw in lines:
        turned = np.eye(4)
        a = np.radians(yaw)
        turned[:2, :2] = [[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]]
        turned[:3, 3] = np.array(at) / 1000 if at is not None else np.nan
        graph.add_edge(names[parent], names[n], number=number, place=turned)
    misspelt, near = "", frozenset[str]()
    if rng.random() < 0.3:
        true = names[int(rng.choice(sorted(lists)))]
        cut = int(rng.integers(len(true)))
        wrong = true[:cut] + "q" + true[cut:]
        if wrong not in names:
            misspelt, near = true, frozenset(name for name in names if _one_off(wrong, name))
            rows.append(",".join([quote(wrong), "lost-piece", "1", "7", "1", "", "", "", ""]))
    return Truth(graph, mass, "\n".join(rows) + "\n", misspelt, near)


def _ways(truth: Truth, node: str) -> list[tuple[str, int, np.ndarray]]:
    """Every way down to a part: the part, how many there are of it along this way, and where it lies."""
    if truth.graph.out_degree(node) == 0:
        return [(node, 1, np.eye(4))]
    found = []
    for _, child, line in truth.graph.out_edges(node, data=True):
        for part, number, place in _ways(truth, child):
            found.append((part, number * line["number"], line["place"] @ place))
    return found


def _compare(truth: Truth, node: str, found: StateFigure, count: Count, how: str) -> None:
    ways = _ways(truth, node)
    pieces: dict[str, int] = {}
    for part, number, _ in ways:
        pieces[part] = pieces.get(part, 0) + number
    known = [(truth.mass[part], number) for part, number in pieces.items() if truth.mass[part] is not None]
    best = sum((mass[0] * number for mass, number in known), start=Fraction(0))  # type: ignore[index]
    high = sum(((mass[0] + mass[1]) * number for mass, number in known), start=Fraction(0))  # type: ignore[index]
    unknown = {part: number for part, number in pieces.items() if truth.mass[part] is None}
    below = {node, *nx.descendants(truth.graph, node)}
    opened = truth.misspelt in below
    complete = not unknown and not opened
    about = f"{how}, {node!r} in\n{truth.text}"
    if found.complete and not complete:
        count.note(
            "dangerous", f"complete, but {sorted(unknown)} or {truth.misspelt!r} is not known: {about}"
        )
    if not found.complete and complete and not below & truth.near:
        count.note("wide", f"not complete: {about}")
    if {named.id: float(named.pieces) for named in found.unknown} != {
        p: float(n) for p, n in unknown.items()
    }:
        count.note("dangerous", f"unknown {found.unknown}, true {unknown}: {about}")
    if known and abs(float(found.best) - float(best)) > 1e-9 * float(best):
        count.note("dangerous", f"{float(found.best)} kg, true {float(best)}: {about}")
    if known and float(found.high) < float(high) * (1 - 1e-12):
        count.note("dangerous", f"up to {float(found.high)} kg, true {float(high)}: {about}")
    if known and float(found.high) > float(high) * (1 + DANGEROUS):
        count.note("wide", f"up to {float(found.high)} kg, true {float(high)}: {about}")
    weighed = [
        (float(truth.mass[part][0]) * number, place[:3, 3])
        for part, number, place in ways
        if truth.mass[part]
    ]  # type: ignore[index]
    if not weighed:
        return
    middle = sum(kg * at for kg, at in weighed) / sum(kg for kg, _ in weighed)
    if np.isnan(middle).any():
        if found.centre is not None:
            count.note("dangerous", f"a centre at {found.centre} with a place missing: {about}")
    elif found.centre is None or not np.allclose(found.centre, middle, atol=1e-9):
        count.note("dangerous", f"centre {found.centre}, true {middle}: {about}")


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random tables until the time is over."""
    count = Count()
    end = time.monotonic() + seconds
    usual = build.RECORD_ROWS
    with tempfile.TemporaryDirectory() as room:
        file, out = Path(room) / "t.csv", Path(room) / "x.db"
        while True:
            truth = _table(rng)
            count.cases += 1
            file.write_text(truth.text, encoding="utf-8")
            try:
                reading = read_paths([file])
                told = {f.about for f in reading.findings if f.rule == "parent-not-introduced"}
                if bool(truth.misspelt) is not bool(told):
                    count.note(
                        "dangerous" if truth.misspelt else "wide", f"parents told: {told}:\n{truth.text}"
                    )
                build.RECORD_ROWS = 0
                build.build_database([], out, tables=[file])
                connection = queries.open_database(out)
                for node in truth.graph:
                    _compare(truth, node, answer(reading.collection, node).states[-1], count, "records")
                    _compare(truth, node, what_if(connection, node).states[-1], count, "columns")
                connection.close()
            except Exception as error:
                count.note("crashes", f"{type(error).__name__}: {error}:\n{truth.text}")
            finally:
                build.RECORD_ROWS = usual
            if time.monotonic() >= end:
                return count
