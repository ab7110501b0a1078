"""Figures of a conflict in words: by piece, figure, source and place, never by a hash."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.records.collection import Collection
from handling_db.weights.witness import Witness


def figures_told(collection: Collection, conflict: Sequence[Witness]) -> tuple[str, ...]:
    """Each figure of a conflict, the heaviest first: ``Case: 40.0 kg dry (floor scale, 2026-03-01)``."""
    return tuple(
        f"{_name(collection, w)}: {w.printed}{f' {w.state}' if w.state else ''} ({_place(collection, w)})"
        for w in sorted(conflict, key=lambda w: -w.mass.best)
    )


def _name(collection: Collection, witness: Witness) -> str:
    component = collection.components.get(witness.component)
    return component.name if component is not None else witness.component


def _place(collection: Collection, witness: Witness) -> str:
    """The source, and where in it: the page of a statement, the day of a weighing."""
    component = collection.components.get(witness.component)
    where = None
    if witness.position is not None and component is not None:
        where = component.masses[witness.position[1]].where
    elif witness.position is None and witness.on is not None:
        where = witness.on.isoformat()
    return f"{witness.source.name}, {where}" if where else witness.source.name
