"""Places and centres of an odd size in a large table; the rule is that of `checker.rules.places`."""

from __future__ import annotations

from handling_db.checker.rules.places import FAR, Spot, odd, size_finding
from handling_db.findings import Finding, Place
from handling_db.tables.bulk.graph import Graph
from handling_db.tables.findings import MAX_LISTED


def place_findings(graph: Graph) -> list[Finding]:
    """Places of parts, and centres, that lie far from all that is beside them; the first of many."""
    found = [*_places(graph), *_centres(graph)]
    more = len(found) - MAX_LISTED
    if more <= 0:
        return found
    first = found[0]
    told = f"{more:,} more places of an odd size are not listed;"
    return [
        *found[:MAX_LISTED],
        Finding(
            first.rule, first.verdict, "", told, "deal with those above first.", first.place, first.field
        ),
    ]


def _places(graph: Graph) -> list[Finding]:
    import numpy as np

    table, usage = graph.table, graph.table.usage
    if not usage.places:
        return []
    lines = np.fromiter(usage.places, dtype=np.intp, count=len(usage.places))
    reach = np.abs(np.array([*usage.places.values()])[:, :3]).max(axis=1)
    parent = graph.parent[lines]
    order = np.lexsort((-reach, parent))
    parent, reach, lines = parent[order], reach[order], lines[order]
    starts = np.flatnonzero(np.r_[True, parent[1:] != parent[:-1]])
    found = []
    for at in starts[reach[starts] > FAR].tolist():  # the furthest of each parent stands first
        same = at + 1 < parent.size and parent[at + 1] == parent[at]
        beside = float(reach[at + 1]) if same else 0.0
        if odd(float(reach[at]), beside):
            line, node = int(lines[at]), int(parent[at])
            texts, units = usage.place_texts[line]
            text = ", ".join(f"{figure} {unit}" for figure, unit in zip(texts[:3], units[:3], strict=True))
            spot = Spot(float(reach[at]), text, ("x",))
            place = Place(graph.file[node], usage.line[line])
            found.append(
                size_finding(table.codes[node], f"{table.names[node]}: a part lies at", spot, beside, place)
            )
    return found


def _centres(graph: Graph) -> list[Finding]:
    table, usage = graph.table, graph.table.usage
    found = []
    for node, centre in table.centres.items():
        reach = max(map(abs, centre))
        if reach <= FAR:
            continue
        around = {int(parent) for parent in graph.parent[graph.child == node]}
        beside = max(
            (
                max(map(abs, usage.places[line][:3]))
                for one in (node, *around)
                for line in graph.lines_of(one)
                if line in usage.places
            ),
            default=0.0,
        )
        if odd(reach, beside):
            spot = Spot(reach, ", ".join(table.centre_texts[node]), ("cg_x",))
            place = Place(graph.file[node], table.centre_lines[node])
            found.append(
                size_finding(table.codes[node], f"{table.names[node]}: its centre is at", spot, beside, place)
            )
    return found
