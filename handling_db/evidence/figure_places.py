"""Where a recorded figure stands, so that a reader finds it without an id made of a hash."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from handling_db.records.collection import Collection


class FigurePlaces:
    """Files and lines of the figures of one collection."""

    def __init__(self, collection: Collection) -> None:
        self.collection = collection

    def of(self, figure: str) -> str:
        """``components/gear-section.yml:46``; empty for records out of a database, which have no lines."""
        if figure in self.collection.weighings:
            place = self.collection.place("weighing", figure)
        else:
            code, index = self._statements.get(figure, ("", 0))
            place = self.collection.place("component", code, "masses", index) if code else None
        return str(place) if place is not None else ""

    @cached_property
    def _statements(self) -> Mapping[str, tuple[str, int]]:
        return {
            statement.key(code): (code, index)
            for code, component in self.collection.components.items()
            for index, statement in enumerate(component.masses)
        }
