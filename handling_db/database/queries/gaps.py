"""What is not known about a total that was stored without it: parts without a mass, open lists."""

from __future__ import annotations

import sqlite3
from dataclasses import replace

from handling_db.quantities.display import counted
from handling_db.weights.answer import Named, StateFigure

MOST_NODES = 20_000  # looked through for one answer; a list so long is not read to its end anyway

_BELOW = """
  select u.child, u.quantity, t.complete, t.basis, c.height, c.parts_listed
  from usage u join total t on t.component = u.child and t.state in (?, 'every')
    join component c on c.id = u.child
  where u.parent = ? and u.quantity > 0
"""


def with_gaps(connection: sqlite3.Connection, key: int, figure: StateFigure) -> StateFigure:
    """A stored figure with the names of what is not known in it.

    Only what is not complete is followed down, so this costs what is missing and not what is there.
    """
    if figure.complete:
        return figure
    unknown, open_lists = gaps(connection, key, figure.state, figure.basis)
    return replace(figure, unknown=unknown, open_lists=open_lists, why_none=why_none(unknown, open_lists))


def why_none(unknown: tuple[Named, ...], open_lists: tuple[Named, ...]) -> str:
    """Why there is no upper figure: ``2 parts have no mass``."""
    reasons = [counted(len(unknown), "part has no mass", "parts have no mass")] if unknown else []
    if open_lists:
        one, many = "list of parts may be incomplete", "lists of parts may be incomplete"
        reasons.append(counted(len(open_lists), one, many))
    return " and ".join(reasons) or "nothing is known"


def gaps(
    connection: sqlite3.Connection, key: int, state: str, basis: str
) -> tuple[tuple[Named, ...], tuple[Named, ...]]:
    """Parts without a mass, with how many pieces, and assemblies whose lists may be open; by id."""
    listed, height = connection.execute(
        "select parts_listed, height from component where id = ?", (key,)
    ).fetchone()
    seen = {key: (basis, height, listed)}
    edges: dict[int, list[tuple[int, float]]] = {}
    queue = [key]
    for here in queue:
        if seen[here][0] != "sum of parts" or len(seen) > MOST_NODES:
            continue
        for child, quantity, complete, child_basis, child_height, child_listed in connection.execute(
            _BELOW, (state, here)
        ):
            if complete:
                continue
            edges.setdefault(here, []).append((child, quantity))
            if child not in seen:
                seen[child] = (child_basis, child_height, child_listed)
                queue.append(child)
    pieces = {key: 1.0}
    for here in sorted(edges, key=lambda node: -seen[node][1]):
        for child, quantity in edges[here]:
            pieces[child] = pieces.get(child, 0.0) + pieces.get(here, 0.0) * quantity
    nobody = [node for node, (basis, *_) in seen.items() if basis == "nobody knows"]
    opened = [node for node, (basis, _, how) in seen.items() if basis == "sum of parts" and how != "all"]
    return (
        _named(connection, {node: pieces[node] for node in nobody}),
        _named(connection, dict.fromkeys(opened, 1)),
    )


def _named(connection: sqlite3.Connection, nodes: dict[int, float]) -> tuple[Named, ...]:
    found = []
    for node, pieces in nodes.items():
        row = connection.execute("select code, name from component where id = ?", (node,)).fetchone()
        found.append(Named(row[0], row[1], pieces))
    return tuple(sorted(found, key=lambda named: named.id))
