"""Rings: assemblies that contain each other, so that nothing in or above them has a total."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.fleet import statements
from handling_db.fleet.engine import Engine
from handling_db.fleet.roll_up import Climbed, count_of

_ROUNDS = 200  # of taking off what is only above a ring; after that the way into it is walked
_LISTED = 100_000  # lines of rings that are looked at


@dataclass(frozen=True, slots=True)
class Ring:
    """One closed walk: the first component stands at the end again."""

    shop: str
    components: tuple[str, ...]


def rings(engine: Engine, climbed: Climbed) -> tuple[Ring, ...]:
    """One closed walk for each group of components that contain each other."""
    if not climbed.left:
        return ()
    table = f"open_{climbed.levels}"
    many = count_of(engine, f"select count(*) from {table}")
    for level in range(1, _ROUNDS):
        engine.execute(statements.RINGS_ONLY.format(before=table, level=level))
        table, before = f"ring_{level}", many
        many = count_of(engine, f"select count(*) from {table}")
        if many == before:
            break
    lines = engine.execute(
        f"select parent, child from {table} order by parent, child limit {_LISTED}"
    ).fetchall()
    walks = closed_walks([(int(parent), int(child)) for parent, child in lines])
    nodes = ", ".join(str(node) for node in sorted({node for walk in walks for node in walk}))
    named = engine.execute(statements.NAMES_OF.format(nodes=nodes)).fetchall() if nodes else []
    name = {
        int(node): (str(shop), f"{code} [{build}]" if build else str(code))
        for node, shop, code, build in named
    }
    return tuple(Ring(name[walk[0]][0], tuple(name[node][1] for node in walk)) for walk in walks)


def closed_walks(lines: Sequence[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Follow the first line down from every node; each ring run into, once, from its smallest node."""
    below: dict[int, int] = {}
    for parent, child in lines:
        below.setdefault(parent, child)
    found: list[tuple[int, ...]] = []
    seen: set[int] = set()
    for start in sorted(below):
        found += _from(start, below, seen)
    return found


def _from(start: int, below: Mapping[int, int], seen: set[int]) -> list[tuple[int, ...]]:
    walk: list[int] = []
    node: int | None = start
    while node is not None and node not in seen:
        seen.add(node)
        walk.append(node)
        node = below.get(node)
    if node is None or node not in walk:
        return []
    ring = walk[walk.index(node) :]
    turn = ring.index(min(ring))
    return [(*ring[turn:], *ring[:turn], ring[turn])]
