"""Random collections for comparisons: trees with turned frames, and shared graphs."""

from __future__ import annotations

import random
from typing import Any

from handling_db.records.collection import KINDS, Collection, collect

SOURCES: list[tuple[str, dict[str, Any]]] = [
    ("source", {"source": "scale", "name": "scale", "kind": "weighed"}),
    (
        "source kind",
        {"source kind": "weighed", "name": "weighed", "rank": "1", "basis": "for tests"},
    ),
]


def build(records: list[tuple[str, dict[str, Any]]]) -> Collection:
    """A collection from plain mappings."""
    return collect((kind, KINDS[kind].model_validate(plain)) for kind, plain in [*SOURCES, *records])


def leaf(code: str, kg: float, half: float = 0.1) -> tuple[str, dict[str, Any]]:
    mass = {"printed": f"{kg:.4f} kg", "plus or minus": f"{half} kg", "source": "scale"}
    return "component", {"component": code, "name": code, "kind": "part", "masses": [mass]}


def turned_tree(seed: int, assemblies: int) -> Collection:
    """A tree whose frames are shifted and turned at random; component n0 is the root."""
    rng = random.Random(seed)
    lines: dict[int, list[dict[str, Any]]] = {n: [] for n in range(assemblies)}
    records: list[tuple[str, dict[str, Any]]] = []
    for n in range(1, assemblies):
        lines[rng.randrange(n)].append({"component": f"n{n}", "quantity": "1", **_placed(rng)})
    for n in range(assemblies):
        for k in range(rng.randint(1, 3)):
            code = f"p{n}-{k}"
            records.append(leaf(code, rng.uniform(0.5, 200)))
            lines[n].append({"component": code, "quantity": "1", **_placed(rng)})
        records.append(
            (
                "component",
                {
                    "component": f"n{n}",
                    "name": f"n{n}",
                    "kind": "assembly",
                    "parts listed": "all",
                    "parts": lines[n],
                },
            )
        )
    return build(records)


def _placed(rng: random.Random) -> dict[str, Any]:
    at = [f"{rng.uniform(-900, 900):.2f} mm" for _ in range(3)]
    turned = {name: f"{rng.uniform(-180, 180):.2f} deg" for name in ("roll", "pitch", "yaw")}
    return {"at": at, "turned": turned}


def shared_graph(seed: int, nodes: int, parts: int = 4) -> Collection:
    """A graph in which components are shared and quantities vary; n0 contains everything it can."""
    rng = random.Random(seed)
    records: list[tuple[str, dict[str, Any]]] = []
    for n in range(nodes):
        below = range(n + 1, nodes)
        if len(below) < 2 or n > nodes * 0.7:
            records.append(leaf(f"n{n}", rng.uniform(0.1, 50)))
            continue
        chosen = rng.sample(below, min(parts, len(below)))
        listed = [{"component": f"n{c}", "quantity": str(rng.randint(1, 4))} for c in chosen]
        records.append(
            (
                "component",
                {
                    "component": f"n{n}",
                    "name": f"n{n}",
                    "kind": "assembly",
                    "parts listed": "all",
                    "parts": listed,
                },
            )
        )
    return build(records)
