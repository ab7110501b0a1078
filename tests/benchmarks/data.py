"""Tables for the benchmarks, from a seed that is printed."""

from __future__ import annotations

import itertools
import random
import sqlite3
from pathlib import Path
from typing import Any

import numpy as np

from tests.benchmarks.user_questions import vocabulary

# Whole numbers as such, others with all their digits, so that each comes back as it was.
_EXACT = (
    "case when quantity = cast(quantity as integer) then cast(quantity as integer) "
    "else printf('%!.17g', quantity) end"
)


def graph(connection: sqlite3.Connection) -> tuple[Any, ...]:
    """All lines and figures of a file: how many nodes; parent, child and quantity by line; figures by node.

    A column of numbers comes as one text, which is read by one call: handing over each number of each row by
    itself takes twice as long.
    """
    columns = f"group_concat(parent), group_concat(child), group_concat({_EXACT})"
    parent, child, quantity = connection.execute(f"select {columns} from usage not indexed").fetchone()
    (count,) = connection.execute("select count(*) from component").fetchone()
    (rows,) = connection.execute("select count(*) from statement").fetchone()
    stated = connection.execute("select component, best_kg, low_kg, high_kg from statement")
    said = np.fromiter(itertools.chain.from_iterable(stated), np.float64, 4 * rows).reshape(rows, 4)
    node = said[:, 0].astype(np.int64) - 1
    figures = np.zeros((3, count))
    figures[:, node] = said[:, 1:].T
    known = np.zeros(count, dtype=np.bool_)
    known[node] = True
    over, under = (np.fromstring(text, np.int32, sep=",") - 1 for text in (parent, child))
    number = np.fromstring(quantity, np.float64 if "." in quantity else np.int64, sep=",").astype(np.float64)
    return count, over, under, number, figures, known


def shop_table(file: Path, rows: int, seed: int) -> None:
    """A tree of assemblies, eight to each, with parts that are used in several of them.

    A tenth of the rows are assemblies and the others parts, each part named and weighed where it is used, as
    a spreadsheet has it; there are a quarter as many different parts as rows.
    """
    chance = random.Random(seed)
    assemblies, parts = rows // 10, rows // 4
    mass = [f"{chance.lognormvariate(0, 1.5) + 0.01:.2f}" for _ in range(parts)]
    with file.open("w", encoding="utf-8") as out:
        out.write("parent,child,quantity,mass,unit\n")
        for i in range(1, assemblies):
            out.write(f"A{(i - 1) // 8:07d},A{i:07d},1,,\n")
        users = sorted(chance.randrange(assemblies) for _ in range(rows - assemblies + 1))
        for user in users:
            part = chance.randrange(parts)
            out.write(f"A{user:07d},P{part:07d},{chance.randrange(1, 9)},{mass[part]},kg\n")


def one_assembly(file: Path, lines: int, seed: int) -> None:
    """An assembly of so many lines in three levels, in a table beside others."""
    chance = random.Random(seed)
    groups = max(lines // 50, 1)
    with file.open("w", encoding="utf-8") as out:
        out.write("parent,child,quantity,mass,unit\n")
        for group in range(groups):
            out.write(f"TOP,G{group},1,,\n")
        for line in range(lines - groups):
            out.write(
                f"G{line % groups},Q{line},{chance.randrange(1, 5)},{chance.randrange(1, 900) / 10},kg\n"
            )
        for line in range(lines):
            out.write(f"OTHER,R{line},1,1.0,kg\n")


def notes(folder: Path, count: int, seed: int) -> None:
    """Notes of twenty words about one component, in files of a thousand; words as often as people use them."""
    chance = random.Random(seed)
    words, weights = vocabulary(chance, 8000)
    (folder / "c.yml").write_text("- {component: c, name: C, kind: part}\n", encoding="utf-8")
    for start in range(0, count, 1000):
        lines = []
        for i in range(start, min(start + 1000, count)):
            text = " ".join(chance.choices(words, weights, k=20))
            lines.append(
                f"- {{note: n{i:06d}, about: {{component: c}}, kind: order, text: {text}, told by: shop, "
                "author: fitter, on: 2026-04-02, status: draft}\n"
            )
        (folder / f"n{start:06d}.yml").write_text("".join(lines), encoding="utf-8")


def layers(wide: int, deep: int) -> tuple[list[int], list[int]]:
    """A shared graph: layers of nodes, each node with lines to all nodes of the next layer."""
    parent, child = [], []
    for layer in range(deep - 1):
        for one in range(wide):
            for other in range(wide):
                parent.append(layer * wide + one)
                child.append((layer + 1) * wide + other)
    return parent, child


def tree(lines: int) -> tuple[list[int], list[int]]:
    """A tree of so many lines, ten to a node."""
    return [i // 10 for i in range(lines)], [i + 1 for i in range(lines)]
