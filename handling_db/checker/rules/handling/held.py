"""What pieces hold in: rings in which each comes off only after another."""

from __future__ import annotations

import graphlib
from collections.abc import Iterator

from handling_db.checker.evidence import Evidence
from handling_db.findings import Finding
from handling_db.records.parts.three_valued import listed


def held_ring(evidence: Evidence) -> Iterator[Finding]:
    """Pieces that hold one another in: none of them could ever come off first."""
    components = evidence.collection.components
    holds = {code: [one.part for one in listed(each.holds_in)] for code, each in sorted(components.items())}
    while True:
        try:
            graphlib.TopologicalSorter(holds).prepare()
            return
        except graphlib.CycleError as error:
            # The ring comes back from last to first, its end the same as its beginning.
            ring = list(reversed(error.args[1]))
        start = min(range(len(ring) - 1), key=lambda place: ring[place])
        ring = [*ring[start:-1], *ring[: start + 1]]
        first, second = ring[0], ring[1]
        index = holds[first].index(second)
        yield evidence.at("component", first, "holds in", index, "part").fault(
            "held-ring",
            f"{' holds in '.join(ring)}: none of them could come off first;",
            "take out the one that does not hold the other.",
        )
        holds[first] = [part for part in holds[first] if part != second]  # the next ring, if there is one
