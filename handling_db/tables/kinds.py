"""Kinds of source as flat tables use them: which there are, and what each is usually out by."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.files.folders import read_collection
from handling_db.records.kinds.source import SourceKind


@functools.cache
def shipped_kinds() -> Mapping[str, SourceKind]:
    """The kinds of source that come with the program, by id."""
    return read_collection([]).collection.source_kinds


@dataclass(frozen=True, slots=True)
class UsualDoubt:
    """What a kind of source is usually out by, in floats. [kg, 1]"""

    at_least: float
    steps: float
    part: float
    part_below: float
    part_above: float

    @classmethod
    def of(cls, kind: SourceKind) -> UsualDoubt:
        """The same figures as the record of the kind has."""
        return cls(
            float(kind.at_least.base) if kind.at_least else 0.0,
            float(kind.steps or 0),
            float(kind.percent or 0) / 100,
            float(kind.below_percent or 0) / 100,
            float(kind.above_percent or 0) / 100,
        )

    def around(self, best: float, step: float) -> tuple[float, float]:
        """Half-widths below and above. [kg]"""
        flat = max(self.at_least, self.steps * step, self.part * best)
        return max(flat, best * self.part_below), max(flat, best * self.part_above)
